"""Cycle tests under the maximum: the branching protocol of rising stages, and what its stages show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

from haleward.capacity.extrapolation import MaximalRate, Point
from haleward.capacity.staged import SETTINGS, StagedResult, StagedTest, read
from haleward.capacity.void import Facts, why_void
from haleward.errors import HalewardError
from haleward.formula import Range, find, formula
from haleward.physiology.metabolic import ACSM_SHARE
from haleward.physiology.tables import rows, settings, texts
from haleward.units import KGM_PER_MIN_PER_W_TEACHING, rounded, shown, w_from_kgm_per_min
from haleward.worksheet import Step

FIRST_STAGE_RATE = Range(30, 250, "bpm", "Steady heart rate of the first stage", whole=True)
Action = Literal["another_minute", "next", "enough", "end"]


@dataclass(frozen=True)
class CycleStage:
    """One stage as ridden: the load, and the heart rates at the end of its last two minutes."""

    power_kgm_per_min: float
    earlier_bpm: float
    rate_bpm: float

    @property
    def steady(self) -> bool:
        """Whether the two readings differ by no more than the protocol allows."""
        return abs(self.rate_bpm - self.earlier_bpm) <= settings(SETTINGS)["steady_difference_bpm"]


@dataclass(frozen=True)
class Advice:
    """What comes next in the branching protocol, in words, with the load where there is a next stage."""

    action: Action
    text: str
    power_kgm_per_min: float | None = None


@formula(
    title="Second load of the branching cycle protocol",
    equation="by the steady heart rate of the first stage",
    unit="kg·m/min",
    ranges={"first_stage_bpm": FIRST_STAGE_RATE},
    source="YMCA cycle protocol",
    trust="source seen",
    error="In a check of the branching 20 of 98 people went past the limit: start gentler with a heart patient.",
    population="healthy adults",
    elementwise=True,
)
def cycle_second_stage_kgm_per_min(*, first_stage_bpm: float) -> float:
    """Load of the second stage, after a first stage at 150 kg·m/min."""
    return loads_after(first_stage_bpm=first_stage_bpm)[0]


def loads_after(*, first_stage_bpm: float) -> tuple[float, float, float]:
    """Loads of the second, third and fourth stage in kg·m/min. Raises :class:`OutOfRange`."""
    FIRST_STAGE_RATE.check(first_stage_bpm)
    row = next(
        row
        for row in rows("cycle_stages")
        if not row["first_stage_to_bpm"] or first_stage_bpm <= float(row["first_stage_to_bpm"])
    )
    second, third, fourth = (float(row[f"{stage}_kgm_per_min"]) for stage in ("second", "third", "fourth"))
    return second, third, fourth


def next_stage(stages: Sequence[CycleStage], *, maximum_bpm: float) -> Advice:
    """What the branching protocol asks for after ``stages``: the first load if there are none.

    The limit is a share of ``maximum_bpm``; a stage that is not steady is ridden a minute longer first.
    """
    limits = settings(SETTINGS)
    if not stages:
        return _load(limits["cycle_first_kgm_per_min"])
    last = stages[-1]
    if last.rate_bpm >= limits["cycle_highest_fraction"] * maximum_bpm:
        return Advice("end", _words("cycle_end", share=shown(100 * limits["cycle_highest_fraction"], "%")))
    if not last.steady:
        most = f"{limits['steady_difference_bpm']:g}"
        return Advice("another_minute", _words("cycle_another_minute", most=most), last.power_kgm_per_min)
    if sum(_usable(stage, maximum_bpm) for stage in stages) >= limits["stages_least"]:
        return Advice("enough", _words("cycle_enough"))
    loads = loads_after(first_stage_bpm=stages[0].rate_bpm)
    if len(stages) > len(loads):
        return Advice("end", _words("cycle_no_more"))
    return _load(loads[len(stages) - 1])


def cycle_test(
    stages: Sequence[CycleStage],
    *,
    mass_kg: float,
    maximum: MaximalRate,
    facts: Facts,
    resting_bpm: float | None = None,
) -> StagedResult:
    """The peak from the steady stages between 110 bpm and 85 per cent of the maximum, else the top stage and why.

    Raises :class:`HalewardError` for no stage at all or a value that is not possible.
    """
    if not stages:
        raise HalewardError("A cycle test needs its stages: load and the last two heart rates of each.")
    cycling, maximum_bpm = find("vo2_leg_cycling_acsm"), maximum.figure.value
    points: list[Point] = []
    steps: list[Step] = []
    usable: list[Point] = []
    cautions: list[str] = []
    for number, stage in enumerate(stages, 1):
        given: dict[str, Any] = {"power_kgm_per_min": stage.power_kgm_per_min, "mass_kg": mass_kg}
        steps.append(cycling.step(f"Oxygen uptake of stage {number}", origins=dict.fromkeys(given, "test"), **given))
        points.append(Point(cycling.call(**given), stage.rate_bpm))
        if _usable(stage, maximum_bpm):
            usable.append(points[-1])
            cautions += cycling.cautions(**given)
        else:
            cautions.append(_left_out(number, stage, maximum_bpm))
    test = StagedTest(
        "Cycle test of rising stages",
        tuple(usable),
        max(points, key=lambda one: one.vo2_ml_per_kg_min),
        maximum,
        why_void("cycle_stages", facts),
        resting_bpm,
        error_fraction=ACSM_SHARE,
        steps=tuple(steps),
        cautions=(*cautions, _words("cycle_overshoot")),
    )
    return read(test)


def _usable(stage: CycleStage, maximum_bpm: float) -> bool:
    low, high = _window(maximum_bpm)
    return stage.steady and low <= stage.rate_bpm <= high


def _window(maximum_bpm: float) -> tuple[float, float]:
    limits = settings(SETTINGS)
    return limits["cycle_lowest_bpm"], limits["cycle_highest_fraction"] * maximum_bpm


def _left_out(number: int, stage: CycleStage, maximum_bpm: float) -> str:
    if not stage.steady:
        most = f"{settings(SETTINGS)['steady_difference_bpm']:g}"
        return _words("cycle_not_steady", stage=str(number), most=most)
    low, high = (rounded(limit, "bpm") for limit in _window(maximum_bpm))
    return _words("cycle_left_out", stage=str(number), low=low, high=high)


def _load(power_kgm_per_min: float) -> Advice:
    watts = w_from_kgm_per_min(power_kgm_per_min=power_kgm_per_min, kgm_per_min_per_w=KGM_PER_MIN_PER_W_TEACHING)
    text = _words("cycle_next", load=shown(power_kgm_per_min, "kg·m/min"), watts=shown(watts, "W"))
    return Advice("next", text, power_kgm_per_min)


def _words(key: str, **values: str) -> str:
    return texts("capacity_wording")[key].format(**values)
