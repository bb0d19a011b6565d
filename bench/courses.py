"""Five hundred invented people over ten weeks: does the dose follow what each can truly do, and is any rule broken?

Run from the root: python -m bench.courses [PEOPLE] [SEED] [READING ...]. The same people go through the engine under
each reading of the protocol, and beside it, in the same sessions, through a programme that is the same for all: 2 x 10
with 1 kg, or the nearest load at home, for ten weeks. A line is within one rung when its load is at most one rung of
the person's own ladder away from the heaviest that is truly no harder than the protocol's effort for a raise. What is
true is set in tests/dose/truth.py. Status 1 if any property is broken, or if more sets are truly harder than 6 of 10
under the engine than under the programme that is the same for all.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from statistics import median
from typing import Any

from tests.dose.courses import PROTOCOL, Course, Point, people, run, weeks_until_near

from haleward.safety.protocol import Protocol

READINGS: dict[str, dict[str, Any]] = {  # what is other than in the default protocol
    "default": {},
    "one raise in each session": {"one_raise_in": ("session",)},
    "one raise in the programme": {"one_raise_in": ("programme",)},
    "two sessions to find a load": {"finding_sessions": None},
    "no larger step to find a load": {"finding_step_kg": None},
    "one raise in the programme, load not found first": {
        "one_raise_in": ("programme",),
        "finding_sessions": None,
        "finding_step_kg": None,
    },
}
WEEKS = 10


def main(arguments: list[str]) -> int:
    """Print one block for each reading; status 1 if a property is broken."""
    count, seed = (int(arguments[at]) if len(arguments) > at else usual for at, usual in ((0, 500), (1, 3)))
    wrong = 0
    for reading in arguments[2:] or READINGS:
        found = list(run(people(count, seed=seed), weeks=WEEKS, protocol=_protocol(**READINGS[reading])))
        faults = Counter(fault.split(": ", 1)[-1] for course in found for fault in course.faults)
        _say(f"{reading}: {sum(c.started for c in found)} of {count} people started")
        _say(f"  properties broken: {faults.total()} {dict(faults.most_common(5)) or ''}")
        kinds: Counter[str] = sum((Counter(course.kinds) for course in found), Counter())
        _say(f"  accepted: {', '.join(f'{kind} {number}' for kind, number in kinds.most_common())}")
        _told(found)
        wrong += faults.total() + any(engine > same for _, engine, same, _ in _hard(found))
    return 1 if wrong else 0


def _protocol(**changes: Any) -> Protocol:
    progression = replace(PROTOCOL.policies.progression, **changes)
    return replace(PROTOCOL, policies=replace(PROTOCOL.policies, progression=progression))


def _hard(found: list[Course]) -> Iterator[tuple[str, int, int, int]]:
    """Sets truly harder than 6 of 10: who, under the engine, under the same for all, of how many."""
    for who, honest in (("honest raters", True), ("poor raters", False)):
        those = [course for course in found if course.honest is honest]
        hard, same = sum(course.hard_sets for course in those), sum(course.fixed_hard_sets for course in those)
        yield who, hard, same, sum(course.sets for course in those)


def _told(found: list[Course]) -> None:
    points = [point for course in found for point in course.points]
    for name, fixed in (("engine", False), ("same for all", True)):
        weeks = weeks_until_near(points, within=1, fixed=fixed)
        reached = [week for week in weeks if week is not None]
        later = [week for week in reached if week > 0]
        _say(
            f"  {name}: {len(reached)} of {len(weeks)} lines come within one rung and stay; of those that do not begin "
            f"there {len(later)}, after {median(later) if later else '-'} weeks (median)"
        )
        for week in (0, WEEKS // 2, WEEKS - 1):
            _say(f"    week {week}: {_shares([p for p in points if p.week == week], fixed=fixed)}")
    started = [course for course in found if course.started]
    first, last = (sum(course.minutes[at] for course in started) / len(started) for at in (0, -1))
    _say(f"  walking planned: {first:.0f} minutes a week at first, {last:.0f} at the end")
    for who, hard, same, sets in _hard(found):
        _say(f"  sets truly harder than 6 of 10, {who}: engine {hard}, same for all {same}, of {sets}")


def _shares(points: list[Point], *, fixed: bool) -> str:
    off = [point.fixed_rungs if fixed else point.rungs for point in points]
    parts = (
        ("over", sum(n > 1 for n in off)),
        ("within one", sum(abs(n) <= 1 for n in off)),
        ("under", sum(n < -1 for n in off)),
    )
    return ", ".join(f"{name} {100 * number / len(off):.0f} %" for name, number in parts)


def _say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
