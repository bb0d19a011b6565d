"""A session told from paper is the same entry as one told on the page."""

from datetime import UTC, date, datetime
from uuid import UUID

import pytest

from haleward.dose.log import WALK
from haleward.dose.model import Walking
from haleward.session.entries import faults_of, logs_of
from haleward.session.told import planned_sets, report_entry, walked_sets
from tests.session.samples import BALANCED, programme

NOW = datetime(2026, 3, 4, 16, 30, tzinfo=UTC)


def told(on: date) -> dict[str, object]:
    return report_entry(
        entry_id=UUID(int=1), session_id=UUID(int=2), plan_version=1, part_key="one", on=on, outcome="as_planned",
        now=NOW, sets=planned_sets(programme(*BALANCED), "one"),
    )  # fmt: skip


def test_what_is_told_today_has_its_time_and_what_is_told_late_has_none() -> None:
    today, earlier = logs_of([told(NOW.date())]), logs_of([told(date(2026, 3, 2))])
    assert (today.started_at, today.back_dated) == (NOW, False)
    assert (earlier.started_at.date(), earlier.started_at.hour, earlier.back_dated) == (date(2026, 3, 2), 12, True)
    assert faults_of(told(NOW.date())) == ()


def test_as_planned_has_every_set_with_its_repetitions_and_no_effort() -> None:
    plan = programme(*BALANCED)
    sets = logs_of([told(NOW.date())]).sets
    assert len(sets) == sum(one.dose.sets for one in plan.parts[0].exercises)
    assert all(one.repetitions == plan.parts[0].exercises[one.exercise_index].dose.repetitions for one in sets)
    assert {one.effort for one in sets} == {None}
    assert {one["exercise_index"] for one in planned_sets(plan, "one", exercises=(0,))} == {0}


@pytest.mark.parametrize(("minutes", "bouts"), [(5, [5]), (10, [10]), (14, [10, 4]), (20, [10, 10]), (35, [10, 25])])
def test_a_walk_fills_the_bouts_of_the_plan(minutes: int, bouts: list[int]) -> None:
    walking = Walking(("monday",), 2, 10, 3)
    assert [one["minutes"] for one in walked_sets(walking, minutes)] == bouts


def test_a_walk_as_planned_is_all_its_minutes() -> None:
    plan = programme(*BALANCED)
    whole = plan.walking.bouts * plan.walking.bout_minutes
    assert sum(one["minutes"] for one in planned_sets(plan, WALK)) == whole
