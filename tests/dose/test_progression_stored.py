"""What was stored before: protocol files without the newer rules, and proposals without the newer fields."""

from __future__ import annotations

from dataclasses import fields

from haleward.dose.log import Proposal
from haleward.dose.progression import accept, propose
from haleward.plain import from_plain, to_plain
from haleward.safety.policy import ProgressionPolicy
from haleward.safety.protocol import DEFAULT_FILE, read_protocol
from tests.dose.test_progression import GOOD, LIBRARY, PLAN, TODAY, WELL, raises

NEWER = tuple(item.name for item in fields(ProgressionPolicy) if item.default is None)


def test_a_protocol_file_without_the_newer_rules_loads_and_has_none_of_them() -> None:
    lines = DEFAULT_FILE.read_text(encoding="utf-8").splitlines()
    older = "\n".join(line for line in lines if line.partition(" = ")[0] not in NEWER)
    protocol = read_protocol(older, name="older")
    assert len(NEWER) > 15
    assert all(getattr(protocol.policies.progression, name) is None for name in NEWER)
    up = raises(propose(PLAN, GOOD, WELL, protocol=protocol, library=LIBRARY, today=TODAY))
    assert [(one.kind, one.part_key, one.exercise_index) for one in up] == [("raise_repetitions", "one", 0)]


def test_a_proposal_stored_before_loads_and_is_accepted() -> None:
    up = raises(
        propose(
            PLAN,
            GOOD,
            WELL,
            protocol=read_protocol(DEFAULT_FILE.read_text(encoding="utf-8"), name="now"),
            library=LIBRARY,
            today=TODAY,
        )
    )[0]
    stored = to_plain(up)
    for name in ("used", "otherwise", "walking_before", "walking_after"):
        del stored[name]
    again = from_plain(Proposal, stored)
    assert repr(again) == repr(up)  # the web compares proposals by this
    assert accept(PLAN, again, version=4, made_on=TODAY) == accept(PLAN, up, version=4, made_on=TODAY)


def test_a_proposal_tells_the_data_it_used_and_what_would_have_changed_it() -> None:
    protocol = read_protocol(DEFAULT_FILE.read_text(encoding="utf-8"), name="now")
    up = raises(propose(PLAN, GOOD, WELL, protocol=protocol, library=LIBRARY, today=TODAY))[0]
    assert up.used[0] == "23 February 2026: done 10, 10; effort 3, 3; reported by the person."
    assert up.otherwise.startswith("It would have been held by an effort over 4")
    held = propose(PLAN, GOOD[1:], WELL, protocol=protocol, library=LIBRARY, today=TODAY)[0]
    assert held.otherwise == (
        "It would have been raised with one more session with every set done at effort 4 or less."
    )
    more = propose(PLAN, GOOD, WELL, protocol=protocol, library=LIBRARY, today=TODAY)[0]
    assert more.kind == "raise_repetitions"
