"""The queue of concerns: who has it, how late it is, what was done; nothing leaves it without an outcome."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from unittest.mock import patch

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from haleward.errors import HalewardError, Inconsistent
from haleward.web.accounts.models import Role, User
from haleward.web.concerns import handling
from haleward.web.concerns.models import Concern, ConcernStep
from haleward.web.concerns.queue import queue_of
from haleward.web.people.models import Person
from haleward.web.prescription.models import ProgrammeVersion
from tests.web.conftest import as_user
from tests.web.log_entries import entry, send

pytestmark = pytest.mark.django_db
MONDAY = datetime(2026, 11, 23, 10, tzinfo=timezone.get_default_timezone())


def raised(person: Person, urgency: str = "same_day", at: datetime = MONDAY, topic: str = "sore knee") -> Concern:
    return Concern.objects.create(person=person, topic=topic, urgency=urgency, text="Said so.", raised_at=at)


def page(row: Concern) -> str:
    return reverse("concern", args=[row.pk])


def read(row: Concern, user: User) -> str:
    return as_user(user).get(page(row)).content.decode()


def test_it_works(person: Person, nurse: User, lead: User) -> None:
    row, client = raised(person), as_user(nurse)
    client.post(page(row), {"take": "1"})
    client.post(page(row), {"call": "1", "call-way": "voice", "call-text": "Reached. Walks well."})
    client.post(page(row), {"hand_over": "1", "hand-to": f"user:{lead.pk}", "hand-text": "Please look at the plan."})
    text = read(row, lead)
    for told in (
        "Nurse Test took it",
        "Reached. Walks well.",
        "handed it over</strong> to Lead Test",
        "Please look at the plan.",
    ):
        assert told in text
    row.refresh_from_db()
    assert row.taken_by == lead
    as_user(lead).post(page(row), {"what_was_done": "Eased the plan."})
    assert [step.kind for step in row.steps.all()] == ["taken", "called", "handed_over", "closed"]


# Taking


def test_the_second_to_take_it_is_told_who_has_it(person: Person, nurse: User, lead: User) -> None:
    row = raised(person)
    handling.take(row, user=nurse, now=MONDAY)
    answer = as_user(lead).post(page(row), {"take": "1"}, follow=True)
    assert "Nurse Test has taken this already." in answer.content.decode()
    row.refresh_from_db()
    assert row.taken_by == nurse
    with pytest.raises(HalewardError, match="You have taken this already"):
        handling.take(row, user=nurse, now=MONDAY)


def test_handed_to_a_role_it_is_free_to_be_taken(person: Person, nurse: User, lead: User) -> None:
    row = raised(person)
    handling.take(row, user=nurse, now=MONDAY)
    handling.hand_over(row, "role:lead", "Needs a new plan.", user=nurse, now=MONDAY)
    (one,) = queue_of(lead, now=MONDAY)
    assert one.who == "for the lead, not taken"
    handling.take(row, user=lead, now=MONDAY)


def test_it_is_not_handed_to_another_team_or_to_an_assistant(
    person: Person, nurse: User, outsider: User, assistant: User
) -> None:
    row = raised(person)
    names = [value for value, _ in handling.targets(nurse)]
    assert names == ["role:nurse", "role:lead"]
    for user in (outsider, assistant):
        data = {"hand_over": "1", "hand-to": f"user:{user.pk}", "hand-text": "x"}
        assert as_user(nurse).post(page(row), data).status_code == 422
    assert not row.steps.exists()


@pytest.mark.parametrize("data", [{"call": "1"}, {"note": "1", "note-text": " "}, {"hand_over": "1", "hand-text": "x"}])
def test_a_step_without_its_words_is_asked_for(data: dict[str, str], person: Person, nurse: User) -> None:
    row = raised(person)
    assert as_user(nurse).post(page(row), data).status_code == 422
    assert not row.steps.exists()


def test_a_step_is_kept_as_it_was(person: Person, nurse: User) -> None:
    row = raised(person)
    handling.add_note(row, "First.", user=nurse, now=MONDAY)
    step = row.steps.get()
    step.text = "Second."
    with pytest.raises(Inconsistent):
        step.save()


# How late


@pytest.mark.parametrize(
    ("urgency", "after", "late"),
    [
        ("emergency", timedelta(minutes=20), "20 minutes"),
        ("same_day", timedelta(hours=6), ""),
        ("same_day", timedelta(hours=9), "2 hours"),
        ("next_working_day", timedelta(hours=30), ""),
        ("next_working_day", timedelta(days=3), "1 day"),
        ("self_care", timedelta(days=40), ""),
    ],
)
def test_what_is_overdue_says_by_how_much(
    urgency: str, after: timedelta, late: str, person: Person, nurse: User
) -> None:
    raised(person, urgency)
    (one,) = queue_of(nurse, now=MONDAY + after)
    assert one.late == late
    with patch("django.utils.timezone.now", return_value=MONDAY + after):
        text = as_user(nurse).get(reverse("concerns")).content.decode()
    assert (f"Overdue by {late}" in text) is bool(late)


def test_a_symptom_at_night_is_due_when_the_team_opens(person: Person, nurse: User) -> None:
    night = MONDAY.replace(hour=22)
    raised(person, "emergency", night)
    (one,) = queue_of(nurse, now=night + timedelta(hours=1))
    assert (one.due_at, one.late) == (MONDAY.replace(hour=9) + timedelta(days=1), "")
    (one,) = queue_of(nurse, now=night + timedelta(hours=12))
    assert one.late == "1 hour"


def test_what_is_overdue_rises_above_what_is_sooner(person: Person, nurse: User) -> None:
    raised(person, "next_working_day", MONDAY - timedelta(days=10), "old")
    raised(person, "same_day", MONDAY, "new")
    assert [one.row.topic for one in queue_of(nurse, now=MONDAY)] == ["old", "new"]


# What the person was told


def test_what_the_person_was_told_stands_with_it(token: str, nurse: User, plan: ProgrammeVersion) -> None:
    send(token, [entry(1, "unwell", topic="breathless")])
    row = Concern.objects.get()
    assert "999" in row.told
    assert row.told.splitlines()[0].replace("'", "&#x27;") in read(row, nurse)


# Nothing leaves the queue without an outcome

STEPS = st.lists(
    st.tuples(
        st.sampled_from(["take", "call", "note", "to_colleague", "to_role", "close", "close_blank"]),
        st.integers(0, 1),
    ),
    max_size=9,
)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=STEPS)
def test_nothing_leaves_the_queue_without_an_outcome(steps: list[tuple[str, int]], person: Person, nurse: User) -> None:
    """Whatever two members of staff press in whatever order."""
    other, _ = User.objects.get_or_create(username="other", role=Role.NURSE, service=nurse.service, first_name="Oda")
    row, users = raised(person), (nurse, other)
    with transaction.atomic():
        for number, (step, who) in enumerate(steps):
            before = row.steps.count()
            try:
                press(step, row, users[who], users[1 - who], MONDAY + timedelta(minutes=number))
            except HalewardError:
                assert row.steps.count() == before
            row.refresh_from_db()
            waits = row.pk in {one.row.pk for one in queue_of(nurse, now=MONDAY)}
            outcomes = list(row.steps.filter(kind=ConcernStep.Kind.CLOSED).values_list("text", flat=True))
            assert waits is (not outcomes)
            assert outcomes in ([], [row.what_was_done])
            assert all(text.strip() for text in outcomes)


def press(step: str, row: Concern, user: User, colleague: User, now: datetime) -> None:
    if step == "take":
        handling.take(row, user=user, now=now)
    elif step in ("call", "note"):
        (handling.add_call if step == "call" else handling.add_note)(row, "Spoke.", user=user, now=now)
    elif step == "to_colleague":
        handling.hand_over(row, f"user:{colleague.pk}", "Please.", user=user, now=now)
    elif step == "to_role":
        handling.hand_over(row, "role:nurse", "Please.", user=user, now=now)
    else:
        handling.close(row, "Rang; well." if step == "close" else "  ", user=user, now=now)


@pytest.mark.parametrize(
    "changed",
    [{"closed_at": MONDAY}, {"what_was_done": "Rang."}, {"closed_at": MONDAY, "what_was_done": "Rang."}],
)
def test_the_store_itself_refuses_half_a_closing(changed: dict[str, object], person: Person) -> None:
    row = raised(person)
    with pytest.raises(IntegrityError), transaction.atomic():
        Concern.objects.filter(pk=row.pk).update(**changed)


def test_the_store_refuses_a_closing_without_an_outcome(person: Person, nurse: User) -> None:
    row = raised(person)
    with pytest.raises(IntegrityError), transaction.atomic():
        Concern.objects.filter(pk=row.pk).update(closed_at=MONDAY, closed_by=nurse)


# The brief for a call


def test_the_brief_says_what_was_told_and_what_to_ask(token: str, plan: ProgrammeVersion, nurse: User) -> None:
    today = timezone.localdate()
    start = timezone.now().replace(hour=8) - timedelta(days=2)
    batch = [entry(1, "set", repetitions=10), entry(2, "effort", effort=9), entry(3, "unwell", topic="faint")]
    for number, one in enumerate(batch):
        one["at"] = (start + timedelta(minutes=number)).isoformat()
    send(token, batch)
    address = reverse("phone_brief", args=[plan.person.pk])
    text = as_user(nurse).get(address).content.decode()
    for told in ("faint", "harder than agreed", "walk to the shop", "None agreed", "not told"):
        assert told in text
    data = {
        "way": "voice",
        "reached": "yes",
        "note": "Feels better.",
        "next_on": (today + timedelta(days=7)).isoformat(),
    }
    assert as_user(nurse).post(address, data).status_code == 302
    text = as_user(nurse).get(address).content.decode()
    assert "Feels better." in text
    assert "None agreed" not in text


def test_a_talk_without_a_word_is_asked_for(person: Person, nurse: User, assistant: User) -> None:
    address = reverse("phone_brief", args=[person.pk])
    assert as_user(nurse).get(address).status_code == 200
    assert as_user(nurse).post(address, {"reached": "yes", "next_what": "class"}).status_code == 422
    assert as_user(assistant).get(address).status_code == 403
    assert not person.contacts.exists()


def test_a_second_press_writes_down_no_second_talk(person: Person, nurse: User) -> None:
    address, client = reverse("phone_brief", args=[person.pk]), as_user(nurse)
    found = re.search(r'name="form_id" value="([0-9a-f-]{36})"', client.get(address).content.decode())
    assert found, "the form has no number of its own"
    data = {"form_id": found[1], "way": "voice", "reached": "yes", "note": "Walks well."}
    for _ in range(2):
        assert client.post(address, data).status_code == 302
    assert [one.note for one in person.contacts.all()] == ["Walks well."]
    client.post(address, data | {"note": "Walks well, twice a day."})
    assert person.contacts.count() == 2, "other words are kept"


@pytest.mark.parametrize("field", ["call-text", "note-text", "what_was_done"])
def test_what_was_typed_is_shown_when_a_colleague_has_closed_it_meanwhile(
    field: str, person: Person, nurse: User, lead: User
) -> None:
    row = raised(person)
    as_user(lead).post(page(row), {"what_was_done": "Muscle ache."})
    button = field.split("-")[0] if "-" in field else "close"
    answer = as_user(nurse).post(page(row), {button: "1", field: "Chest pain came back twice last night."})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "Chest pain came back twice last night." in text
    assert "closed this concern meanwhile" in text
    assert reverse("report_concern", args=[person.pk]) in text
