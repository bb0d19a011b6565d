"""Concerns: what a session gives rise to, how soon, what holds the plan, and how staff take and close them."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from typing import Any
from unittest.mock import patch

import pytest
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from haleward.dose.intensity import shown_range
from haleward.safety.protocol import default_protocol
from haleward.web.accounts.models import User
from haleward.web.concerns.actions import BY_MISTAKE, CHECK_TOPIC, NOTE_TOPIC
from haleward.web.concerns.models import Concern
from haleward.web.delivery.holding import why_held
from haleward.web.delivery.models import LogEntry
from haleward.web.delivery.sheets import intensity_in_force
from haleward.web.people.models import Person
from haleward.web.prescription.models import ProgrammeVersion
from tests.web.conftest import as_user
from tests.web.log_entries import entry, send

pytestmark = pytest.mark.django_db

UNNAMED = "after you stopped"


def concerns_after(token: str, *batches: list[dict[str, Any]]) -> list[Concern]:
    """The concerns after each batch has been sent."""
    for batch in batches:
        answer = send(token, batch)
        assert answer.status_code == 200, answer.content
    return list(Concern.objects.order_by("pk"))


def only(concerns: list[Concern]) -> Concern:
    assert len(concerns) == 1, [str(one) for one in concerns]
    return concerns[0]


# What gives rise to a concern


@pytest.mark.parametrize(
    ("topic", "urgency", "rule"),
    [  # a bare topic is taken as unsure, one level up (the protocol's list of symptoms)
        ("chest discomfort, no nitrate", "emergency", "R043"),
        ("breathless", "emergency", "R042"),
        ("faint", "emergency", "R044"),
        ("weight gain", "emergency", "R039"),
        ("low mood", "same_day", "R018"),
        ("soreness up to 3 days", "next_working_day", "G22"),
    ],
)
def test_a_symptom_is_as_urgent_as_the_protocol_says(
    topic: str, urgency: str, rule: str, token: str, plan: ProgrammeVersion
) -> None:
    row = only(concerns_after(token, [entry(1, "unwell", topic=topic)]))
    assert (row.topic, row.urgency, row.holds_plan) == (topic, urgency, True)
    assert rule in row.rule_ids
    assert row.text == f"In the session at 09:01, reported: {topic}."
    assert why_held(plan.person, timezone.localdate())


def test_words_that_the_protocol_does_not_know_are_never_put_down(token: str) -> None:
    row = only(concerns_after(token, [entry(1, "unwell", topic="my elbow glows")]))
    level = default_protocol().concerns.unknown_level
    assert (row.urgency, row.holds_plan, row.rule_ids) == (level, True, [])
    assert level in ("emergency", "same_day")


def test_pressing_and_choosing_nothing_counts(token: str, plan: ProgrammeVersion) -> None:
    row = only(concerns_after(token, [entry(1, "unwell", topic="")]))
    assert (row.topic, row.urgency, row.holds_plan) == (UNNAMED, "same_day", True)
    assert "chose nothing from the list" in row.text
    assert why_held(plan.person, timezone.localdate())


def test_the_time_told_is_when_it_was_reported(token: str) -> None:
    row = only(concerns_after(token, [entry(1, "unwell", topic="breathless"), entry(40, "effort", effort=2)]))
    assert "at 09:01" in row.text


def test_a_worry_at_the_end_counts_and_says_where_it_came_from(token: str) -> None:
    row = only(concerns_after(token, [entry(9, "done", whole_effort=3, worried=True)]))
    assert (row.topic, row.urgency, row.holds_plan) == (UNNAMED, "same_day", True)
    assert row.text == "In the session at 09:09, said at the end that something was worrying."


def test_a_session_that_went_well_raises_nothing(token: str, plan: ProgrammeVersion) -> None:
    batch = [entry(0, "check", outcome="go_ahead"), entry(1, "feel", feel="too_hard"), entry(9, "done", worried=False)]
    assert concerns_after(token, batch) == []
    assert not why_held(plan.person, timezone.localdate())


# Unnamed, named, by mistake


def test_unnamed_then_named_stays_one_concern(token: str) -> None:
    first = only(concerns_after(token, [entry(1, "unwell", topic="")]))
    row = only(concerns_after(token, [entry(2, "unwell", topic="breathless")]))
    assert row.pk == first.pk
    assert (row.topic, row.urgency, row.holds_plan) == ("breathless", "emergency", True)
    assert "R042" in row.rule_ids


def test_a_name_never_makes_it_less_urgent(token: str) -> None:
    row = only(
        concerns_after(token, [entry(1, "unwell", topic="")], [entry(2, "unwell", topic="soreness up to 3 days")])
    )
    assert (row.topic, row.urgency) == ("soreness up to 3 days", "same_day")


def test_two_names_are_two_concerns(token: str) -> None:
    rows = concerns_after(
        token,
        [entry(1, "unwell", topic="")],
        [entry(2, "unwell", topic="breathless"), entry(3, "unwell", topic="faint")],
    )
    assert {row.topic for row in rows} == {"breathless", "faint"}


@pytest.mark.parametrize("at_once", [True, False])
def test_a_press_by_mistake_is_kept_to_be_read_but_holds_nothing(
    at_once: bool, token: str, plan: ProgrammeVersion
) -> None:
    press, back = entry(1, "unwell", topic=""), entry(2, "unwell", topic="", withdrawn=True)
    row = only(concerns_after(token, *([[press, back]] if at_once else [[press], [back]])))
    assert (row.urgency, row.holds_plan, row.closed_at) == ("self_care", False, None)
    assert row.text.endswith(BY_MISTAKE)
    assert not why_held(plan.person, timezone.localdate())


def test_a_second_press_after_a_mistake_counts_again(token: str, plan: ProgrammeVersion) -> None:
    row = only(
        concerns_after(
            token,
            [entry(1, "unwell", topic="")],
            [entry(2, "unwell", topic="", withdrawn=True)],
            [entry(3, "unwell", topic="")],
        )
    )
    assert (row.urgency, row.holds_plan) == ("same_day", True)
    assert BY_MISTAKE not in row.text
    assert why_held(plan.person, timezone.localdate())


def test_taking_back_a_press_takes_back_no_symptom(token: str) -> None:
    row = only(
        concerns_after(
            token,
            [entry(1, "unwell", topic=""), entry(2, "unwell", topic="faint")],
            [entry(3, "unwell", topic=""), entry(4, "unwell", topic="", withdrawn=True)],
        )
    )
    assert (row.topic, row.urgency, row.holds_plan) == ("faint", "emergency", True)


# Checks


@pytest.mark.parametrize(
    ("outcome", "rule_ids", "urgency", "holds"),
    [
        ("not_today", ["R043"], "emergency", True),
        ("not_today", ["R031"], "same_day", True),
        ("not_today", ["R032"], "next_working_day", False),
        ("check_first", ["R121"], "next_working_day", False),
        ("check_first", [], "next_working_day", False),
        ("not_today", ["R032", "R031"], "same_day", True),
        ("not_today", ["R999"], "same_day", True),  # a rule that this protocol does not know is never put down
    ],
)
def test_a_check_is_as_urgent_as_the_rules_that_fired(
    outcome: str, rule_ids: list[str], urgency: str, holds: bool, token: str
) -> None:
    row = only(concerns_after(token, [entry(0, "check", outcome=outcome, rule_ids=rule_ids)]))
    assert (row.topic, row.urgency, row.holds_plan) == (CHECK_TOPIC, urgency, holds)
    assert row.rule_ids == rule_ids
    assert row.text.startswith(f"The check said {outcome.replace('_', ' ')}: ")


def test_a_check_says_which_rule_stopped_it(token: str) -> None:
    row = only(concerns_after(token, [entry(0, "check", outcome="not_today", rule_ids=["R031"])]))
    text = next(rule.text for rule in default_protocol().rules if rule.id == "R031")
    assert text in row.text


def test_a_later_go_ahead_does_not_undo_a_stop(token: str) -> None:
    stop = entry(0, "check", outcome="not_today", rule_ids=["R031"])
    assert only(concerns_after(token, [stop, entry(1, "check", outcome="go_ahead")])).urgency == "same_day"


def test_a_worse_check_of_the_same_session_makes_it_more_urgent(token: str) -> None:
    first = entry(0, "check", outcome="check_first", rule_ids=["R121"])
    worse = entry(1, "check", outcome="not_today", rule_ids=["R043"])
    row = only(concerns_after(token, [first], [worse]))
    assert (row.urgency, row.holds_plan, row.rule_ids) == ("emergency", True, ["R043"])


@pytest.mark.parametrize("rule_ids", [None, 5, "R031", [{"id": "R031"}, None]])
def test_rules_that_cannot_be_read_still_leave_a_concern(rule_ids: object, token: str) -> None:
    row = only(concerns_after(token, [entry(0, "check", outcome="not_today", rule_ids=rule_ids)]))
    assert (row.urgency, row.rule_ids) == ("next_working_day", [])


# What lets a session start with care


@pytest.mark.parametrize(
    ("rule_id", "topic", "urgency"),
    [("R047", "medicine changed", "next_working_day"), ("R046", "medicine missed", "same_day")],
)
def test_what_a_check_let_pass_with_care_reaches_the_nurses_and_holds_nothing(
    rule_id: str, topic: str, urgency: str, token: str, plan: ProgrammeVersion
) -> None:
    row = only(concerns_after(token, [entry(0, "check", outcome="go_ahead", rule_ids=[rule_id])]))
    assert (row.topic, row.urgency, row.holds_plan, row.rule_ids) == (topic, urgency, False, [rule_id])
    assert not why_held(plan.person, timezone.localdate())


def test_soreness_told_in_the_check_is_no_concern(token: str) -> None:
    assert concerns_after(token, [entry(0, "check", outcome="go_ahead", rule_ids=["R126"])]) == []


def test_no_range_is_shown_after_a_told_change_of_medicines_until_someone_has_looked(
    token: str, plan: ProgrammeVersion
) -> None:
    assert shown_range(intensity_in_force(plan)) is not None
    row = only(concerns_after(token, [entry(0, "check", outcome="go_ahead", rule_ids=["R047"])]))
    assert shown_range(intensity_in_force(plan)) is None
    row.closed_at, row.closed_by, row.what_was_done = (
        timezone.now(),
        plan.signed_by,
        "Rang; only the statin was changed.",
    )
    row.save()
    assert shown_range(intensity_in_force(plan)) is not None


def test_a_signed_range_ends_with_its_reading(plan: ProgrammeVersion) -> None:
    later = timezone.now() + timedelta(days=default_protocol().policies.intensity.reading_valid_days + 1)
    with patch.object(timezone, "now", return_value=later):
        assert shown_range(intensity_in_force(plan)) is None


# Notes


def test_a_note_is_listed_and_holds_nothing(token: str, plan: ProgrammeVersion) -> None:
    row = only(concerns_after(token, [entry(1, "note", text="My knee clicks.")]))
    assert (row.topic, row.text, row.holds_plan) == (NOTE_TOPIC, "My knee clicks.", False)
    assert row.urgency == default_protocol().concerns.unknown_level
    assert not why_held(plan.person, timezone.localdate())


def test_a_second_note_is_added_to_the_first(token: str) -> None:
    row = only(concerns_after(token, [entry(1, "note", text="One.")], [entry(2, "note", text="Two.")]))
    assert row.text == "One. / Two."


# What comes after it was closed


def close_all(user: User) -> None:
    Concern.objects.filter(closed_at=None).update(closed_by=user, closed_at=timezone.now(), what_was_done="Rang.")


def test_a_closed_concern_stays_as_it_was_when_the_rest_of_the_session_arrives(token: str, nurse: User) -> None:
    concerns_after(token, [entry(1, "unwell", topic="breathless")])
    close_all(nurse)
    row = only(concerns_after(token, [entry(2, "set", repetitions=3), entry(3, "done", whole_effort=2)]))
    assert row.closed_at is not None


def test_the_same_symptom_after_closing_is_a_concern_again(token: str, nurse: User, plan: ProgrammeVersion) -> None:
    concerns_after(token, [entry(1, "unwell", topic="breathless")])
    close_all(nurse)
    old, new = concerns_after(token, [entry(50, "unwell", topic="breathless")])
    assert old.what_was_done == "Rang."
    assert old.closed_at is not None
    assert (new.topic, new.urgency, new.closed_at) == ("breathless, again", "emergency", None)
    assert why_held(plan.person, timezone.localdate())
    close_all(nurse)
    assert len(concerns_after(token, [entry(51, "set", repetitions=3)])) == 2
    assert len(concerns_after(token, [entry(60, "unwell", topic="breathless")])) == 3


def test_a_note_after_closing_is_not_lost(token: str, nurse: User) -> None:
    concerns_after(token, [entry(1, "note", text="One.")])
    close_all(nurse)
    _, new = concerns_after(token, [entry(2, "note", text="Two.")])
    assert "Two." in new.text
    assert new.closed_at is None


def test_naming_it_after_the_press_was_closed_is_a_new_concern(token: str, nurse: User) -> None:
    concerns_after(token, [entry(1, "unwell", topic="")])
    close_all(nurse)
    old, new = concerns_after(token, [entry(2, "unwell", topic="faint")])
    assert (old.topic, new.topic, new.closed_at) == (UNNAMED, "faint", None)


# What staff do


@pytest.fixture
def breathless(token: str) -> Concern:
    return only(concerns_after(token, [entry(1, "unwell", topic="breathless")]))


def test_a_nurse_takes_and_closes_a_concern(breathless: Concern, nurse: User, plan: ProgrammeVersion) -> None:
    client, page = as_user(nurse), reverse("concern", args=[breathless.pk])
    assert "I take this" in client.get(page).content.decode()
    assert client.post(page, {"take": "1"}).headers["Location"] == page
    assert "Taken by Nurse Test" in client.get(page).content.decode()
    assert why_held(plan.person, timezone.localdate())
    answer = client.post(page, {"what_was_done": "Rang; seen by the doctor, well again."})
    assert answer.headers["Location"] == reverse("concerns")
    assert not why_held(plan.person, timezone.localdate())
    text = client.get(page).content.decode()
    assert "Closed by Nurse Test" in text
    assert "seen by the doctor" in text
    assert "seen by the doctor" in client.get(reverse("concerns")).content.decode()


@pytest.mark.parametrize("data", [{}, {"what_was_done": ""}, {"what_was_done": "   "}])
def test_closing_needs_a_sentence(data: dict[str, str], breathless: Concern, nurse: User) -> None:
    answer = as_user(nurse).post(reverse("concern", args=[breathless.pk]), data)
    assert answer.status_code == 422
    assert "Say what was done, then close it." in answer.content.decode()
    breathless.refresh_from_db()
    assert breathless.closed_at is None


def test_what_was_closed_is_not_closed_again(breathless: Concern, nurse: User, lead: User) -> None:
    page = reverse("concern", args=[breathless.pk])
    as_user(nurse).post(page, {"what_was_done": "Rang."})
    as_user(lead).post(page, {"what_was_done": "Something else."})
    as_user(lead).post(page, {"take": "1"})
    breathless.refresh_from_db()
    assert (breathless.what_was_done, breathless.closed_by, breathless.taken_by) == ("Rang.", nurse, None)


def test_another_team_finds_no_concern(breathless: Concern, outsider: User) -> None:
    client = as_user(outsider)
    page = reverse("concern", args=[breathless.pk])
    assert client.get(page).status_code == 404
    assert client.post(page, {"what_was_done": "Nothing."}).status_code == 404
    for name in ("concerns", "today"):
        assert "Ana" not in client.get(reverse(name)).content.decode()


def test_an_assistant_sees_that_there_is_a_concern_but_not_what_it_says(
    breathless: Concern, assistant: User, plan: ProgrammeVersion
) -> None:
    client = as_user(assistant)
    assert client.get(reverse("concern", args=[breathless.pk])).status_code == 403
    text = client.get(reverse("person", args=[plan.person.pk])).content.decode()
    assert "Ask the lead or a nurse before any exercise." in text
    assert breathless.text not in text
    assert "Ana" not in client.get(reverse("today")).content.decode()


def raised(person: Person, topic: str, urgency: str) -> Concern:
    return Concern.objects.create(
        person=person, topic=topic, urgency=urgency, text="Said so.", raised_at=timezone.now()
    )


@pytest.mark.parametrize("page", ["today", "concerns"])
def test_the_soonest_comes_first(page: str, person: Person, nurse: User) -> None:
    for topic, urgency in (
        ("fourth", "self_care"), ("second", "same_day"), ("first", "emergency"), ("third", "next_working_day"),
    ):  # fmt: skip
        raised(person, topic, urgency)
    text = as_user(nurse).get(reverse(page)).content.decode().lower()
    places = [text.index(topic) for topic in ("first", "second", "third", "fourth")]
    assert places == sorted(places)


def test_a_closed_concern_leaves_today(person: Person, nurse: User) -> None:
    row = raised(person, "sore knee", "same_day")
    client = as_user(nurse)
    assert "Sore knee: Said so." in client.get(reverse("today")).content.decode()
    client.post(reverse("concern", args=[row.pk]), {"what_was_done": "Rang."})
    assert "Sore knee" not in client.get(reverse("today")).content.decode()


def test_the_list_needs_as_many_queries_for_many_as_for_one(
    person: Person, nurse: User, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for number in range(25):
        raised(person, f"topic {number}", "same_day")
    client = as_user(nurse)
    for page in ("concerns", "today"):
        with django_assert_max_num_queries(16):
            assert client.get(reverse(page)).status_code == 200


def test_the_log_behind_a_concern_is_never_changed_by_closing_it(breathless: Concern, nurse: User) -> None:
    before = list(LogEntry.objects.values())
    as_user(nurse).post(reverse("concern", args=[breathless.pk]), {"what_was_done": "Rang."})
    assert list(LogEntry.objects.values()) == before
    assert breathless.raised_at < timezone.now() + timedelta(seconds=1)


# Told to staff


def told(person: Person, user: User, *, at: str, **data: str) -> str:
    """Report at a time of Wednesday 25 November 2026, and read the answer."""
    moment = datetime.fromisoformat(f"2026-11-25T{at}").replace(tzinfo=timezone.get_current_timezone())
    with patch("django.utils.timezone.now", return_value=moment):
        answer = as_user(user).post(reverse("report_concern", args=[person.pk]), data)
    assert answer.status_code in (200, 302), answer.content
    return answer.content.decode()


def test_what_to_do_is_shown_before_anything_is_kept(assistant: User, assessed: Person) -> None:
    text = told(assessed, assistant, at="10:00", symptom="chest_pain", sure="yes", note="since breakfast")
    assert "How soon: now." in text
    assert text.index("999") < text.index("Then record it")
    assert "Nothing is kept yet." in text
    assert not Concern.objects.exists()
    told(assessed, assistant, at="10:01", symptom="chest_pain", sure="yes", note="since breakfast", record="1")
    row = Concern.objects.get()
    assert (row.urgency, row.holds_plan) == ("emergency", True)
    assert row.text.startswith("Told to Assistant Test")
    assert "since breakfast" in row.text
    assert why_held(assessed, timezone.localdate())


def test_a_second_press_makes_no_second_concern(assistant: User, assessed: Person) -> None:
    said = {"symptom": "calf", "sure": "yes", "note": "since breakfast"}
    pages = [told(assessed, assistant, at="10:00", **said) for _ in range(2)]
    one, other = (re.findall(r'name="form_id" value="([0-9a-f-]{36})"', text) for text in pages)
    assert (len(one), one == other) == (1, False), "each advice page has a number of its own"
    for at in ("10:01", "10:02"):
        told(assessed, assistant, at=at, form_id=one[0], record="1", **said)
    first = Concern.objects.get()
    assert f"{timezone.localtime(first.raised_at):%H:%M}" == "10:01"
    told(assessed, assistant, at="10:03", form_id=other[0], record="1", **said)
    assert Concern.objects.count() == 2, "told anew it is a concern again"


@pytest.mark.parametrize(
    ("symptom", "sure", "level"),
    [
        ("calf", "yes", "same_day"),
        ("calf", "no", "emergency"),
        ("sore_usual", "yes", "self_care"),
        ("sore_usual", "no", "next_working_day"),
        ("something_else", "yes", "same_day"),
    ],
)
def test_a_report_gets_the_protocols_level_and_unsure_goes_one_up(
    symptom: str, sure: str, level: str, nurse: User, assessed: Person
) -> None:
    told(assessed, nurse, at="10:00", symptom=symptom, sure=sure, note="odd feeling", record="1")
    assert Concern.objects.get().urgency == level


def test_out_of_hours_the_page_says_that_no_one_reads_this_and_what_to_do(nurse: User, assessed: Person) -> None:
    night = told(assessed, nurse, at="22:00", symptom="sore_usual", sure="yes")
    assert "No one is reading this now. The team is back at 09:00 on Thursday." in night
    assert "Ring the urgent advice line on 111 if it cannot wait" in night
    day = told(assessed, nurse, at="10:00", symptom="sore_usual", sure="yes")
    assert "No one is reading this now" not in day


def test_a_service_without_opening_times_is_never_said_to_read(nurse: User, assessed: Person) -> None:
    assessed.service.values = {key: text for key, text in assessed.service.values.items() if key != "open_times"}
    assessed.service.save()
    assert "No one is reading this now" in told(assessed, nurse, at="10:00", symptom="calf", sure="yes")


@pytest.mark.parametrize("data", [{}, {"symptom": "calf"}, {"symptom": "something_else", "sure": "yes"}])
def test_a_report_without_what_it_needs_is_asked_again(data: dict[str, str], nurse: User, assessed: Person) -> None:
    url = reverse("report_concern", args=[assessed.pk])
    assert as_user(nurse).post(url, data | {"record": "1"}).status_code == 422
    assert not Concern.objects.exists()
