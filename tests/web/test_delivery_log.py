"""Where the log goes: every good entry once, whatever the order and the portions in which it arrives."""

from __future__ import annotations

import json
import random
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from haleward.dose.log import SetLog
from haleward.errors import HalewardError
from haleward.web.accounts.models import User
from haleward.web.concerns.models import Concern
from haleward.web.delivery import actions as delivery
from haleward.web.delivery.links import Holder, make_link, staff_token, token_of
from haleward.web.delivery.logs import session_log
from haleward.web.delivery.models import LogEntry
from haleward.web.people.models import Person
from haleward.web.prescription import actions
from haleward.web.prescription.models import ProgrammeVersion
from tests.web.conftest import as_user, complete_record, finish
from tests.web.log_entries import SESSION, entry, send, whole_session

pytestmark = pytest.mark.django_db


def ids(entries: list[dict[str, Any]]) -> list[str]:
    return [one["entry_id"] for one in entries]


def refused(token: str, entries: object) -> str:
    """The fault in the answer to what must be refused; nothing may have been stored."""
    before = LogEntry.objects.count()
    answer = send(token, entries)
    assert answer.status_code == 422
    body = answer.json()
    assert body["stored"] == []
    assert LogEntry.objects.count() == before
    return str(body["fault"])


def test_a_session_is_stored_once_and_a_repeat_gets_the_same_answer(token: str, plan: ProgrammeVersion) -> None:
    entries = whole_session()
    first, second = send(token, entries), send(token, entries)
    assert (first.status_code, second.status_code) == (200, 200)
    assert first.json() == second.json() == {"stored": ids(entries), "settled": []}
    assert plan.person.log_entries.count() == len(entries)


def test_the_log_is_what_was_sent(token: str, plan: ProgrammeVersion) -> None:
    send(token, whole_session())
    log = session_log(plan.person, SESSION)
    assert log.sets == (SetLog("sit_to_stand", 0, 1, repetitions=8, effort=4, feel="too_hard"),)
    assert (log.plan_version, log.part_key, log.whole_effort) == (1, "one", 3.5)
    assert log.ended_at is not None
    assert not log.stopped_by_check
    row = plan.person.log_entries.get(kind="effort")
    assert (row.programme, row.part_key, row.session_id) == (plan, "one", SESSION)
    assert row.data == whole_session()[2]["data"]


def test_an_id_in_capitals_is_the_same_id(token: str, plan: ProgrammeVersion) -> None:
    one = entry(1, "set", repetitions=10)
    capitals = one | {"entry_id": one["entry_id"].upper()}
    send(token, [one])
    assert send(token, [capitals, one]).json()["stored"] == [capitals["entry_id"], one["entry_id"]]
    assert plan.person.log_entries.count() == 1


def partly(token: str, entries: list[dict[str, Any]]) -> str:
    """The fault in the answer to entries of which the first alone is good: it is stored, the others are named."""
    answer = send(token, entries)
    assert answer.status_code == 200
    body = answer.json()
    assert body["stored"] == ids(entries[:1])
    assert [one["entry_id"] for one in body["refused"]] == ids(entries[1:])
    assert LogEntry.objects.count() == 1
    return str(body["fault"])


def test_a_half_bad_batch_stores_the_good_and_names_each_fault(token: str) -> None:
    entries = [entry(0, "set", repetitions=10), entry(1, "effort", effort=40), entry(2, "feel", feel="fine")]
    lines = partly(token, entries).splitlines()
    assert len(lines) == 2
    assert lines[0].startswith("Entry 2: effort is 40;")
    assert lines[1].startswith("Entry 3: feel is 'fine';")


def test_a_faulty_entry_never_holds_back_a_symptom(token: str, plan: ProgrammeVersion) -> None:
    walked = {"exercise_index": 0, "movement_id": "walking", "set_number": 1, "minutes": 4990}
    told = entry(1, "report", on="2026-03-02", outcome="part", entered_at="2026-03-02T09:00:00+00:00", sets=[walked])
    pain = entry(2, "unwell", session=uuid4(), topic="chest pain")
    answer = send(token, [told, pain])
    assert (answer.status_code, answer.json()["stored"]) == (200, ids([pain]))
    assert [(one["entry_id"], "minutes is 4990" in one["fault"]) for one in answer.json()["refused"]] == [
        (told["entry_id"], True)
    ]
    assert [(one.topic, one.holds_plan) for one in Concern.objects.all()] == [("chest pain", True)]


def test_one_form_is_stored_whole_or_not_at_all(plan: ProgrammeVersion) -> None:
    entries = [entry(0, "set", repetitions=10), entry(1, "effort", effort=40)]
    with pytest.raises(HalewardError, match=r"Entry 2: effort is 40"):
        delivery.store_all(entries, holder=Holder(plan.person, "staff"), now=timezone.now())
    assert LogEntry.objects.count() == 0


FAULTY = {
    "no id": {"entry_id": None},
    "no uuid": {"entry_id": "seven"},
    "no offset": {"at": "2026-03-02T09:00:00"},
    "before all clocks": {"at": "0001-01-01T00:00:00+14:00"},
    "after all clocks": {"at": "9999-12-31T23:59:59-14:00"},
    "unknown kind": {"kind": "dance"},
    "no data": {"data": None},
}


@pytest.mark.parametrize("change", FAULTY.values(), ids=FAULTY.keys())
def test_a_faulty_entry_is_named_and_not_stored(change: dict[str, Any], token: str) -> None:
    fault = partly(token, [entry(0, "set", repetitions=10), entry(1, "set", repetitions=10) | change])
    assert fault.startswith("Entry 2: ")
    assert fault.endswith(".")


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"session_id": "monday"}, "Entry 1: session_id is 'monday'; it must be a UUID made on the page."),
        ({"plan_version": 7}, "Entry 1: Plan 7 is not a signed plan of this person."),
        ({"part_key": "nine"}, "Entry 1: Plan 1 has no part 'nine'."),
    ],
)
def test_an_entry_must_belong_to_a_session_of_a_signed_plan(change: dict[str, Any], sentence: str, token: str) -> None:
    assert refused(token, [entry(0, "set", repetitions=10, **change)]) == sentence


def test_an_unsigned_plan_takes_no_log(token: str, plan: ProgrammeVersion, lead: User) -> None:
    draft = actions.start_draft(plan.person, user=lead, now=timezone.now())
    assert refused(token, [entry(0, "set", repetitions=9, plan_version=draft.version)]).startswith(
        "Entry 1: Plan 2 is not"
    )


def other_persons_token(plan: ProgrammeVersion, lead: User) -> str:
    """A second person of the same team with a signed plan and a link."""
    other = Person.objects.create(
        service=plan.person.service, first_name="Bo", last_name="Dale", born_on=plan.person.born_on, sex="male"
    )
    finish(other, complete_record(other, timezone.localdate()), lead)
    now = timezone.now()
    row = actions.start_draft(other, user=lead, now=now)
    actions.sign(row, decision=actions.Decision(), user=lead, now=now)
    return token_of(make_link(other, user=lead, now=now))


def test_ids_of_somebody_else_are_refused(token: str, plan: ProgrammeVersion, lead: User) -> None:
    other = other_persons_token(plan, lead)
    send(token, [entry(0, "set", repetitions=10)])
    assert refused(other, [entry(0, "set", repetitions=10)]) == (
        "Entry 1: An entry with this id belongs to another log."
    )
    assert refused(other, [entry(0, "unwell", topic="faint") | {"entry_id": str(uuid4())}]) == (
        "Entry 1: A session with this id belongs to another log."
    )
    assert Concern.objects.count() == 0


def test_the_origin_is_who_ran_the_session(token: str, plan: ProgrammeVersion, assistant: User) -> None:
    by_staff = UUID(int=7)
    send(token, whole_session())
    send(staff_token(plan.person, assistant), whole_session(by_staff))
    assert session_log(plan.person, SESSION).origin == "person"
    assert session_log(plan.person, by_staff).origin == "staff"


def test_a_session_that_the_person_also_wrote_to_is_not_seen_by_staff(
    token: str, plan: ProgrammeVersion, assistant: User
) -> None:
    entries = whole_session()
    send(staff_token(plan.person, assistant), entries[:-1])
    send(token, entries[-1:])
    assert session_log(plan.person, SESSION).origin == "person"


def test_too_many_entries_at_once_are_refused(token: str) -> None:
    entries = [entry(number, "rest_more") for number in range(delivery.MOST_ENTRIES + 1)]
    assert refused(token, entries) == "2001 entries at once are too many; send at most 2000."
    assert send(token, entries[:-1]).status_code == 200
    assert LogEntry.objects.count() == delivery.MOST_ENTRIES


NOT_A_LOG = {
    "nothing": b"",
    "words": b"hello",
    "not utf-8": b'{"entries": ["\xff"]}',
    "a list": b"[]",
    "no entries": b"{}",
    "entries are text": b'{"entries": "all"}',
    "an entry is a number": b'{"entries": [1]}',
    "not a number": b'{"entries": [{"data": {"extra": NaN}}]}',
    "beyond all numbers": b'{"entries": [{"data": {"extra": 1e999}}]}',
    "too many digits": b'{"entries": [{"data": {"extra": ' + b"9" * 5000 + b"}}]}",
    "half a letter": b'{"entries": [{"data": {"extra": "\\ud800"}}]}',
    "too deep": b"[" * 200_000,
}


@pytest.mark.parametrize("body", NOT_A_LOG.values(), ids=NOT_A_LOG.keys())
def test_what_is_not_a_log_gets_one_sentence(body: bytes, token: str) -> None:
    answer = Client().post(reverse("me_log", args=[token]), data=body, content_type="application/json")
    assert answer.status_code == 422
    assert answer.json()["stored"] == []
    assert len(answer.json()["fault"].splitlines()) == 1
    assert answer.json()["fault"].endswith(".")


def test_a_body_that_is_too_large_gets_one_sentence(token: str) -> None:
    body = json.dumps({"entries": [], "filler": "x" * 3_000_000})
    answer = Client().post(reverse("me_log", args=[token]), data=body, content_type="application/json")
    assert answer.status_code == 422
    assert "send fewer entries" in answer.json()["fault"]


def test_the_log_is_only_posted_to(token: str) -> None:
    assert Client().get(reverse("me_log", args=[token])).status_code == 405


def test_a_closed_link_takes_no_log_and_says_so_in_json(token: str, plan: ProgrammeVersion) -> None:
    plan.person.links.update(withdrawn_at=timezone.now())
    answer = send(token, whole_session())
    assert answer.status_code == 410
    assert answer.json()["stored"] == []
    assert "Ask your team" in answer.json()["fault"]
    assert LogEntry.objects.count() == 0


def test_the_log_needs_no_cookie_and_believes_none(token: str, lead: User) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(lead, backend="django.contrib.auth.backends.ModelBackend")
    body = {"entries": whole_session()}
    address = reverse("me_log", args=[token])
    assert client.post(address, data=body, content_type="application/json").status_code == 200
    assert client.post(reverse("me_log", args=["x"]), data=body, content_type="application/json").status_code == 410


def test_a_set_that_arrives_after_the_end_renews_the_proposals(
    token: str, plan: ProgrammeVersion, monkeypatch: pytest.MonkeyPatch
) -> None:
    renewed: list[Person] = []
    monkeypatch.setattr(delivery, "renew_proposals", lambda person, now: renewed.append(person))
    entries = whole_session()
    send(token, entries[1:3])
    assert renewed == []
    send(token, entries[6:])
    assert len(renewed) == 1
    send(token, entries[3:5])
    assert len(renewed) == 2
    send(token, entries[1:5])
    assert len(renewed) == 2, "a repeat changes nothing, so nothing is computed anew"


# Any order, any portions, any repetition


def mixed_session() -> list[dict[str, Any]]:
    """A session in which much goes wrong: corrections, a press by mistake, a named symptom, notes and a stop."""
    return [
        *whole_session(),
        entry(7, "unwell", topic=""),
        entry(8, "unwell", topic="", withdrawn=True),
        entry(9, "note", text="My knee clicks."),
        entry(10, "note", text="Both knees."),
        entry(11, "unwell", topic=""),
        entry(12, "unwell", topic="breathless"),
        entry(13, "unwell", topic="low mood"),
        entry(14, "check", outcome="not_today", rule_ids=["R031"]),
        entry(15, "done", whole_effort=4, worried=True),
    ]


@st.composite
def deliveries(draw: st.DrawFn) -> list[list[dict[str, Any]]]:
    """Every entry of some first part of the session, in portions, in any order, some more than once."""
    entries = mixed_session()[: draw(st.integers(1, 16))]
    again = draw(st.lists(st.sampled_from(entries), max_size=8))
    mixed = draw(st.permutations([*entries, *again]))
    cuts = sorted(draw(st.sets(st.integers(1, len(mixed)), max_size=4)))
    return [mixed[start:end] for start, end in zip([0, *cuts], [*cuts, len(mixed)], strict=True)]


def outcome_of(portions: list[list[dict[str, Any]]], person: Person) -> tuple[object, ...]:
    """Rows, log and concerns after these portions, in a transaction that is then undone."""
    with transaction.atomic():
        for portion in portions:
            delivery.store_entries(portion, holder=Holder(person, "person"), now=timezone.now())
        rows = list(person.log_entries.order_by("entry_id").values_list("entry_id", "kind", "happened_at", "data"))
        log = session_log(person, SESSION)
        concerns = set(person.concerns.values_list("topic", "urgency", "holds_plan", "text"))
        transaction.set_rollback(True)
    return rows, log, concerns


@pytest.mark.django_db(transaction=False)
@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(portions=deliveries())
def test_order_portions_and_repetition_change_nothing(
    portions: list[list[dict[str, Any]]], plan: ProgrammeVersion
) -> None:
    sent = {one["entry_id"]: one for portion in portions for one in portion}
    whole = sorted(sent.values(), key=lambda one: one["at"])
    assert outcome_of(portions, plan.person) == outcome_of([whole], plan.person)


def test_two_entries_of_the_same_moment_are_read_in_one_fixed_order(plan: ProgrammeVersion) -> None:
    same = [entry(number, "set", repetitions=number) | {"at": entry(0, "set")["at"]} for number in range(8)]
    first = outcome_of([same], plan.person)
    for seed in range(5):
        mixed = random.Random(seed).sample(same, len(same))
        assert outcome_of([[one] for one in mixed], plan.person) == first


# What staff read


def test_staff_read_the_session_in_words(token: str, plan: ProgrammeVersion, assistant: User) -> None:
    entries = whole_session()
    entries[2]["data"]["effort"] = None
    send(token, entries)
    text = as_user(assistant).get(reverse("sessions", args=[plan.person.pk])).content.decode()
    assert "2 March 2026" in text
    assert "self-reported" in text
    assert "finished" in text
    assert "too hard" in text
    assert "not given" in text


def test_the_sessions_of_another_team_are_not_found(token: str, plan: ProgrammeVersion, outsider: User) -> None:
    send(token, whole_session())
    assert as_user(outsider).get(reverse("sessions", args=[plan.person.pk])).status_code == 404
