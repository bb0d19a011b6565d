"""Capacity from a recorded walk, and the change between two."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from typing import Any

from haleward.capacity import (
    change,
    validity,
    walk,
)
from haleward.record import Event, Medicine, WalkTest
from tests.capacity.answers_people import (
    DAY,
    LATER,
    METHODS,
    PERSON,
    SHUTTLES,
    SIX,
    Case,
)


def walk_cases() -> Iterator[tuple[str, Case]]:
    """Capacity from a recorded walk, changes between two, and what weakens them."""

    def capacity(taken: WalkTest | None, *, six: str = METHODS[0], today: date = LATER, **more: Any) -> Case:
        record = replace(PERSON, walk=taken, **more)
        return lambda: walk.estimate_capacity(record, six_minute_method=six, shuttle_method=METHODS[1], today=today)

    yield "capacity", capacity(SIX, events=(Event("mi", date(2026, 4, 1)), Event("pci", DAY)))
    yield "capacity, weakened", capacity(replace(SIX, course_m=20, aid="stick", symptoms=True, practice_done=False))
    yield "capacity, stopped early", capacity(replace(SIX, course_m=None, symptoms=None, stopped_for="Tired legs"))
    yield "capacity, heart-rate limit", capacity(replace(SIX, stopped_for="heart rate limit reached"))
    yield "capacity, very fast", capacity(replace(SIX, distance_m=900))
    yield "capacity by another method", capacity(SIX, six="peak_vo2_six_minute_walk_cahalin_1996")
    yield "capacity by what is no method", capacity(SIX, six="six_minute_walk_m_enright_1998")
    yield "shuttle capacity", capacity(replace(SHUTTLES, course_m=9, aid="yes"))
    yield "shuttle capacity, whole test", capacity(replace(SHUTTLES, distance_m=1020, aid="none"))
    yield "no walk", capacity(None)
    yield "no level", capacity(replace(SHUTTLES, distance_m=20))
    yield "too far", capacity(replace(SHUTTLES, distance_m=1500))
    yield "in the future", capacity(SIX, today=date(2026, 3, 1))

    def between(first: WalkTest, second: WalkTest, medicine: bool | None = False, oxygen: bool | None = False) -> Case:
        return lambda: change.change_of_walks(
            first, second, population="heart_failure", slowing_medicine_changed=medicine, oxygen_changed=oxygen
        )

    again = replace(SIX, tested_on=LATER, distance_m=460)
    yield "change", between(SIX, again)
    yield "change, not known", between(SIX, again, None, None)
    yield "change, medicine not known", between(SIX, again, None)
    yield (
        "change, all different",
        between(
            replace(SIX, aid="No", stopped_for="breathless"),
            replace(SHUTTLES, aid="stick", stopped_for="heart rate limit"),
            True,
            True,
        ),
    )
    yield "change, other course", between(SIX, replace(again, course_m=20))
    yield "change, course unknown", between(replace(SIX, course_m=None), replace(again, course_m=None))
    yield "change, same aid in other words", between(replace(SIX, aid="none"), replace(again, aid=" no "))
    yield "every published difference", change.published_limits
    yield "a difference of nothing", lambda: change.limits_of("six_minute_walk", "giants")
    yield (
        "no verdict on estimates",
        lambda: change.change(before=15, after=18, measure="peak_vo2", population="heart_failure"),
    )
    medicines = (
        (),
        (Medicine("beta_blocker", "Bisoprolol", "5 mg"),),
        (Medicine("beta_blocker", "bisoprolol", "10 mg"),),
    )
    yield (
        "changed medicines",
        lambda: [
            change.slowing_medicine_changed(
                replace(PERSON, medicines=one), replace(PERSON, medicines=other), slowing=("beta_blocker",)
            )
            for one in (None, *medicines)
            for other in medicines
        ],
    )
    reasons = ("", "Heart-rate limit", "heart_rate_limit", "the heart rate alarm", "shop closed", "breathless")
    yield "reasons to stop", lambda: [validity.stop_reason(one) for one in reasons]
    for step in (-45, -31, -20, 5, 20, 31, 45):
        yield (
            f"verdict on {step} m",
            lambda step=step: [
                change.change(before=300, after=300 + step, measure=one.measure, population=one.population)
                for one in change.published_limits()
                if one.verdict and one.unit == "m"
            ],
        )
