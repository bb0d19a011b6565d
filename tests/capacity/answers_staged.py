"""Staged tests, norms, comparisons and what voids them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from haleward.capacity import (
    activity_status,
    balance,
    cycle_test,
    endurance_shuttle,
    extrapolation,
    function_tests,
    mets,
    norms,
    predicted,
    shuttle,
    shuttle_mets,
    step_test,
    two_minute_step,
    void,
)
from haleward.record import Device, FunctionTests, Medicine
from tests.capacity.answers_people import (
    CLEAR,
    DAY,
    LATER,
    MAN,
    PERSON,
    UNKNOWN,
    WOMAN,
    Case,
)


def staged_cases() -> Iterator[tuple[str, Case]]:
    """Staged tests, norms, comparisons, tables."""
    stages = [step_test.Stage(0.2, 15, 95), step_test.Stage(0.2, 20, 106)]
    top = extrapolation.measured_maximum(bpm=140)
    for name, rates, maximum, facts, rest in (
        ("read", (95, 106), 140, CLEAR, 60),
        ("not rising", (95, 96), 140, CLEAR, None),
        ("near rest", (95, 106), 140, CLEAR, 90),
        ("above the maximum", (95, 106), 104, CLEAR, None),
        ("too far", (95, 100), 200, CLEAR, None),
        ("one stage", (95,), 140, CLEAR, None),
        ("unknown", (95, 106), 140, {}, None),
        ("void", (95, 106), 140, CLEAR | {"hand_support": True}, None),
    ):
        done = [replace(one, rate_bpm=bpm) for one, bpm in zip(stages, rates, strict=False)]
        known = extrapolation.measured_maximum(bpm=maximum)
        yield (
            f"steps {name}",
            lambda done=done, known=known, facts=facts, rest=rest: step_test.step_test(
                done, maximum=known, facts=facts, resting_bpm=rest
            ),
        )
    yield "steps none", lambda: step_test.step_test([], maximum=top, facts=CLEAR)
    yield "recovery pulse", lambda: step_test.recovery_pulse_test(recovery_bpm=130, sex="male", facts=CLEAR, age_y=22)
    yield (
        "recovery pulse, old",
        lambda: step_test.recovery_pulse_test(recovery_bpm=130, sex="female", facts=CLEAR, age_y=66),
    )
    yield (
        "recovery pulse, unknown",
        lambda: step_test.recovery_pulse_test(recovery_bpm=130, sex="female", facts={}, age_y=None),
    )
    yield "recovery count", lambda: step_test.recovery_count_test(count_bpm=100, facts=CLEAR, age_y=40)
    yield "recovery count, unknown", lambda: step_test.recovery_count_test(count_bpm=100, facts={}, age_y=None)
    yield (
        "recovery count, void",
        lambda: step_test.recovery_count_test(
            count_bpm=100, facts=CLEAR | dict.fromkeys(void.fact_names(), True), age_y=40
        ),
    )
    one, two, three = (cycle_test.CycleStage(load, bpm - 2, bpm) for load, bpm in ((150, 95), (450, 115), (600, 124)))
    rides = ([], [one], [one, two], [one, two, three], [replace(one, earlier_bpm=80)], [replace(one, rate_bpm=139)])
    for number, ride in enumerate(rides):
        yield f"cycle advice {number}", lambda ride=ride: cycle_test.next_stage(ride, maximum_bpm=160)
        yield (
            f"cycle {number}",
            lambda ride=ride: cycle_test.cycle_test(ride, mass_kg=80, maximum=top, facts=CLEAR, resting_bpm=None),
        )
    yield "no more stages", lambda: cycle_test.next_stage([replace(one, rate_bpm=90)] * 4, maximum_bpm=220)
    yield (
        "maxima",
        lambda: [
            extrapolation.predicted_maximum_rate(name, age_y=60)
            for name in ("maximum_bpm_fox_1971", "maximum_bpm_tanaka_2001", "maximum_bpm_inbar_1994")
        ],
    )
    yield "endurance", lambda: endurance_shuttle.endurance_score(clock_s=400, track=endurance_shuttle.tracks()[4])
    yield (
        "endurance, to the end",
        lambda: endurance_shuttle.endurance_score(clock_s=1290, track=endurance_shuttle.tracks()[0]),
    )
    yield "endurance, no track", lambda: endurance_shuttle.track_for(speed_km_per_h=9)
    yield "levels", lambda: [shuttle.level(number) for number in (1, 7, 12)]
    yield "reached", lambda: [shuttle.reached(distance_m=metres) for metres in (0, 20, 30, 70, 75, 1020)]
    yield (
        "METs of levels",
        lambda: [
            shuttle_mets.level_met(completed_level=number, method=method)
            for method in shuttle_mets.METHODS
            for number in (1, 6, 12)
        ],
    )
    for test in norms.tests_with_norms():
        for about in (MAN, WOMAN, UNKNOWN):
            yield (
                f"norm of {test}, {about.sex}, {about.age_y}",
                lambda test=test, about=about: [
                    norms.norm_findings(test, value, age_y=about.age_y, sex=about.sex) for value in (0.5, 12, 600)
                ],
            )
    yield "norm of nothing", lambda: norms.norms("hopping")
    person = {"age_y": 65.0, "stature_m": 1.7, "mass_kg": 80.0, "bmi_kg_per_m2": 27.7}
    for test in ("six_minute_walk", "shuttle_walk"):
        for equation in predicted.reference_equations(test):
            given = {key: person[key] for key in equation.ranges if key in person}
            yield (
                f"beside {equation.name}",
                lambda equation=equation, given=given: predicted.compare_with(
                    equation.name, distance_m=450, sex="male", **given
                ),
            )
    yield "beside nothing", lambda: predicted.compare_with("met_minutes", distance_m=450, sex="male")
    yield "equations of nothing", lambda: predicted.reference_equations("hopping")
    for facts in (CLEAR, {}, dict.fromkeys(void.fact_names(), True)):
        yield (
            f"void, facts {sorted(set(facts.values()))}",
            lambda facts=facts: [void.why_void(method, facts, age_y=50) for method in void.methods()],
        )
    yield "void at 97", lambda: [void.why_void(method, CLEAR, age_y=97) for method in void.methods()]
    yield (
        "facts of a person",
        lambda: [
            void.facts_of(PERSON),
            void.facts_of(
                replace(PERSON, medicines=(Medicine("beta_blocker", ""),), rhythm="sinus", device=Device("pacemaker"))
            ),
        ],
    )
    yield "METs", lambda: [mets.search("walking"), mets.cautions(mets.entries()[0], age_y=None)]
    yield "MET of nothing", lambda: mets.entry(code="99999", year=2011)
    tests = FunctionTests(DAY, chair_stands_30s=9, up_and_go_s=13, gait_speed_m_per_s=0.7, tandem_s=8, sppb_points=8)
    yield "function tests", lambda: function_tests.findings(replace(PERSON, tests=tests), today=LATER)
    yield "gait classes", lambda: [function_tests.gait_class(speed) for speed in (0.39, 0.4, 0.8, 0.81, 1.3)]
    yield (
        "march findings",
        lambda: [
            two_minute_step.two_minute_step_findings(steps=steps, age_y=72, sex="female", facts={"help_given": False})
            for steps in (40, 66, 90, 102, 140)
        ],
    )
    yield (
        "stances",
        lambda: [
            balance.four_stage_balance(side_by_side_s=10, semi_tandem_s=semi, tandem_s=3, one_leg_s=None)
            for semi in (10, 4, None)
        ],
    )
    yield "activity of one item", lambda: activity_status.activity_status({1: True})
    yield "activity of no item", lambda: activity_status.points_of(13)
