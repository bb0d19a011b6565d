"""How long a preview of 5,000 people takes, as a ratio to computing everything for everybody.

Run from the root: python -m bench.preview [PEOPLE] [SAMPLE]. The people are invented, the same at every run. The slow
way is timed on a sample and scaled up; on that sample both ways must say the same, or the run ends with status 1.
Everything a preview needs is inside its time: facts, conditions, gates, levels, words. Processor time is printed beside
the clock's, because other work on the machine stretches only the second.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from time import perf_counter, process_time

from tests.dose.crowd import TODAY, crowd

from haleward.dose.preview import Preview, prepare, preview, preview_one_by_one
from haleward.movement.library import default_library
from haleward.safety.edits import Edit, apply
from haleward.safety.protocol import DEFAULT_FILE, read_protocol

CHANGES = {
    "systolic limit 180 to 170": Edit("rule/R023/condition/any/0/over", 170),
    "resting heart rate 100 to 95": Edit("rule/R032/condition/over", 95),
    "ejection fraction 40 to 35": Edit("rule/R017/condition/under", 35),
    "moderate risk from 50 to 45 %": Edit("risk_item/M03/condition/under", 45),
    "device margin 20 to 10": Edit("intensity/device_margin_bpm", 10),
}


def main(words: list[str]) -> int:
    """Print one line for each change; status 1 if the two ways ever differ."""
    count, sample = (int(words[at]) if len(words) > at else usual for at, usual in ((0, 5000), (1, 40)))
    text, library = DEFAULT_FILE.read_text(encoding="utf-8"), default_library()
    old, people = read_protocol(text, name="old"), crowd(count)
    preview(people[:2], old, old, library=library, today=TODAY)  # tables are read once
    same = True
    for title, edit in CHANGES.items():
        new = read_protocol(apply(text, [edit]), name="new")
        found, clock, work = _timed(lambda: preview(people, old, new, library=library, today=TODAY))  # noqa: B023
        ready = prepare(people, TODAY)
        preview(ready, old, old, library=library, today=TODAY)
        _, _, again = _timed(lambda: preview(ready, old, new, library=library, today=TODAY))  # noqa: B023
        few = people[:sample]
        slow, _, slow_work = _timed(lambda: preview_one_by_one(few, old, new, library=library, today=TODAY))  # noqa: B023
        whole = slow_work * count / len(few)
        same = same and slow == preview(few, old, new, library=library, today=TODAY)
        _say(
            f"{title}: {len(found.people)} of {count} people touched; {clock:.2f} s by the clock, {work:.2f} s of work "
            f"({again:.2f} s with people prepared); one by one {whole:.0f} s (from {len(few)} people): "
            f"{whole / work:.0f} times as long"
        )
    _say("Both ways say the same." if same else "The two ways differ.")
    return 0 if same else 1


def _timed(run: Callable[[], Preview]) -> tuple[Preview, float, float]:
    clock, work = perf_counter(), process_time()
    found = run()
    return found, perf_counter() - clock, process_time() - work


def _say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
