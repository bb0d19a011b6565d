"""Whether a voice file can be used: read, paced as films need it, and which sentences the voice that ships must say.

A file of unknown origin is tried in a process of its own with a time limit:
``python -m haleward.render.voice_check FILE`` writes the report as JSON.
"""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from functools import cache
from pathlib import Path

from haleward.errors import HalewardError
from haleward.render.sound import WAITS_MS
from haleward.render.voice import SAMPLE_RATE, SPEED, Phrases, Unsayable, Voice, trimmed, voice_of
from haleward.session.timing import speech_ms
from haleward.wording import WORDING_FOLDER

MOST_OTHERWISE = 0.1  # share of the sentences that the voice that ships may have to say
SLOWEST, FASTEST = 1.5, 0.6  # length of a long sentence, as a share of what the voice that ships needs
LIMIT_S = 120  # a file that needs longer is not one that speaks
_LONG = "Sit tall. Breathe out as you lift, and breathe in as you lower."


@dataclass(frozen=True)
class VoiceReport:
    """What was found. With ``faults`` a file is not taken; ``otherwise`` are the sentences of the voice that ships."""

    faults: tuple[str, ...]
    otherwise: tuple[str, ...] = ()
    pace: float = 1.0  # length of a long sentence, as a share of what the voice that ships needs


@cache
def phrases_to_hear() -> tuple[str, ...]:
    """The counts, and a cue of every sort: what is heard most, and has the least time."""
    with (WORDING_FOLDER / "session.csv").open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if not row["placeholders"]]
    cues: dict[str, str] = {}
    for row in rows:
        if row["kind"] == "cue":
            cues.setdefault(row["key"].rstrip("0123456789"), row["text"])  # halfway_1, not halfway_2 as well
    return (*(row["text"] for row in rows if row["kind"] == "count"), *cues.values())


def check_voice(voice: Voice, usual: Voice, texts: tuple[str, ...] = ()) -> VoiceReport:
    """Have ``voice`` say every one of ``texts`` (usually :func:`phrases_to_hear`); ``usual`` is the one that ships."""
    texts = texts or phrases_to_hear()
    try:
        pace = _length(voice) / _length(usual)
    except Unsayable:
        return VoiceReport(("The voice gives no sound for a plain sentence.",))
    if not FASTEST <= pace <= SLOWEST:
        return VoiceReport((_PACE.format(pace, SAMPLE_RATE),), pace=round(pace, 2))
    otherwise = tuple(_unsaid(Phrases(voice), texts))
    lacking = len(otherwise) / len(texts)
    faults = (_LACKING.format(len(otherwise), len(texts), otherwise[0]),) if lacking > MOST_OTHERWISE else ()
    return VoiceReport(faults, otherwise, round(pace, 2))


_PACE = (
    "A sentence takes {:.1f} times as long as in the usual voice: the file is for another rate than {} samples a "
    "second, or speaks too slowly or too fast."
)
_LACKING = "{} of {} phrases have no sound or do not fit their time, the first is “{}”."


def _length(voice: Voice) -> int:
    return len(trimmed(voice.say(_LONG, speed=SPEED)))


def _unsaid(phrases: Phrases, texts: tuple[str, ...]) -> Iterator[str]:
    """Those without sound, or too long for the time that a cue sheet plans for them."""
    for text in texts:
        try:
            phrases.say(text, within_ms=speech_ms(text) + WAITS_MS)
        except Unsayable:
            yield text


def report_of(file: Path, *, limit_s: float = LIMIT_S) -> VoiceReport:
    """The report on a file, from a process of its own: a file that hangs or breaks the engine harms nothing else."""
    command = [sys.executable, "-m", "haleward.render.voice_check", str(file)]
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=limit_s, check=False)  # noqa: S603 - this program
    except subprocess.TimeoutExpired:
        return VoiceReport((f"Trying the voice took more than {limit_s:.0f} seconds; it cannot be used here.",))
    if done.returncode:
        return VoiceReport(("The engine that speaks broke off at this file; it cannot be used here.",))
    told = json.loads(done.stdout)
    return VoiceReport(tuple(told["faults"]), tuple(told["otherwise"]), told["pace"])


def main(arguments: list[str]) -> int:
    """Write the report on the file that is named."""
    try:
        report = check_voice(voice_of(Path(arguments[0])), voice_of())
    except HalewardError as fault:
        report = VoiceReport((str(fault),))
    sys.stdout.write(json.dumps(asdict(report)))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
