"""The demo service: one invented person at each step, dates that follow today, no number that rings anywhere."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.utils import timezone

from haleward.exchange.person_file import read_person_file
from haleward.plain import to_plain
from haleward.safety.facts import facts_of
from haleward.safety.gate import entry_gate
from haleward.web.accounts.models import User
from haleward.web.assessment.mapping import record_of
from haleward.web.assessment.models import finished_of
from haleward.web.people.due import due_lines
from haleward.web.people.models import Person, Referral
from haleward.web.prescription.models import draft_of, signed_of
from haleward.web.team import demo
from haleward.web.team.models import Service
from haleward.web.team.protocol import protocol_of
from tests.web.conftest import as_user

pytestmark = pytest.mark.django_db

INVENTED = re.compile(r"01632 960\d{3}|07700 900\d{3}|\b999\b|\b111\b|\b18000\b")
LOOKS_LIKE_A_NUMBER = re.compile(r"\b0\d{2,4}[ -]?\d{3}[ -]?\d{3,4}\b|\+\d[\d ]{8,}|\b\d{5} \d{6}\b")


@pytest.fixture
def loaded(db: None) -> Service:
    assert demo.load_demo_if_empty() is True
    return Service.objects.get()


def someone(first_name: str) -> Person:
    return Person.objects.get(first_name=first_name)


def test_rowan_has_a_signed_plan(loaded: Service) -> None:
    row = signed_of(someone("Rowan"))
    assert row is not None
    assert (row.version, row.signed_by.role if row.signed_by else "") == (1, "lead")
    assert draft_of(someone("Rowan")) is None


def test_hamish_has_a_draft(loaded: Service) -> None:
    assert signed_of(someone("Hamish")) is None
    assert draft_of(someone("Hamish")) is not None


def test_leila_is_assessed_and_has_no_plan_yet(loaded: Service) -> None:
    assert finished_of(someone("Leila")) is not None
    assert not someone("Leila").programmes.exists()


def test_edmund_waits_for_his_assessment(loaded: Service) -> None:
    assert finished_of(someone("Edmund")) is None
    assert someone("Edmund").referrals.get().state == Referral.State.CONFIRMED


def test_one_imported_referral_waits_to_be_confirmed(loaded: Service) -> None:
    row = Referral.objects.get(state=Referral.State.PROPOSED)
    assert row.person is None
    assert row.proposal["missing"]
    assert Person.objects.count() == 4


def test_the_lead_sees_something_to_do_at_each_step(loaded: Service) -> None:
    lead = User.objects.get(role="lead")
    assert {line.when for line in due_lines(lead)} == {"To confirm", "To assess", "To sign"}


@pytest.mark.parametrize("name", ["Rowan", "Hamish", "Leila"])
def test_every_assessed_person_was_assessed_yesterday_and_may_go_ahead_or_says_why(name: str, loaded: Service) -> None:
    assessment = finished_of(someone(name))
    assert assessment is not None
    today = timezone.localdate()
    record = record_of(assessment)
    assert record.assessed_on == assessment.assessed_on == today - timedelta(days=1)
    gate = entry_gate(facts_of(record, today=today), protocol_of(loaded))
    assert gate.outcome in ("go_ahead", "check_first")
    assert gate.outcome == "go_ahead" or gate.fired


@pytest.mark.parametrize("name", ["rowan", "hamish", "leila"])
@pytest.mark.parametrize("today", [date(2026, 11, 26), date(2027, 3, 1), date(2028, 2, 29), date(2031, 1, 1)])
def test_every_date_moves_by_the_same_days_but_nobody_gets_older(name: str, today: date) -> None:
    record = read_person_file(demo.DEMO_FOLDER / f"{name}.toml", today=demo.WRITTEN_ON).record
    moved = demo.up_to_date(record, today)
    assert moved.assessed_on == today - timedelta(days=1)
    assert moved.born_on == record.born_on
    shift = moved.assessed_on - record.assessed_on
    before, after = dates_in(to_plain(record)), dates_in(to_plain(moved))
    assert len(before) == len(after) > 5
    born = str(record.born_on)
    assert all(
        date.fromisoformat(new) - date.fromisoformat(old) == (shift if old != born else timedelta(0))
        for old, new in zip(before, after, strict=True)
    )


def dates_in(value: Any) -> list[str]:
    """Every date of a plain record, in its order."""
    if isinstance(value, dict):
        return [found for item in value.values() for found in dates_in(item)]
    if isinstance(value, list):
        return [found for item in value for found in dates_in(item)]
    return [value] if isinstance(value, str) and re.fullmatch(r"\d{4}-\d{2}-\d{2}", value) else []


def test_the_demo_comes_out_the_same_every_time(loaded: Service) -> None:
    """A second service with the same people at the same moment holds the same records and programmes."""
    now = timezone.now()
    again = Service.objects.create(name="Second", values=demo.NUMBERS, is_demo=True)
    lead = User.objects.create(username="lead2", role="lead", service=again, first_name="Ines", last_name="Fell")
    nurse = User.objects.create(username="nurse2", role="nurse", service=again)
    demo._load_people(lead, nurse, now=now)
    for person in loaded.people.all():
        twin = again.people.get(first_name=person.first_name)
        one, other = finished_of(person), finished_of(twin)
        assert (one is None) == (other is None)
        if one is not None and other is not None:
            assert without_ids(one.record) == without_ids(other.record)
        programmes = [row.programme for row in person.programmes.all()]
        assert [without_ids(row.programme) for row in twin.programmes.all()] == [
            without_ids(programme) for programme in programmes
        ]


def without_ids(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: without_ids(item) for key, item in value.items() if key not in ("person_id", "id")}
    if isinstance(value, list):
        return [without_ids(item) for item in value]
    return value


def test_the_demo_is_loaded_once(loaded: Service) -> None:
    counts = [model.objects.count() for model in (User, Person, Referral)]
    assert demo.load_demo_if_empty() is True
    assert [model.objects.count() for model in (User, Person, Referral)] == counts


def test_a_fault_while_loading_leaves_an_empty_store(db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> None:
        raise OSError("no such file")

    monkeypatch.setattr(demo, "import_referral", broken)
    with pytest.raises(OSError, match="no such file"):
        demo.load_demo_if_empty()
    assert not Service.objects.exists()
    assert not User.objects.exists()


def test_the_demo_can_be_loaded_at_any_hour(db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    late = datetime(2027, 7, 1, 23, 30, tzinfo=UTC)  # already the next day where the service is
    monkeypatch.setattr(timezone, "now", lambda: late)
    demo.load_demo_if_empty()
    assert finished_of(someone("Rowan")).assessed_on == date(2027, 7, 1)  # type: ignore[union-attr]
    assert signed_of(someone("Rowan")) is not None


def test_no_number_of_the_demo_rings_anywhere() -> None:
    texts = [*demo.NUMBERS.values(), *(path.read_text(encoding="utf-8") for path in demo.DEMO_FOLDER.iterdir())]
    texts.append((demo.DEMO_FOLDER.parents[1] / "web" / "team" / "demo.py").read_text(encoding="utf-8"))
    found = [number for text in texts for number in LOOKS_LIKE_A_NUMBER.findall(text)]
    assert found, "the pattern must find the invented numbers"
    assert [number for number in found if not INVENTED.fullmatch(number)] == []
    short = [word for text in demo.NUMBERS.values() for word in re.findall(r"\b\d{3,5}\b", INVENTED.sub("", text))]
    assert short == []


def test_every_page_says_that_this_is_a_demo(loaded: Service) -> None:
    text = as_user(User.objects.get(role="lead")).get("/").content.decode()
    assert "Every person here is invented. Do not enter real people." in text
