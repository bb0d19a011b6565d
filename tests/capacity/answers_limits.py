"""Every formula at the middle of its ranges, and the sentences at and beyond limits."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import haleward.capacity
from haleward.capacity import change, endurance_shuttle, function_tests, mets, norms, predicted, shuttle, void
from haleward.capacity.shuttle_reference import shuttle_walk_norm_harrison_2013
from haleward.errors import HalewardError
from haleward.formula import REGISTRY, Choice, Formula, find
from haleward.physiology import effort, finding, response_findings, strength, strength_load, targets
from haleward.physiology.tables import rows
from tests.capacity.answers_people import CLEAR, Case

MIDDLES = {"maximum_bpm": 160.0, "resting_bpm": 65.0, "age_y": 60.0, "peak_bpm": 150.0}  # where middles contradict


def middle(known: Formula) -> dict[str, Any]:
    """One plain set of arguments: the middle of each range, the first of each choice."""
    found: dict[str, Any] = {}
    for key, limits in known.ranges.items():
        if isinstance(limits, Choice):
            found[key] = limits.options[0]
        else:
            value = MIDDLES.get(key, (limits.low + limits.high) / 2)
            value = min(max(value, limits.low), limits.high)
            found[key] = math.floor(value) if limits.whole else value
    return found


def formula_cases() -> Iterator[tuple[str, Case]]:
    """Every registered formula with its whole working."""
    assert haleward.capacity  # both rooms are registered
    for name, known in sorted(REGISTRY.items()):
        yield f"formula {name}", lambda known=known: known.worksheet(**middle(known))


def told_by(function: Any, **given: Any) -> object:
    """What a function says: its answer or its refusal."""
    try:
        return function(**given)
    except HalewardError as fault:
        return str(fault)


def limit_cases() -> Iterator[tuple[str, Case]]:
    """Just within a limit, just beyond it, and what contradicts."""
    yield (
        "index",
        lambda: [
            told_by(response_findings.chronotropic_finding, index=index, beta_blocker=False, rhythm="sinus")
            for index in (-1.01, -1, 3, 3.01)
        ],
    )
    yield (
        "recovery minutes",
        lambda: [
            told_by(
                response_findings.recovery_findings,
                peak_bpm=150,
                later_bpm=140,
                minutes=minutes,
                posture=None,
                test="maximal",
            )
            for minutes in (0, 1.5, 3)
        ],
    )
    yield (
        "repetitions left",
        lambda: [told_by(effort.effort_6_20_of_reserve, reserve=reserve) for reserve in (-1, 0, 1.5, 30, 31)],
    )
    yield (
        "repetitions further",
        lambda: [
            told_by(strength_load.effort_after_repetitions, effort_0_10=start, repetitions=count)
            for start, count in ((3.9, 1), (4, 0), (6, 30), (6.1, 1), (5, 31), (5, -1), (5, 1.5))
        ],
    )
    yield (
        "reserve of one number",
        lambda: [
            told_by(
                strength.predicted_maximum_with_reserve, load_kg=10, repetitions=5, reserve_low=low, reserve_high=high
            )
            for low, high in ((2, 2), (3, 2))
        ],
    )
    yield "load beyond the stated repetitions", lambda: strength_load.predicted_load(maximum_kg=40, repetitions=14)
    yield (
        "stands",
        lambda: (
            [
                told_by(function_tests.chair_stand_score, repetitions=count, arms_used=False)
                for count in (-1, 0, 1.5, 60, 61)
            ]
            + [
                told_by(function_tests.chair_stand_finding, repetitions=count, age_y=70, sex="male")
                for count in (-1, 0, 1.5, 60, 61)
            ]
        ),
    )
    yield (
        "stances and times",
        lambda: [
            told_by(
                function_tests.sppb,
                side_by_side_s=10,
                semi_tandem_s=10,
                tandem_s=tandem,
                gait_4m_s=gait,
                chair_rises_5_s=rises,
            )
            for tandem, gait, rises in (
                (10, None, None),
                (61, 5, 11),
                (3, 4.825, 11.195),
                (2.99, 0.4, 12),
                (9, "unable", 601),
            )
        ],
    )
    yield (
        "shuttles",
        lambda: (
            [told_by(shuttle.reached, distance_m=metres) for metres in (-1, 0, 9.9, 35, 1020, 1020.5, True)]
            + [told_by(shuttle.level, number=number) for number in (0, 1, 12, 13)]
        ),
    )
    yield (
        "tracks",
        lambda: [told_by(endurance_shuttle.track_for, speed_km_per_h=speed) for speed in (1.62, 1.625, 6.12, 6.1201)],
    )
    yield (
        "shuttle norm",
        lambda: [told_by(shuttle_walk_norm_harrison_2013, age_y=age) for age in (10, 60, 64.9, 109.9, 110, 111)],
    )
    yield "standard deviations", lambda: [norms.z_score(norms.norms("grip_kg")[0], value) for value in (20, 50)]
    yield (
        "at the mean",
        lambda: [
            norms.norm_findings(one.test, one.value, age_y=one.age_from, sex=one.sex or None)
            for one in (norms.norms("grip_kg")[0], norms.norms("gait_speed_m_per_s")[0])
            if one.value is not None
        ],
    )
    yield (
        "two equations",
        lambda: [
            predicted.change_of_percent(before, after)
            for before in (_beside("six_minute_walk_m_enright_bmi_1998"), _beside("six_minute_walk_m_troosters_1999"))
            for after in (_beside("six_minute_walk_m_troosters_1999", 480.0),)
        ],
    )
    yield (
        "energy of an activity",
        lambda: [
            [
                mets.energy_of(one, mass_kg=80, duration_min=30, age_y=age),
                mets.met_minutes_of(one, duration_min=30, age_y=age),
            ]
            for one in (mets.entries()[0], mets.entries()[-1])
            for age in (None, 40, 70)
        ],
    )
    yield "years of a code", lambda: [told_by(mets.entry, code=one.code, year=1999) for one in mets.entries()[:3]]
    yield "targets of every land", lambda: targets.targets("resting_heart_rate", jurisdiction="UK")
    yield "unknown fact", lambda: void.why_void("step_test", CLEAR | {"full moon": True})
    yield "unknown method", lambda: void.why_void("dowsing", CLEAR)
    cutoff = {**rows("function_cutoffs")[0], "comparison": "~"}
    yield "comparison", lambda: finding.held_against(cutoff, test="grip_kg", value=3)
    yield "beyond any cut-off", lambda: finding.findings_in("function_cutoffs", "grip_kg", 2001)
    yield (
        "no change",
        lambda: change.change(before=300, after=300, measure="six_minute_walk", population="heart_failure"),
    )
    yield (
        "change beyond",
        lambda: change.change(before=300, after=10001, measure="six_minute_walk", population="heart_failure"),
    )


def contradiction_cases() -> Iterator[tuple[str, Case]]:
    """Formulas whose arguments contradict each other, on both sides of the limit."""
    given: dict[str, list[dict[str, Any]]] = {
        "chronotropic_index": [
            {"peak_bpm": 120, "resting_bpm": rest, "age_y": age} for rest, age in ((110, 110), (109, 110), (111, 110))
        ],
        "fraction_of_vo2_reserve": [
            {"vo2_ml_per_kg_min": 3.5, "peak_vo2_ml_per_kg_min": peak} for peak in (3.4, 3.5, 3.6)
        ],
        "reserve_target_vo2": [{"peak_vo2_ml_per_kg_min": peak, "fraction": 0.5} for peak in (3.4, 3.5, 3.6)],
        "step_height_cm_acsm": [{"vo2_ml_per_kg_min": vo2, "steps_per_min": 20} for vo2 in (7.4, 7.5, 9)],
        "leg_cycling_kgm_per_min_acsm": [{"vo2_ml_per_kg_min": vo2, "mass_kg": 80} for vo2 in (6.9, 7, 88)],
        "training_impulse_banister_1991": [
            {"duration_min": 30, "rate_bpm": rate, "resting_bpm": 60, "maximum_bpm": 180, "sex": "male"}
            for rate in (59, 60, 120, 180, 181)
        ],
    }
    for name, several in given.items():
        yield (
            f"{name} at its limit",
            lambda name=name, several=several: [told_by(find(name).worksheet, **one) for one in several],
        )
    yield (
        "a segment without a length",
        lambda: [
            told_by(find("segment_length_cm_de_leva_1996").call, stature_m=1.7, sex="female", segment_name=name)
            for name in find("segment_length_cm_de_leva_1996").ranges["segment_name"].options  # type: ignore[union-attr]
        ],
    )


def _beside(equation: str, distance_m: float = 450.0) -> predicted.Compared:
    person = {"age_y": 65.0, "stature_m": 1.7, "mass_kg": 80.0, "bmi_kg_per_m2": 27.7}
    given = {key: person[key] for key in find(equation).ranges if key in person}
    return predicted.compare_with(equation, distance_m=distance_m, sex="male", **given)
