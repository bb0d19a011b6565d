"""Today: who needs what, soonest first, each with its one next action, for two hundred people in bounded queries."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from haleward.record import HeartRate
from haleward.web.accounts.models import User
from haleward.web.assessment.models import Assessment
from haleward.web.concerns.models import Concern, Contact
from haleward.web.delivery.links import make_link, token_of
from haleward.web.delivery.models import SpecialDays
from haleward.web.people.due import due_lines
from haleward.web.people.models import Person
from haleward.web.prescription import actions
from haleward.web.prescription.models import ProgrammeVersion, ProposalDecision
from tests.web.conftest import as_user, complete_record, finish
from tests.web.log_entries import entry, send

pytestmark = pytest.mark.django_db
MANY = 200


def signed_ago(person: Person, lead: User, days: int) -> ProgrammeVersion:
    then = timezone.now() - timedelta(days=days)
    row = actions.start_draft(person, user=lead, now=then)
    actions.sign(row, decision=actions.Decision(), user=lead, now=then)
    return row


def actions_for(user: User) -> list[str]:
    return [line.action for line in due_lines(user)]


def test_it_works(assessed: Person, lead: User, nurse: User) -> None:
    signed_ago(assessed, lead, 9)
    text = as_user(nurse).get(reverse("today")).content.decode()
    assert "Nothing told yet" in text
    assert reverse("phone_brief", args=[assessed.pk]) in text
    assert ">Get in touch</span>" in text


# Silent


def test_whoever_got_the_plan_today_is_not_silent(plan: ProgrammeVersion, lead: User) -> None:
    assert "Get in touch" not in actions_for(lead)


def test_somebody_who_was_called_or_is_away_is_not_listed(assessed: Person, lead: User, nurse: User) -> None:
    signed_ago(assessed, lead, 9)
    assert "Get in touch" in actions_for(nurse)
    today = timezone.localdate()
    away = SpecialDays.objects.create(
        person=assessed, kind="away", first_on=today - timedelta(days=1), last_on=today + timedelta(days=3),
        origin="person", told_at=timezone.now(),
    )  # fmt: skip
    assert "Get in touch" not in actions_for(nurse)
    away.withdrawn_at = timezone.now()
    away.save()
    assert "Get in touch" in actions_for(nurse)
    Contact.objects.create(person=assessed, at=timezone.now(), by=nurse, reached=False, note="No answer.")
    assert "Get in touch" not in actions_for(nurse)


def test_a_session_ends_the_silence(assessed: Person, lead: User, nurse: User) -> None:
    signed_ago(assessed, lead, 9)
    one = entry(1, "set", repetitions=10)
    one["at"] = (timezone.now() - timedelta(days=1)).isoformat()
    assert send(token_of(make_link(assessed, user=nurse, now=timezone.now())), [one]).status_code == 200
    assert "Get in touch" not in actions_for(nurse)


# Finishing, expired


def test_ten_weeks_after_the_first_plan_somebody_is_assessed_again(assessed: Person, lead: User, nurse: User) -> None:
    signed_ago(assessed, lead, 71)
    Assessment.objects.filter(person=assessed).update(finished_at=timezone.now() - timedelta(days=72))
    assert "Assess again" in actions_for(lead)
    finish(assessed, complete_record(assessed, timezone.localdate()), nurse)
    assert "Assess again" not in actions_for(lead)


def test_an_expired_range_asks_for_the_resting_rate(assessed: Person, lead: User, nurse: User) -> None:
    signed_ago(assessed, lead, 1)
    assert "Count the resting heart rate" not in actions_for(lead)
    old = HeartRate(64.0, timezone.localdate() - timedelta(days=400), "seated")
    finish(assessed, replace(complete_record(assessed, timezone.localdate()), resting_heart_rate=old), nurse)
    assert "Count the resting heart rate" in actions_for(lead)


# Order and roles


def test_what_is_overdue_comes_before_all_else(assessed: Person, lead: User) -> None:
    signed_ago(assessed, lead, 9)
    for urgency, days in (("emergency", 0), ("next_working_day", 20)):
        Concern.objects.create(
            person=assessed, topic=urgency, urgency=urgency, text="x", raised_at=timezone.now() - timedelta(days=days)
        )
    lines = due_lines(lead)
    assert lines[0].when.startswith(("Now", "Overdue"))
    assert [line.order for line in lines] == sorted(line.order for line in lines)
    assert all(line.action for line in lines)


@pytest.mark.parametrize("role", ["assistant", "manager"])
def test_other_roles_see_no_person_here(role: str, staff: dict[str, User], assessed: Person, lead: User) -> None:
    signed_ago(assessed, lead, 9)
    assert "Ana" not in as_user(staff[role]).get(reverse("today")).content.decode()


# Many people


@pytest.fixture
def many(assessed: Person, lead: User) -> Person:
    """Two hundred people like the first: a silent plan of nine days, a concern and a proposal each."""
    plan, record = signed_ago(assessed, lead, 9), Assessment.objects.get(person=assessed)
    people = Person.objects.bulk_create(
        Person(service=assessed.service, first_name="Ana", last_name=f"Hill {number}", born_on=date(1956, 5, 4))
        for number in range(MANY - 1)
    )
    for one in people:
        for row in (record, plan):
            row.pk, row._state.adding, row.person = None, True, one
        plan.assessment = record
        Assessment.objects.bulk_create([record])
        ProgrammeVersion.objects.bulk_create([plan])
        proposal = {
            "kind": "raise_set", "part_key": "one", "exercise_index": 0, "reason": "Easy.", "rule_id": "r",
            "made_on": "2026-03-02", **PROPOSAL_REST,
        }  # fmt: skip
        first = plan.programme["parts"][0]["exercises"][0]
        proposal |= {"movement_id": first["movement_id"], "before": first["dose"], "after": first["dose"]}
        ProposalDecision.objects.bulk_create([ProposalDecision(person=one, programme=plan, proposal=proposal)])
    Concern.objects.bulk_create(
        Concern(person=one, topic="sore", urgency="same_day", text="x", raised_at=timezone.now()) for one in people
    )
    return assessed


PROPOSAL_REST: dict[str, object] = {
    "evidence": [],
    "replacement": None,
    "walking_before": None,
    "walking_after": None,
    "used": [],
    "otherwise": "",
}


def test_two_hundred_people_need_no_more_queries_than_one(
    many: Person, lead: User, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    client = as_user(lead)
    for page, most in (("today", 20), ("concerns", 16), ("proposals", 16)):
        with django_assert_max_num_queries(most):
            text = client.get(reverse(page)).content.decode()
        assert text.count("Hill 1") > 0
    assert len([line for line in due_lines(lead) if line.action == "Get in touch"]) == MANY


# Charts on the staff page


def test_the_course_is_drawn_with_its_tables(token: str, plan: ProgrammeVersion, nurse: User, assistant: User) -> None:
    batch = [entry(1, "set", repetitions=10), entry(2, "effort", effort=4), entry(3, "done", whole_effort=4)]
    send(token, batch)
    address = reverse("course", args=[plan.person.pk])
    text = as_user(nurse).get(address).content.decode()
    for told in ("Six-minute walk against its error", "Heart rate at the same effort", "load and effort", "<table>"):
        assert told in text
    assert text.count('role="img"') == text.count("<figure>") > 2
    assert as_user(assistant).get(address).status_code == 403
    assert address in as_user(nurse).get(reverse("person", args=[plan.person.pk])).content.decode()


def test_before_the_first_assessment_nothing_is_drawn(person: Person, nurse: User) -> None:
    assert "Nothing to draw yet" in as_user(nurse).get(reverse("course", args=[person.pk])).content.decode()
