"""Scenarios of the reference between two visits, through the store and the screens of staff."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from unittest.mock import patch
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from haleward.dose.model import Programme
from haleward.record import HeartRate, Medicine
from haleward.web.accounts.models import User
from haleward.web.concerns.models import Concern
from haleward.web.concerns.queue import queue_of
from haleward.web.delivery.actions import store_entries
from haleward.web.delivery.holding import why_held
from haleward.web.delivery.links import Holder
from haleward.web.delivery.special import Days, tell_days
from haleward.web.delivery.weeks import week_for
from haleward.web.people.course import charts_of
from haleward.web.people.models import Person
from haleward.web.prescription import actions, daily
from haleward.web.prescription.models import ProgrammeVersion, ProposalDecision
from tests.web.conftest import as_user, complete_record, finish
from tests.web.log_entries import entry

pytestmark = pytest.mark.django_db


def signed_ago(person: Person, lead: User, days: int) -> ProgrammeVersion:
    then = timezone.now() - timedelta(days=days)
    row = actions.start_draft(person, user=lead, now=then)
    actions.sign(row, decision=actions.Decision(), user=lead, now=then)
    return row


def exercised(person: Person, plan: Programme, days_ago: int, effort: float = 3.0) -> None:
    """Part one as planned, watched by staff."""
    start, session = timezone.now() - timedelta(days=days_ago), uuid4()
    batch_of: list[dict[str, object]] = []
    for index, exercise in enumerate(plan.parts[0].exercises):
        for number in range(1, exercise.dose.sets + 1):
            about = {"exercise_index": index, "movement_id": exercise.movement_id, "set_number": number}
            batch_of.append(
                entry(len(batch_of), "set", session=session, repetitions=exercise.dose.repetitions) | {"about": about}
            )
            batch_of.append(entry(len(batch_of), "effort", session=session, effort=effort) | {"about": about})
    batch_of.append(entry(len(batch_of), "done", session=session, whole_effort=effort, worried=False) | {"about": {}})
    for minutes, one in enumerate(batch_of):
        one["at"] = (start + timedelta(minutes=minutes)).isoformat()
        one["data"] |= one.pop("about")  # type: ignore[operator]
    store_entries(batch_of, holder=Holder(person, "staff"), now=timezone.now())


def kinds(person: Person) -> list[str]:
    waiting = person.proposals.filter(answer=ProposalDecision.Answer.WAITING)
    return [row.proposal["kind"] for row in waiting]


def test_p_022_three_weeks_missed_with_a_chest_infection(assessed: Person, lead: User, nurse: User) -> None:
    """Symptoms and medicines again, restart below the last level; never on with the progression chart."""
    plan = signed_ago(assessed, lead, 40)
    for days in (26, 24, 22):
        exercised(assessed, actions.programme_of(plan), days)
    now = timezone.now()
    ill = entry(1, "unwell", session=uuid4(), topic="fever or feeling ill")
    ill["at"] = (now - timedelta(days=21)).isoformat()
    store_entries([ill], holder=Holder(assessed, "person"), now=now)
    daily.look_again(lead.service, now=now)
    assert set(kinds(assessed)) & {"step_back", "review"}
    assert not [kind for kind in kinds(assessed) if kind.startswith("raise_")]
    assert why_held(assessed, timezone.localdate())
    brief = as_user(nurse).get(reverse("phone_brief", args=[assessed.pk])).content.decode()
    assert "fever or feeling ill" in brief
    assert "Has any medicine been started, stopped or changed" in brief
    assert "Nothing was told in these days." in brief


def test_p_023_bisoprolol_doubled_in_week_four(assessed: Person, lead: User, nurse: User) -> None:
    """A new epoch: the range has expired, the trend is broken and labelled; the lower rate is never called fitter."""
    today = timezone.localdate()
    low = (Medicine("beta_blocker", "bisoprolol", "2.5 mg", today - timedelta(days=70)),)
    high = (Medicine("beta_blocker", "bisoprolol", "5 mg", today),)
    finish(assessed, replace(complete_record(assessed, today), medicines=low), nurse)
    plan = signed_ago(assessed, lead, 25)
    for days in (4, 2):
        exercised(assessed, actions.programme_of(plan), days)
    finish(assessed, replace(complete_record(assessed, today), medicines=high), nurse)
    daily.look_again(lead.service, now=timezone.now())
    assert "step_back" in kinds(assessed)
    assert not [kind for kind in kinds(assessed) if kind.startswith("raise_")]
    text = as_user(lead).get(reverse("today")).content.decode()
    assert "The heart-rate range is out of use" in text
    later = replace(complete_record(assessed, today), medicines=high, resting_heart_rate=HeartRate(54.0, today))
    finish(assessed, later, nurse)
    rate = next(chart for chart in charts_of(assessed, today=today) if chart.key == "rate")
    assert "bisoprolol 5 mg" in rate.says
    assert "says nothing about fitness" in rate.says
    assert "fitter" not in rate.says


def test_p_027_thighs_sore_four_days_after_squats(assessed: Person, lead: User, nurse: User) -> None:
    """Hold and lighten, ask for one-sided swelling, dark urine and a statin; a nurse the same or the next day."""
    plan = signed_ago(assessed, lead, 9)
    for days in (7, 5):
        exercised(assessed, actions.programme_of(plan), days)
    assert [kind for kind in kinds(assessed) if kind.startswith("raise_")]
    sore = entry(1, "sore", session=uuid4(), sore_days=4, places=["legs"], plan_version=plan.version)
    sore["at"] = (timezone.now() - timedelta(days=1)).isoformat()
    store_entries([sore], holder=Holder(assessed, "person"), now=timezone.now())
    assert not [kind for kind in kinds(assessed) if kind.startswith("raise_")]
    row = Concern.objects.get()
    assert (row.topic, row.urgency, row.holds_plan) == ("soreness beyond 3 days", "next_working_day", False)
    assert row.told
    brief = as_user(nurse).get(reverse("phone_brief", args=[assessed.pk])).content.decode()
    assert "dark urine" in brief


def test_soreness_within_the_normal_days_is_no_concern(assessed: Person, lead: User) -> None:
    signed_ago(assessed, lead, 9)
    sore = entry(1, "sore", session=uuid4(), sore_days=3, places=["legs"])
    store_entries([sore], holder=Holder(assessed, "person"), now=timezone.now())
    assert not Concern.objects.exists()


def test_p_028_chest_tightness_at_ten_at_night(assessed: Person, lead: User, nurse: User) -> None:
    """Nobody reads it then and the person is told so; the plan is on hold, and it is first on tomorrow's list."""
    signed_ago(assessed, lead, 9)
    night = datetime.combine(date(2026, 11, 23), datetime.min.time(), timezone.get_current_timezone()).replace(hour=22)
    one = entry(1, "unwell", session=uuid4(), topic="chest discomfort, no nitrate")
    one["at"] = night.isoformat()
    store_entries([one], holder=Holder(assessed, "person"), now=night)
    row = Concern.objects.get()
    assert row.told.splitlines()[0].startswith("Call 999")
    assert "No one is reading this now" in row.told or "no one is reading" in row.told.lower()
    assert why_held(assessed, night.date())
    Concern.objects.create(person=assessed, topic="sore", urgency="same_day", text="x", raised_at=night)
    morning = night.replace(hour=9, minute=10) + timedelta(days=1)
    first, _ = queue_of(nurse, now=morning)
    assert (first.row, first.due_at, first.late) == (row, morning.replace(minute=0), "10 minutes")
    with patch("django.utils.timezone.now", return_value=morning):
        text = as_user(nurse).get(reverse("today")).content.decode()
    assert text.index("Overdue by 10 minutes") < text.index("Sore: x")


def test_p_021_fasting_for_a_month_with_tablets_at_odd_times(assessed: Person, lead: User, nurse: User) -> None:
    """Asked, the time moved, the nurse looks at medicines and glucose; no blame, never counted against the person."""
    plan, today = signed_ago(assessed, lead, 9), timezone.localdate()
    days: Days = {"kind": "fasting", "first_on": today, "last_on": today + timedelta(days=28), "minutes": None}
    tell_days(uuid4(), days, holder=Holder(assessed, "person"), user=None, now=timezone.now())
    concern = Concern.objects.get()
    assert (concern.topic, concern.urgency, concern.holds_plan) == ("fasting", "next_working_day", False)
    assert "Review medicines and glucose, and agree times for the sessions." in concern.text
    week = week_for(plan, today)
    assert week.off == ()
    assert [one.special.kind for one in week.days if one.special and one.on >= today]
    assert not why_held(assessed, today)
    daily.look_again(lead.service, now=timezone.now())
    assert kinds(assessed) == []
