"""Three whole sessions, cue by cue, as they were last agreed: any change of words or times shows as a difference.

When a change is meant, look at what differs and write the files anew with one command:

    .venv/bin/python -m tests.session.test_snapshots
"""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from haleward.dose.model import Load
from haleward.movement.library import default_library
from haleward.plain import to_plain
from haleward.safety.protocol import default_protocol
from haleward.session.compile import WALK, compile_session
from haleward.session.options import SessionOptions
from haleward.wording import default_wording
from tests.session.people import AFTER_SURGERY, PLAIN, WITH_DEVICE
from tests.session.samples import BALANCED, SERVICE, TODAY, exercise, programme

FOLDER = Path(__file__).parent / "snapshots"
SMALL = programme(
    exercise("heel_raise", "hand_supported", region="calf"), exercise(load=Load("hand_weight", mass_kg=1.0), sets=1)
)
SESSIONS = {
    "ada-strength": (PLAIN, programme(*BALANCED), "one", SessionOptions()),
    "ben-few-words": (WITH_DEVICE, SMALL, "one", SessionOptions(pace="slower", talk="few", count_aloud=False)),
    "cat-walk-carer": (
        AFTER_SURGERY,
        programme(),
        WALK,
        SessionOptions(talk="more", listener="carer", low_vision=True),
    ),
}


def told(name):
    """The sheet with one line of text for each cue."""
    record, plan, part_key, options = SESSIONS[name]
    sheet = compile_session(
        plan, part_key, record, protocol=default_protocol(), library=default_library(), wording=default_wording(),
        service=SERVICE, made_on=TODAY, options=options,
    )  # fmt: skip
    plain = to_plain(replace(sheet, blocks=()))
    del plain["protocol"]  # its version changes for reasons of its own
    plain["blocks"] = [
        {
            "block": f"{block.start_ms} +{block.length_ms} {block.kind} {_about(block)} {block.title}",
            "cues": [_line(cue) for cue in block.cues],
        }
        for block in sheet.blocks
    ]
    return json.loads(json.dumps(plain))


def _about(block):
    return max(block.exercise, block.frame)


def _line(cue):
    shown = f" {cue.pose_from:g}-{cue.pose_to:g}" if cue.kind == "show" else ""
    words = [f"{cue.start_ms} +{cue.length_ms} {cue.kind}{shown}", cue.side, cue.wording_key, cue.text]
    return " | ".join(word for word in words if word)


@pytest.mark.parametrize("name", SESSIONS)
def test_the_session_is_word_for_word_and_millisecond_for_millisecond_as_agreed(name):
    agreed = json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))
    assert told(name) == agreed, "If this change is meant: .venv/bin/python -m tests.session.test_snapshots"


def write():
    """Write the agreed sessions anew."""
    FOLDER.mkdir(exist_ok=True)
    for name in SESSIONS:
        text = json.dumps(told(name), ensure_ascii=False, indent=1)
        (FOLDER / f"{name}.json").write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    write()
