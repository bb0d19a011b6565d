"""How a person is reached and who interprets: asked, kept, and followed by the brief, the concern and Today."""

from __future__ import annotations

from datetime import date, timedelta
from html import unescape
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from haleward.web.accounts.models import User
from haleward.web.concerns.models import Concern, ConcernStep, Contact
from haleward.web.people.due_follow_up import following_up
from haleward.web.people.forms import PersonForm
from haleward.web.people.models import Person
from haleward.web.people.reach import Way
from haleward.web.prescription.models import ProgrammeVersion
from tests.web.conftest import as_user

pytestmark = pytest.mark.django_db
WHO = {"first_name": "Ana", "last_name": "Hill", "born_on": "1956-05-04", "sex": "female", "phone": "01632 960188"}
TYPED = {"event": "Stent", "reason": "Exercise", "referrer": "Ward"}


def sent(**more: Any) -> dict[str, Any]:
    """A whole details form."""
    return WHO | more


def deaf(person: Person, **more: Any) -> Person:
    """The person, who is Deaf and signs, as the details form keeps it."""
    known = {"reach_ways": ["text", "relay"], "phone": "01632 960188", "reach_needs": "Deaf, signs."}
    interpreting = {"interpreter": "yes", "interpreter_language": "British Sign Language"}
    for name, value in (known | interpreting | more).items():
        setattr(person, name, value)
    person.save()
    return person


def raised(person: Person) -> Concern:
    return Concern.objects.create(
        person=person, topic="sore knee", urgency="same_day", text="Said so.", raised_at=timezone.now()
    )


def read(user: User, name: str, key: Any) -> str:
    return unescape(as_user(user).get(reverse(name, args=[key])).content.decode())


# Asked and kept


def test_it_works(person: Person, nurse: User) -> None:
    booked = timezone.localdate() + timedelta(days=9)
    data = sent(
        reach_ways=["text", "helper"], reach_at="Jo, 01632 960111", reach_needs="Deaf, signs.", interpreter="yes",
        interpreter_language="British Sign Language", interpreter_on=booked.isoformat(), interpreter_note="10 to 12",
    )  # fmt: skip
    assert as_user(nurse).post(reverse("person_details", args=[person.pk]), data).status_code == 302
    person.refresh_from_db()
    assert person.reach_ways == ["text", "helper"]
    newest, oldest = person.history.all()
    assert (oldest.reach_ways, newest.reach_ways) == ([], ["text", "helper"])
    assert newest.history_user == nurse
    text = read(nurse, "person", person.pk)
    assert "Reach Ana by text or through a helper" in text
    assert f"booked for {booked.day} {booked:%B %Y} (10 to 12)" in text
    assert read(nurse, "person_details", person.pk).count(" checked") == 2


def test_nothing_ticked_is_not_asked_and_never_a_voice_call(person: Person, nurse: User, assistant: User) -> None:
    as_user(nurse).post(reverse("person_details", args=[person.pk]), sent())
    person.refresh_from_db()
    assert (person.reach_ways, person.interpreter) == ([], "")
    for name, key in (("person", person.pk), ("phone_brief", person.pk), ("concern", raised(person).pk)):
        text = read(nurse, name, key)
        assert "How to reach Ana: not asked" in text
        assert "Interpreter: not asked." in text
        assert "Brief for a call" not in text
        assert "Before you call" not in text
        assert "Write down a call" not in text
    assert "How can we best reach you" in read(nurse, "phone_brief", person.pk)
    assert "Write it down" not in read(assistant, "person", person.pk), "only who may correct details is sent there"


def test_unticking_takes_a_way_back(person: Person, nurse: User) -> None:
    deaf(person)
    as_user(nurse).post(reverse("person_details", args=[person.pk]), sent())
    person.refresh_from_db()
    assert not person.reach.asked


@pytest.mark.parametrize(
    ("fault", "field"),
    [
        ({"reach_ways": ["helper"]}, "reach_at"),
        ({"reach_ways": ["smoke"]}, "reach_ways"),
        ({"interpreter": "yes"}, "interpreter_language"),
        ({"interpreter_on": "2031-03-04"}, "interpreter"),
        ({"interpreter": "declined", "interpreter_note": "10 to 12"}, "interpreter"),
        ({"interpreter": "yes", "interpreter_language": "Urdu", "interpreter_on": "04/03/31"}, "interpreter_on"),
    ],
)
def test_what_does_not_fit_together_is_asked_again(fault: dict[str, Any], field: str, person: Person) -> None:
    form = PersonForm(sent(**fault), instance=person)
    assert not form.is_valid()
    assert field in form.errors


def test_a_typed_referral_keeps_how_to_reach_the_person(nurse: User) -> None:
    data = sent(**TYPED, reach_ways=["relay"], interpreter="declined")
    assert as_user(nurse).post(reverse("new_referral"), data).status_code == 302
    made = Person.objects.get()
    assert (made.reach_ways, made.interpreter) == (["relay"], "declined")
    assert "An interpreter was offered, and the person said no." in read(nurse, "person", made.pk)


# The interpreter


@pytest.mark.parametrize(
    ("days", "told", "to_book"),
    [
        (None, "not booked. Book double time.", True),
        (-1, "last booked for 2 March 2026. Book again.", True),
        (0, "booked for 3 March 2026.", False),
        (1, "booked for 4 March 2026.", False),
    ],
)
def test_a_booking_counts_up_to_its_day(
    days: int | None, told: str, to_book: bool, person: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    today = date(2026, 3, 3)
    monkeypatch.setattr(timezone, "localdate", lambda: today)
    reach = deaf(person, interpreter_on=None if days is None else today + timedelta(days=days)).reach
    assert reach.interpreting == f"Interpreter needed for British Sign Language, {told}"
    assert reach.to_book is to_book


# What follows the ways


def test_p_010_a_review_of_a_deaf_person_is_never_by_phone_only(person: Person, nurse: User) -> None:
    text = read(nurse, "phone_brief", deaf(person).pk)
    first = text.index("Reach Ana by text or through the relay service</strong> (01632 960188)")
    assert text.index("<h1>Brief for a review by text or through the relay service with Ana</h1>") < first
    assert first < text.index("To ask")
    for told in ("Not by voice call.", "British Sign Language, not booked. Book double time.", "Deaf, signs."):
        assert told in text
    assert "by text or through the relay service, or face to face?" in text
    assert "by phone" not in text
    assert 'value="voice"' not in text
    assert "Brief for a call" not in read(nurse, "person", person.pk)


def test_what_came_of_it_keeps_the_way_that_was_used(person: Person, nurse: User) -> None:
    address, client = reverse("phone_brief", args=[deaf(person).pk]), as_user(nurse)
    said = {"reached": "yes", "note": "Walks well."}
    assert client.post(address, said).status_code == 422, "the way is asked for"
    assert client.post(address, said | {"way": "voice"}).status_code == 422, "it is no way to reach this person"
    assert client.post(address, said | {"way": "text"}).status_code == 302
    assert [one.way for one in Contact.objects.all()] == ["text"]
    assert ", by text, Nurse Test: Walks well." in client.get(address).content.decode()


def test_a_concern_is_handled_in_the_way_that_reaches_the_person(person: Person, nurse: User) -> None:
    row = raised(deaf(person, reach_ways=["text"]))
    text = read(nurse, "concern", row.pk)
    assert "<summary>Reached by text</summary>" in text
    assert "Not by voice call." in text
    assert "Write down a call" not in text
    client, address = as_user(nurse), reverse("concern", args=[row.pk])
    assert client.post(address, {"call": "1", "call-way": "text", "call-text": "Knee is fine."}).status_code == 302
    assert "Nurse Test contacted the person by text</strong>" in client.get(address).content.decode()
    assert [(step.kind, step.way) for step in row.steps.all()] == [("called", "text")]


def test_a_voice_call_stays_a_call_as_do_contacts_kept_before_the_way_was(person: Person, nurse: User) -> None:
    row, now = raised(deaf(person, reach_ways=["voice"])), timezone.now()
    assert "<summary>Write down a call</summary>" in read(nurse, "concern", row.pk)
    assert "Before you call Ana" in read(nurse, "phone_brief", person.pk)
    assert ConcernStep(concern=row, kind="called", at=now, by=nurse).what == "called the person"
    assert Contact(person=person, at=now, by=nurse, reached=True).how == "by voice call"


@pytest.mark.parametrize(("ways", "action"), [([], "Get in touch"), (["text"], "Get in touch"), (["voice"], "Call")])
def test_today_says_call_only_where_a_call_reaches_the_person(
    ways: list[str], action: str, plan: ProgrammeVersion, nurse: User
) -> None:
    Person.objects.filter(pk=plan.person.pk).update(reach_ways=ways)
    later = timezone.now() + timedelta(days=12)
    assert action in [one.action for one in following_up(nurse, now=later)]


def test_every_way_has_its_words(person: Person) -> None:
    words = deaf(person, reach_ways=list(Way.values)).reach.by
    assert words == "by voice call, by text, through the relay service, by email or letter, or through a helper"
