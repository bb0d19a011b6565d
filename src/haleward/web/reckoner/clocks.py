"""What the clocks of the page need to know: times, signals, sentences, and the names of the boxes that they fill."""

from __future__ import annotations

from typing import Any

from haleward.capacity import shuttle
from haleward.capacity.field_tests import FieldTest, find_test
from haleward.physiology.tables import settings, texts
from haleward.web.assessment.forms_home import stop_reasons

Clock = dict[str, Any]
STANCES = ("side_by_side_s", "semi_tandem_s", "tandem_s", "one_leg_s")


def clocks_of(test: FieldTest) -> list[Clock]:
    """The clocks of one test in the order of use; none for a test without one."""
    if not test.clock:
        return []
    own = {one.name: one.name for one in test.fields}
    if test.clock == "battery":
        return [
            _stances(test, own),
            _stopwatch(test, ["trial_1_s", "trial_2_s"], "4 m walk", key=f"{test.key}-walk"),
            _stopwatch(test, ["rises_s"], "Five chair rises", key=f"{test.key}-rises"),
        ]
    if test.clock == "stopwatch":
        return [_stopwatch(test, [name for name in own if name.startswith("trial_")], test.title)]
    return [_KINDS[test.clock](test, own)]


def assessment_clocks() -> dict[str, list[Clock]]:
    """The clocks that fill boxes of the assessment form, by the section they stand in."""
    walk, shuttles = find_test("six_minute_walk"), find_test("shuttle_walk")
    stands, stances = find_test("chair_stand_30s"), find_test("four_stage_balance")
    timed = find_test("up_and_go")
    in_walk = {"distance_m": "walk-distance_m", "stopped_for": "walk-stopped_for"}
    in_balance = {name: f"function-{name}" for name in STANCES[:3]}
    return {
        "walk": [
            _walk(walk, in_walk) | {"marks": [["walk-kind", "six_minute_walk"]]},
            _shuttle(shuttles, in_walk) | {"marks": [["walk-kind", "shuttle_walk"]]},
        ],
        "function": [
            _count(stands, {"repetitions": "function-chair_stands_30s"}),
            _stopwatch(timed, ["function-up_and_go_s"], timed.title),
            _stances(stances, in_balance),
        ],
    }


def _walk(test: FieldTest, fills: dict[str, str]) -> Clock:
    seconds = settings("field_test_settings")["six_minute_walk_min"] * 60
    return _clock(test, "walk", fills, seconds=seconds, calls=test.calls, reasons=stop_reasons())


def _shuttle(test: FieldTest, fills: dict[str, str]) -> Clock:
    levels = [[one.level, one.shuttles, one.interval_s] for one in shuttle.levels()]
    shuttle_m = settings("field_test_settings")["shuttle_m"]
    return _clock(test, "shuttle", fills, levels=levels, shuttle_m=shuttle_m, reasons=stop_reasons())


def _count(test: FieldTest, fills: dict[str, str]) -> Clock:
    return _clock(test, "count", fills, seconds=test.seconds, counts=test.counts, into=next(iter(fills.values())))


def _stances(test: FieldTest, fills: dict[str, str]) -> Clock:
    labels = {one.name: one.label for one in test.fields}
    stances = [[fills[name], labels[name]] for name in STANCES if name in fills]
    return _clock(test, "stances", fills, seconds=test.seconds, stances=stances, title="Standing balance")


def _stopwatch(test: FieldTest, into: list[str], title: str, *, key: str = "") -> Clock:
    return _clock(test, "stopwatch", {}, into=into, most_s=test.most_s, title=title, key=key or test.key)


def _stages(test: FieldTest, fills: dict[str, str]) -> Clock:
    stages = [[one.title, one.seconds, one.beats_per_min, fills[one.fills]] for one in test.stages]
    return _clock(test, "stages", fills, stages=stages)


def _clock(test: FieldTest, kind: str, fills: dict[str, str], **more: Any) -> Clock:
    usual = {"kind": kind, "key": test.key, "title": test.title, "fills": fills, "marks": []}
    return usual | {"words": texts("clock_words")} | more


_KINDS = {"walk": _walk, "shuttle": _shuttle, "count": _count, "stances": _stances, "stages": _stages}
