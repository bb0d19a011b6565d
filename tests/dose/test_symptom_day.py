"""A symptom that is told apart from every session still speaks for its whole day."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from haleward.dose.log import WALK, SessionLog
from haleward.dose.progression import propose
from tests.dose.diary import done
from tests.dose.people import TODAY, WELL
from tests.dose.test_progression import LIBRARY, PLAN, PROTOCOL, raises

HOURS = st.integers(0, 23)


@settings(max_examples=20, deadline=None)
@given(HOURS, HOURS, st.integers(0, 9))
def test_nothing_done_up_to_the_day_of_a_symptom_raises_though_somebody_has_seen_to_it(
    told_at: int, done_at: int, symptom_days_ago: int
) -> None:
    days = (7, 5, 3)
    logs = [done(PLAN, days_ago=ago) for ago in days]
    logs = [replace(log, started_at=log.started_at.replace(hour=done_at)) for log in logs]
    day = logs[0].started_at.replace(hour=told_at) + timedelta(days=days[0] - symptom_days_ago)
    unwell = SessionLog("unwell", PLAN.version, WALK, day, symptoms=("faint",), outside=True)
    around = {"protocol": PROTOCOL, "library": LIBRARY, "today": TODAY}
    found = propose(PLAN, (*logs, unwell), WELL, **around, settled=("unwell",))  # type: ignore[arg-type]
    counting = [log for log, ago in zip(logs, days, strict=True) if ago < symptom_days_ago]
    assert bool(raises(found)) == (len(counting) >= PROTOCOL.policies.progression.sessions_needed)
