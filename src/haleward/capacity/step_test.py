"""Step tests: the multistage submaximal test, and the single-stage tests that are too hard for most heart patients."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from haleward.capacity.extrapolation import MaximalRate, Point
from haleward.capacity.staged import SETTINGS, StagedResult, StagedTest, read
from haleward.capacity.void import Facts, why_void
from haleward.errors import HalewardError
from haleward.formula import Range, find, formula
from haleward.physiology.metabolic import STEP_RATE, vo2_stepping_acsm
from haleward.physiology.tables import rows, settings, texts
from haleward.record import Sex
from haleward.units import met_from_vo2, rounded
from haleward.worksheet import Figure, NotComputed, Step, Worksheet

STAGE_RATE = Range(30, 250, "bpm", "Heart rate of the stage")
RECOVERY = Range(40, 220, "bpm", "Recovery pulse")
NO_ERROR = "No error for one person seen; from students, and too hard for cardiac entry."
RECOVERY_SOURCE = "McArdle et al. 1972, Med Sci Sports 4:182, quoted in teaching pages"


@dataclass(frozen=True)
class Stage:
    """One stage as done: height, full steps a minute (up, up, down, down), heart rate in its last 15 s."""

    height_m: float
    steps_per_min: float
    rate_bpm: float


@formula(
    title="Metronome for a stepping rate",
    equation="4 × steps a minute",
    unit="bpm",
    ranges={"steps_per_min": STEP_RATE},
    source="Definition: up, up, down, down",
    trust="definition",
)
def metronome_bpm(*, steps_per_min: float) -> float:
    """Metronome beats a minute: one beat for each foot placed."""
    return settings(SETTINGS)["beats_per_step"] * steps_per_min


@formula(
    title="Recovery pulse from a count of 15 seconds",
    equation="4 × beats",
    unit="bpm",
    ranges={"beats_15s": Range(10, 55, "beats", "Beats counted from second 5 to second 20", whole=True)},
    source="Arithmetic",
    trust="definition",
)
def recovery_pulse_bpm(*, beats_15s: float) -> float:
    """Beats a minute from the beats of 15 seconds; one beat miscounted is 4 bpm."""
    return 4 * beats_15s


@formula(
    title="Peak oxygen uptake of men from the recovery pulse",
    equation="111.33 − 0.42 × recovery pulse",
    unit="mL/kg/min",
    ranges={"recovery_bpm": RECOVERY},
    source=RECOVERY_SOURCE,
    trust="seen second-hand",
    error=NO_ERROR,
    population="students, men",
)
def peak_vo2_recovery_pulse_men_mcardle_1972(*, recovery_bpm: float) -> float:
    """Peak oxygen uptake of students after 3 min on a 41.3 cm step at 24 a minute. Not for cardiac entry."""
    return 111.33 - 0.42 * recovery_bpm


@formula(
    title="Peak oxygen uptake of women from the recovery pulse",
    equation="65.81 − 0.1847 × recovery pulse",
    unit="mL/kg/min",
    ranges={"recovery_bpm": RECOVERY},
    source=RECOVERY_SOURCE,
    trust="seen second-hand",
    error=NO_ERROR,
    population="students, women",
)
def peak_vo2_recovery_pulse_women_mcardle_1972(*, recovery_bpm: float) -> float:
    """Peak oxygen uptake of students after 3 min on a 41.3 cm step at 22 a minute. Not for cardiac entry."""
    return 65.81 - 0.1847 * recovery_bpm


def step_test(
    stages: Sequence[Stage],
    *,
    maximum: MaximalRate,
    facts: Facts,
    resting_bpm: float | None = None,
) -> StagedResult:
    """The multistage submaximal step test: oxygen uptake of each stage, and the peak at the named maximum.

    ``facts`` are those of :mod:`haleward.capacity.void`. Where a peak would not hold, the top stage reached is the
    result, with the reason. Raises :class:`HalewardError` for no stage at all or a value that is not possible.
    """
    if not stages:
        raise HalewardError("A step test needs its stages: height, full steps a minute and heart rate of each.")
    steps: list[Step] = []
    points: list[Point] = []
    cautions: list[str] = []
    stepping = find("vo2_stepping_acsm")
    for number, stage in enumerate(stages, 1):
        STAGE_RATE.check(stage.rate_bpm)
        given: dict[str, Any] = {"steps_per_min": stage.steps_per_min, "height_m": stage.height_m}
        steps.append(stepping.step(f"Oxygen uptake of stage {number}", origins=dict.fromkeys(given, "test"), **given))
        points.append(Point(stepping.call(**given), stage.rate_bpm))
        cautions += stepping.cautions(**given)
    test = StagedTest(
        "Multistage step test",
        tuple(points),
        max(points, key=lambda one: one.vo2_ml_per_kg_min),
        maximum,
        why_void("step_test", facts),
        resting_bpm,
        error_vo2=stepping.standard_error or 0.0,
        steps=tuple(steps),
        cautions=tuple(dict.fromkeys(cautions)),
    )
    return read(test)


def recovery_pulse_test(*, recovery_bpm: float, sex: Sex, facts: Facts, age_y: float | None) -> Worksheet | NotComputed:
    """Peak oxygen uptake from the recovery pulse of a single-stage step test, always with its cautions."""
    validity = why_void("recovery_pulse", facts, age_y=age_y)
    hard = texts("capacity_wording")["too_hard"].format(met=rounded(single_stage_met("recovery_pulse", sex), "METs"))
    if not validity.usable:
        reason = " ".join((*validity.void, hard)) if validity.void else texts("capacity_wording")["staged_unknown"]
        return NotComputed("Recovery pulse after stepping", reason, validity.ask)
    men = sex == "male"
    method = find(f"peak_vo2_recovery_pulse_{'men' if men else 'women'}_mcardle_1972")
    return method.worksheet(recovery_bpm=recovery_bpm, cautions=(hard, *validity.cautions))


def recovery_count_test(*, count_bpm: float, facts: Facts, age_y: float | None) -> Worksheet | NotComputed:
    """The count of the first minute of recovery after 3 min on a 30.5 cm step: a count, never an oxygen uptake."""
    RECOVERY.check(count_bpm)
    wording = texts("capacity_wording")
    validity = why_void("recovery_count", facts, age_y=age_y)
    if not validity.usable:
        reason = validity.why or wording["staged_unknown"]
        return NotComputed("Recovery count after stepping", reason, validity.ask)
    figure = Figure(count_bpm, "bpm")
    hard = wording["too_hard"].format(met=rounded(single_stage_met("recovery_count", "female"), "METs"))
    cautions = (wording["recovery_count_only"], hard, *validity.cautions)
    return Worksheet("Recovery count after stepping", f"{count_bpm:g} beats", (), cautions, figure)


def single_stage_met(test: str, sex: Sex) -> float:
    """METs that a single-stage step test costs, by the stepping equation. Raises :class:`HalewardError`."""
    for row in rows("single_stage_step_tests"):
        if row["test"] == test and row["sex"] in ("", sex):
            vo2 = vo2_stepping_acsm(steps_per_min=float(row["steps_per_min"]), height_m=float(row["height_m"]))
            return met_from_vo2(vo2_ml_per_kg_min=vo2)
    known = ", ".join(dict.fromkeys(row["test"] for row in rows("single_stage_step_tests")))
    raise HalewardError(f"There is no single-stage step test {test!r}; there is {known}.")
