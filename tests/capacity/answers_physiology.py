"""Judgements of the room physiology."""

from __future__ import annotations

from collections.abc import Iterator

from haleward.physiology import (
    body_bands,
    ceilings,
    effort,
    response_findings,
    segments,
    strength,
    strength_load,
    talk,
    targets,
)
from tests.capacity.answers_people import (
    Case,
)


def physiology_cases() -> Iterator[tuple[str, Case]]:
    """Judgements of the room below."""
    for background in (None, *body_bands.family_backgrounds()):
        yield (
            f"body bands {background}",
            lambda background=background: [
                *(body_bands.bmi_finding(value, background=background) for value in (17, 24, 28, 41)),
                *(body_bands.waist_findings(0.95, sex=sex, background=background) for sex in ("female", "male", None)),
            ],
        )
    yield (
        "waist to height",
        lambda: (
            [body_bands.waist_to_height_finding(0.55, bmi_kg_per_m2=bmi) for bmi in (None, 27, 35)]
            + [body_bands.waist_to_height_finding(ratio, bmi_kg_per_m2=27) for ratio in (0.38, 0.45, 0.62)]
        ),
    )
    yield "background of nothing", lambda: body_bands.bmi_finding(25, background="martian")
    yield (
        "ceilings",
        lambda: [
            ceilings.combine_ceilings(low_bpm=90, high_bpm=120, limits_bpm=limits) for limits in ((), (110,), (80, 130))
        ],
    )
    yield "effort", lambda: [effort.effort_pairs(), effort.intensity_schemes(), effort.effort_relation_text()]
    yield (
        "classes",
        lambda: [
            effort.intensity_classes({"reserve_fraction": 0.5, "effort_6_20": 13, "energy_met": 3.5}, scheme=scheme)
            for scheme in effort.intensity_schemes()
        ],
    )
    yield "no class", lambda: effort.intensity_class("energy_met", 3, scheme="martian")  # type: ignore[arg-type]
    for minutes in (1, 2):
        for posture in ("walking", "sitting", "lying", None):
            for test in ("maximal", "submaximal"):
                yield (
                    f"recovery {minutes} {posture} {test}",
                    lambda minutes=minutes, posture=posture, test=test: response_findings.recovery_findings(
                        peak_bpm=150, later_bpm=140, minutes=minutes, posture=posture, test=test
                    ),
                )
    yield (
        "chronotropic",
        lambda: [
            response_findings.chronotropic_finding(index=0.7, beta_blocker=blocker, rhythm=rhythm)
            for blocker in (True, False, None)
            for rhythm in ("sinus", "atrial_fibrillation", None)
        ],
    )
    for test in ("systolic_fall_mmhg", "systolic_rise_mmhg", "peak_systolic_mmhg", "peak_diastolic_mmhg", "pulse"):
        yield (
            f"pressure {test}",
            lambda test=test: [
                response_findings.pressure_prompts(test, value, sex=sex) for value in (5, 200) for sex in ("male", None)
            ],
        )
    yield "maximum", lambda: strength.predicted_maximum(load_kg=12.5, repetitions=12)
    yield (
        "maximum with some left",
        lambda: strength.predicted_maximum_with_reserve(load_kg=12.5, repetitions=6, reserve_low=1, reserve_high=3),
    )
    yield "load", lambda: strength_load.predicted_load(maximum_kg=40, repetitions=10)
    for tried in ((), ((2, 1),), ((2, 1), (3, 4)), ((2, 1), (3, 8)), ((2, 9),), ((5, 1),), ((4, 9), (3, 1)), ((7, 1),)):
        yield f"next load {tried}", lambda tried=tried: strength_load.next_load(tried=tried, loads_kg=(2, 3, 4, 5))
    yield "next load, none at hand", lambda: strength_load.next_load(tried=(), loads_kg=None)
    yield (
        "effort after",
        lambda: [strength_load.effort_after_repetitions(effort_0_10=5, repetitions=count) for count in (0, 7, 30)],
    )
    yield "talk", lambda: [talk.talk_test(one) for one in ("comfortable", "equivocal", "unable")]
    yield "talk stages", talk.talk_test_stages
    yield "talk of nothing", lambda: talk.talk_test("singing")
    yield (
        "targets",
        lambda: [
            targets.targets(measure, jurisdiction=land)
            for measure in ("blood_pressure", "ldl_cholesterol", "hba1c")
            for land in ("UK", "EU", "US")
        ],
    )
    yield "target of nothing", lambda: targets.targets("happiness", jurisdiction="UK")
    yield "segments", lambda: [segments.segments(one) for one in ("winter", "de_leva_female", "de_leva_male")]
    yield "segment of nothing", lambda: segments.segment("winter", "tail")
    yield "scheme of nothing", lambda: segments.segments("martian")
