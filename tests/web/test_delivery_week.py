"""The weeks of a person: told by whom and when, days that are not like others, paper, helpers, how they are doing."""

from __future__ import annotations

import io
import json
import re
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import UUID, uuid4

import pypdf
import pytest
from django.db import IntegrityError
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from haleward.dose.week_plan import monday_of
from haleward.exchange.calendar import minutes_of
from haleward.render.booklet_week import dated_weeks
from haleward.web.accounts.models import User
from haleward.web.concerns.models import Concern
from haleward.web.delivery import actions
from haleward.web.delivery.holding import why_held
from haleward.web.delivery.logs import all_logs, session_id_of, session_logs
from haleward.web.delivery.models import LogEntry, SpecialDays
from haleward.web.delivery.sheets import page_of, print_of, sheet_of
from haleward.web.delivery.weeks import week_for, weeks_for
from haleward.web.people.course import charts_of
from haleward.web.people.models import Person
from haleward.web.prescription.models import ProgrammeVersion
from haleward.web.prescription.signing import programme_of
from haleward.web.team.demo import NUMBERS
from haleward.web.team.protocol import protocol_of
from haleward.wording import default_wording
from tests.web.conftest import as_user, complete_record, finish
from tests.web.log_entries import report, send

pytestmark = pytest.mark.django_db
SET = {"exercise_index": 0, "movement_id": "sit_to_stand", "set_number": 1}


@pytest.fixture
def longer(plan: ProgrammeVersion) -> ProgrammeVersion:
    """The plan, signed two weeks ago on a Monday."""
    monday = monday_of(timezone.localdate()) - timedelta(days=14)
    signed_at = datetime.combine(monday, time(8), timezone.get_default_timezone())
    ProgrammeVersion.objects.filter(pk=plan.pk).update(signed_at=signed_at)
    return ProgrammeVersion.objects.get(pk=plan.pk)


def diary_data_of(token: str) -> dict[str, Any]:
    """What the log page knows."""
    text = Client().get(reverse("me_diary", args=[token])).content.decode()
    found = re.search(r'<script type="application/json" id="data">(.*?)</script>', text, re.DOTALL)
    assert found
    data: dict[str, Any] = json.loads(found[1])
    return data


def words_of(pdf: bytes) -> str:
    """What a print says, its lines joined."""
    return " ".join(" ".join(page.extract_text().split()) for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)


def days_of(token: str) -> dict[str, Any]:
    """What the log page knows, by day."""
    return {day["on"]: day for day in diary_data_of(token)["days"]}


# What is told


def test_the_log_page_knows_two_weeks_back_and_four_ahead_with_ids_that_stay(
    token: str, plan: ProgrammeVersion
) -> None:
    days, today = days_of(token), timezone.localdate()
    assert min(days) == (today - timedelta(days=14)).isoformat()
    assert max(days) == (today + timedelta(days=28)).isoformat()
    assert days == days_of(token)
    here = days[today.isoformat()]
    assert {one["part_key"] for one in (*here["sessions"], *here["others"])} == {"one", "two", "walk"}
    assert all(day["sessions"] == [] for on, day in days.items() if on < today.isoformat()), (
        "no plan before it is signed"
    )


def test_a_told_session_is_known_to_the_page_and_a_later_word_corrects_it(token: str, plan: ProgrammeVersion) -> None:
    today, person = timezone.localdate(), plan.person
    send(token, [report(person, today, "one", entered_at="2026-01-01T10:00:00+00:00")])
    send(token, [report(person, today, "one", "part", entered_at="2026-01-01T10:05:00+00:00", whole_effort=4)])
    send(token, [report(person, today, "one", "not_done", entered_at="2026-01-01T09:00:00+00:00")])  # sent late
    (log,) = session_logs(person)
    assert (log.outcome, log.whole_effort, log.origin) == ("part", 4, "person")
    here = days_of(token)[today.isoformat()]
    known = [one for one in (*here["sessions"], *here["others"]) if one["part_key"] == "one"]
    assert known[0]["state"] == {"outcome": "part", "origin": "person", "late": False}


def test_what_is_told_of_a_day_belongs_to_the_session_that_was_played_on_it(token: str, plan: ProgrammeVersion) -> None:
    today, person = timezone.localdate(), plan.person
    now = datetime.combine(today, time(12), timezone.get_default_timezone())
    played = {"session_id": str(uuid4()), "sheet_id": "s", "plan_version": 1, "part_key": "one"}
    about = {"exercise_index": 0, "movement_id": "sit_to_stand", "set_number": 1}
    one = {"entry_id": str(uuid4()), "kind": "set", "at": now.isoformat(), "data": played | about | {"repetitions": 9}}
    send(token, [one, report(person, today, "one", "part")])
    (log,) = session_logs(person)
    assert (log.session_id, log.outcome, log.sets[0].repetitions) == (played["session_id"], "part", 9)


def test_a_symptom_outside_a_session_stays_apart_from_the_walk_of_its_day(
    token: str, plan: ProgrammeVersion, lead: User
) -> None:
    today, person = timezone.localdate(), plan.person
    alone = {"session_id": str(uuid4()), "sheet_id": "diary", "plan_version": 1, "part_key": "walk", "outside": True}
    unwell = {"kind": "unwell", "data": alone | {"topic": "faint"}}
    at = datetime.combine(today, time(9), timezone.get_default_timezone()).isoformat()
    send(token, [report(person, today, "walk", "as_planned"), unwell | {"entry_id": str(uuid4()), "at": at}])
    logs = {log.outside: log for log in session_logs(person)}
    assert (logs[False].outcome, logs[False].symptoms) == ("as_planned", ())
    assert (logs[True].outcome, logs[True].symptoms) == ("", ("faint",))
    read = as_user(lead).get(reverse("sessions", args=[person.pk])).content.decode()
    assert "done as planned" in read
    assert "Outside a session" in read
    assert "stopped" not in read


def test_a_symptom_in_the_walk_that_was_told_stops_that_walk(token: str, plan: ProgrammeVersion) -> None:
    today, person = timezone.localdate(), plan.person
    told = report(person, today, "walk", "part")
    about = {name: told["data"][name] for name in ("session_id", "sheet_id", "plan_version", "part_key")}
    unwell = {"kind": "unwell", "data": about | {"topic": "faint", "outside": False}}
    send(token, [told, unwell | {"entry_id": str(uuid4()), "at": told["at"]}])
    (log,) = session_logs(person)
    assert (log.outcome, log.symptoms, log.outside) == ("part", ("faint",), False)


def test_not_done_is_kept_and_is_no_exercise(token: str, plan: ProgrammeVersion) -> None:
    send(token, [report(plan.person, timezone.localdate(), "one", "not_done", reason="time")])
    assert session_logs(plan.person) == ()
    (log,) = all_logs(plan.person)
    assert (log.outcome, log.reason) == ("not_done", "time")


@pytest.mark.parametrize(
    ("days", "places", "level"),
    [
        (3, ["legs"], ""),
        (4, ["legs"], "next_working_day"),
        (8, [], "next_working_day"),
        (1, ["joint"], "next_working_day"),
        (1, ["one_side", "arms"], "next_working_day"),
        (1, ["one_side", "legs"], "same_day"),
    ],
)
def test_how_soon_soreness_is_looked_at_follows_from_days_and_place(
    days: int, places: list[str], level: str, token: str, plan: ProgrammeVersion
) -> None:
    today = timezone.localdate()
    sore = report(plan.person, today, "one") | {"kind": "sore"}
    sore["data"] |= {"sore_days": days, "places": places}
    assert send(token, [sore]).status_code == 200
    concerns = Concern.objects.filter(topic="soreness beyond 3 days")
    assert list(concerns.values_list("urgency", flat=True)) == ([level] if level else [])


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"on": "tomorrow"}, "on is 'tomorrow'"),
        ({"outcome": "perhaps"}, "outcome is 'perhaps'"),
        ({"entered_at": "noon"}, "entered_at is 'noon'"),
        ({"sets": [{"exercise_index": 0}]}, "The entry has no movement_id"),
        ({"sets": "all"}, "The sets are not a list"),
        ({"heart_rate_bpm": 300}, "heart_rate_bpm is 300; it must be a whole number, 25 or more, at most 220"),
        ({"sets": [SET | {"repetitions": 8, "hard_at": 9}]}, "hard_at is 9, but the set had 8 repetitions"),
    ],
)
def test_a_faulty_report_is_named(change: dict[str, Any], fault: str, token: str, plan: ProgrammeVersion) -> None:
    entry = report(plan.person, timezone.localdate(), "one")
    answer = send(token, [entry | {"data": entry["data"] | change}])
    assert answer.status_code == 422
    assert fault in answer.json()["fault"]


@pytest.mark.parametrize(("ahead", "marked"), [(timedelta(minutes=20), False), (timedelta(days=1), True)])
def test_a_clock_that_is_off_is_marked_and_both_times_are_kept(
    ahead: timedelta, marked: bool, token: str, plan: ProgrammeVersion
) -> None:
    now = timezone.now()
    entry = report(plan.person, timezone.localdate(now), "one") | {"at": (now + ahead).isoformat()}
    body = {"sent_at": (now + ahead).isoformat(), "entries": [entry]}
    Client().post(reverse("me_log", args=[token]), data=body, content_type="application/json")
    row = LogEntry.objects.get()
    assert row.happened_at == now + ahead
    assert (row.clock_off_s is not None) is marked
    assert abs(row.true_at - (now if marked else now + ahead)) < timedelta(minutes=1)


def test_two_windows_that_send_at_the_same_moment_store_once(
    token: str, plan: ProgrammeVersion, monkeypatch: pytest.MonkeyPatch
) -> None:
    entry = report(plan.person, timezone.localdate(), "one")
    store, outrun = actions._store, iter([True, False])

    def outrun_once(*entries: Any, **now: Any) -> None:
        store(*entries, **now)
        if next(outrun):
            raise IntegrityError  # as when the other window was a moment earlier

    monkeypatch.setattr(actions, "_store", outrun_once)
    answer = send(token, [entry])
    assert answer.json()["stored"] == [entry["entry_id"]]
    assert LogEntry.objects.count() == 1


# Days that are not like others


def days_form(kind: str, first: date, **more: Any) -> dict[str, Any]:
    return {"id": str(uuid4()), "kind": kind, "first_on": first.isoformat(), "last_on": "", "minutes": ""} | more


def test_a_week_away_is_planned_around_and_may_be_taken_back(token: str, plan: ProgrammeVersion) -> None:
    monday = monday_of(timezone.localdate()) + timedelta(days=7)
    before = week_for(plan, monday)
    sent = days_form("away", monday, last_on=(monday + timedelta(days=6)).isoformat())
    address = reverse("me_days", args=[token])
    for _ in range(2):  # a second press keeps nothing twice
        assert Client().post(address, sent).status_code == 302
    row = SpecialDays.objects.get()
    assert (row.origin, row.told_by) == ("person", None)
    assert week_for(plan, monday).sessions == ()
    assert len(week_for(plan, monday).off) == len(before.sessions)
    assert "You are away." in Client().get(reverse("me", args=[token])).content.decode()
    text = Client().post(address, {"take_back": str(row.pk)}, follow=True).content.decode()
    assert "Taken back. Your week is as it was." in text
    assert week_for(plan, monday) == before
    assert SpecialDays.objects.count() == 1


def test_a_day_with_little_time_is_the_same_on_page_player_calendar_and_paper(
    token: str, plan: ProgrammeVersion
) -> None:
    monday = monday_of(timezone.localdate()) + timedelta(days=7)
    one = next(one for one in week_for(plan, monday).sessions if one.part_key == "one")
    Client().post(reverse("me_days", args=[token]), days_form("part_day", one.on, minutes="20"))
    short = next(other for other in week_for(plan, monday).sessions if other.on == one.on and other.part_key == "one")
    assert 0 < len(short.exercises) < len(one.exercises)

    home = Client().get(reverse("me", args=[token])).content.decode()
    said = f"Part one: the first {len(short.exercises)} movements"
    player = f"{reverse('me_session', args=[token, 'one'])}?day={one.on.isoformat()}"
    assert said in home
    assert f'href="{player}"' in home
    assert "?day=" not in home.replace(player, "") or "walk/?day=" in home  # a usual day plays the whole part
    whole, cut = sheet_of(plan, "one")[0], sheet_of(plan, "one", short)[0]
    assert [each.title for each in cut.exercises] == [each.title for each in whole.exercises[: len(short.exercises)]]
    assert cut.sheet_id != whole.sheet_id
    assert minutes_of(cut) <= 20 + 4  # what is said between is not in the plan's sum
    sent = {"post_url": reverse("me_log", args=[token]), "token": token}
    assert Client().get(player).content.decode() == page_of(plan, "one", **sent, planned=short)
    usual = player.split("?")[0]
    assert Client().get(usual).content.decode() == page_of(plan, "one", **sent)
    assert Client().get(f"{usual}?day=soon").content.decode() == page_of(plan, "one", **sent)
    assert page_of(plan, "one", **sent) != page_of(plan, "one", **sent, planned=short)

    calendar = Client().get(reverse("me_calendar_file", args=[token])).content.decode().replace("\r\n ", "")
    assert f"Short day: {said}." in calendar
    assert f"DURATION:PT{minutes_of(cut)}M" in calendar or "VALUE=DATE" in calendar
    weeks = weeks_for(plan, [monday, monday + timedelta(days=7)])
    (dated,) = dated_weeks(programme_of(plan), weeks, wording=default_wording(), values=NUMBERS)
    assert any(said in line for row in dated["rows"] for line in row)
    assert any("You have 20 minutes on this day." in row for row in dated["rows"])


def test_a_booklet_shows_the_weeks_that_are_not_like_others(plan: ProgrammeVersion) -> None:
    usual = print_of(plan, "one", "large")
    first = monday_of(timezone.localdate()) + timedelta(days=7)
    SpecialDays.objects.create(
        person=plan.person, kind="away", first_on=first, last_on=first + timedelta(days=6), origin="staff",
        told_at=timezone.now(),
    )  # fmt: skip
    text = words_of(print_of(plan, "one", "large"))
    assert "These weeks are not like the others." in text
    assert "You are away. Nothing is planned." in text
    assert "There is no need to catch up." in text
    assert "These weeks are not like the others." not in words_of(usual)


def test_illness_shows_its_advice_before_it_is_kept_then_holds_the_plan(token: str, plan: ProgrammeVersion) -> None:
    address, sent = reverse("me_days", args=[token]), days_form("ill", timezone.localdate())
    text = Client().post(address, sent).content.decode()
    assert "Read this first." in text
    assert "999" in text
    assert not SpecialDays.objects.exists()
    Client().post(address, sent | {"read": "1"})
    Client().post(address, sent | {"read": "1"})
    assert SpecialDays.objects.count() == LogEntry.objects.count() == 1
    assert Concern.objects.get().topic == "fever or feeling ill"
    assert why_held(plan.person, timezone.localdate())
    row, client = SpecialDays.objects.get(), Client()
    text = client.post(address, {"take_back": str(row.pk)}, follow=True).content.decode()
    assert "Taken back. Do not exercise until you have talked to the team." in text
    assert "Your week is as it was" not in text
    row.refresh_from_db()
    assert row.withdrawn_at


def test_fasting_asks_a_nurse_about_the_medicines_and_holds_nothing(plan: ProgrammeVersion, nurse: User) -> None:
    sent = days_form("fasting", timezone.localdate(), last_on=(timezone.localdate() + timedelta(days=20)).isoformat())
    as_user(nurse).post(reverse("person_days", args=[plan.person_id]), sent)
    concern, row = Concern.objects.get(), SpecialDays.objects.get()
    assert (row.origin, row.told_by) == ("staff", nurse)
    assert "Review medicines and glucose" in concern.text
    assert not why_held(plan.person, timezone.localdate())
    assert week_for(plan, timezone.localdate()).off == ()


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"last_on": "2020-01-01"}, "The last day is before the first day"),
        ({"kind": "part_day"}, "Write how many minutes"),
        ({"first_on": "2020-01-01"}, "Choose a first day from"),
        ({"last_on": "2999-01-01"}, "Choose at most"),
    ],
)
def test_days_that_cannot_be_are_refused(
    change: dict[str, Any], fault: str, token: str, plan: ProgrammeVersion
) -> None:
    answer = Client().post(reverse("me_days", args=[token]), days_form("away", timezone.localdate()) | change)
    assert answer.status_code == 422
    assert fault in answer.content.decode()
    assert not SpecialDays.objects.exists()


def test_another_team_tells_no_days(plan: ProgrammeVersion, outsider: User) -> None:
    for name in ("person_days", "person_carers"):
        assert as_user(outsider).get(reverse(name, args=[plan.person_id])).status_code == 404


# Paper


def paper(plan: ProgrammeVersion, user: User, **cells: str) -> Any:
    """Type last week's cells: name them Monday0_one_done and so on by day, part and column."""
    monday = monday_of(timezone.localdate()) - timedelta(days=7)
    sent = {"id": "22222222-2222-4222-8222-222222222222"}
    for key, value in cells.items():
        day, part, column = key.split("__")
        sent[f"{(monday + timedelta(days=int(day[1:]))).isoformat()}-{part}-{column}"] = value
    address = reverse("paper_week", args=[plan.person_id, monday.isoformat()])
    return as_user(user).post(address, sent)


def strength_day(plan: ProgrammeVersion) -> int:
    week = week_for(plan, monday_of(timezone.localdate()) - timedelta(days=7))
    return next(one.on.weekday() for one in week.sessions if one.part_key == "one")


def test_a_paper_week_is_kept_once_as_self_reported_and_late(longer: ProgrammeVersion, assistant: User) -> None:
    day = strength_day(longer)
    cells = {f"d{day}__one__done": "as_planned", f"d{day}__one__effort": "4", "d6__walk__minutes": "25"}
    for _ in range(2):
        assert paper(longer, assistant, **cells).status_code == 302
    by_part = {log.part_key: log for log in session_logs(longer.person)}
    assert set(by_part) == {"one", "walk"}
    assert (by_part["one"].whole_effort, by_part["one"].back_dated) == (4, True)
    assert sum(one.minutes or 0 for one in by_part["walk"].sets) == 25
    assert by_part["walk"].outcome == "part"
    assert {log.origin for log in by_part.values()} == {"paper"}
    assert LogEntry.objects.count() == 2
    text = as_user(assistant).get(reverse("sessions", args=[longer.person_id])).content.decode()
    assert "self-reported on paper" in text
    assert "Added on a later day" in text


def test_pulse_and_hard_repetition_on_paper_are_kept_and_shown(longer: ProgrammeVersion, assistant: User) -> None:
    day = strength_day(longer)
    cells = {f"d{day}__one__done": "as_planned", f"d{day}__one__hard-0": "4"}
    paper(longer, assistant, **cells, d6__walk__minutes="25", d6__walk__effort="3", d6__walk__rate="104")
    by_part = {log.part_key: log for log in session_logs(longer.person)}
    hard = [one.hard_at for one in by_part["one"].sets if one.exercise_index == 0]
    assert hard == [*[None] * (len(hard) - 1), 4]
    assert {one.hard_at for one in by_part["one"].sets if one.exercise_index} == {None}
    assert by_part["walk"].heart_rate_bpm == 104
    text = as_user(assistant).get(reverse("sessions", args=[longer.person_id])).content.decode()
    assert "hard at number 4" in text
    assert "Heart rate at the end: 104 beats a minute, self-reported on paper." in text
    rate = next(chart for chart in charts_of(longer.person, today=timezone.localdate()) if chart.key == "rate")
    assert [row[1:4] for row in rate.rows if row[1] == "104"] == [
        ("104", "at effort 3", "at home, self-reported (the person, on paper)")
    ]


@pytest.mark.parametrize(("column", "value"), [("rate", "500"), ("rate", "9"), ("rate", "0")])
def test_a_pulse_that_can_be_none_is_asked_about(
    column: str, value: str, longer: ProgrammeVersion, assistant: User
) -> None:
    answer = paper(longer, assistant, d6__walk__done="as_planned", **{f"d6__walk__{column}": value})
    assert answer.status_code == 422
    assert not LogEntry.objects.exists()


def test_nobody_whose_pulse_cannot_guide_them_is_asked_for_it(
    longer: ProgrammeVersion, token: str, nurse: User, assistant: User
) -> None:
    person, today = longer.person, timezone.localdate()
    week = reverse("paper_week", args=[person.pk, "this"])
    assert diary_data_of(token)["heart_rate"] == [25, 220]
    assert "Heart rate" in as_user(assistant).get(week).content.decode()
    for changed in (
        {"rhythm": "atrial_fibrillation"},
        {"answers": complete_record(person, today).answers | {"can_self_monitor": False}},
    ):
        finish(person, replace(complete_record(person, today), **changed), nurse)
        assert diary_data_of(token)["heart_rate"] is None
        assert "Heart rate" not in as_user(assistant).get(week).content.decode()


def test_a_blank_paper_week_says_nothing(longer: ProgrammeVersion, assistant: User) -> None:
    assert paper(longer, assistant).status_code == 302
    assert not LogEntry.objects.exists()


def test_a_symptom_on_paper_is_a_concern_that_holds_the_plan(longer: ProgrammeVersion, assistant: User) -> None:
    symptom = next(iter(_symptoms(longer)))
    paper(longer, assistant, d0__walk__symptom=symptom)
    concern = Concern.objects.get()
    assert "told later" in concern.text
    assert why_held(longer.person, timezone.localdate())


def _symptoms(plan: ProgrammeVersion) -> list[str]:
    return [one.key for one in protocol_of(plan.person.service).concerns.symptoms]


def test_an_effort_without_a_session_is_asked_about(longer: ProgrammeVersion, assistant: User) -> None:
    answer = paper(longer, assistant, d0__walk__effort="3")
    assert answer.status_code == 422
    assert "choose All or Part" in answer.content.decode()
    assert not LogEntry.objects.exists()


def test_a_day_that_is_none_gets_one_sentence(plan: ProgrammeVersion, assistant: User) -> None:
    answer = as_user(assistant).get(reverse("paper_week", args=[plan.person_id, "soon"]))
    assert answer.status_code == 422
    assert "not a day" in answer.content.decode()


# Without a script, and with somebody beside them


def test_a_browser_without_script_tells_a_session_on_a_plain_form(token: str, longer: ProgrammeVersion) -> None:
    diary = Client().get(reverse("me_diary", args=[token])).content.decode()
    listed = reverse("me_tell", args=[token])
    assert f'<noscript><meta http-equiv="refresh" content="0; url={listed}"></noscript>' in diary
    client, today = Client(), timezone.localdate()
    address = reverse("me_tell_session", args=[token, today.isoformat(), "walk"])
    sent = {"id": str(uuid4()), "done": "part", "minutes": "12", "effort": "3", "rate": "98", "symptom": ""}
    for _ in range(2):  # a second press keeps nothing twice
        assert client.post(address, sent).status_code == 302
    (log,) = session_logs(longer.person)
    assert (log.outcome, log.whole_effort, log.heart_rate_bpm, log.origin) == ("part", 3, 98, "person")
    assert sum(one.minutes or 0 for one in log.sets) == 12
    assert LogEntry.objects.count() == 1
    assert "Part done. That counts." in client.get(listed).content.decode()
    assert client.post(address, {"id": str(uuid4()), "minutes": "999"}).status_code == 422
    assert client.get(address.replace("walk", "three")).status_code == 404


def test_a_page_without_its_number_is_kept_all_the_same(token: str, longer: ProgrammeVersion) -> None:
    client, today = Client(), timezone.localdate()
    days = days_form("away", today + timedelta(days=1))
    walk = {"done": "part", "minutes": "12", "effort": "", "symptom": ""}
    for number in ("", None, "not a number"):
        given = {} if number is None else {"id": number}
        status = 422 if number == "not a number" else 302
        del days["id"]
        assert client.post(reverse("me_days", args=[token]), days | given).status_code == status
        address = reverse("me_tell_session", args=[token, today.isoformat(), "walk"])
        assert client.post(address, walk | given).status_code == status
        days["id"] = ""
    assert longer.person.special_days.count() == 2
    assert LogEntry.objects.count() == 2


def test_a_symptom_told_without_script_holds_the_plan_and_opens_the_safety_page(
    token: str, longer: ProgrammeVersion
) -> None:
    address = reverse("me_tell_session", args=[token, timezone.localdate().isoformat(), "walk"])
    sent = {"id": str(uuid4()), "done": "not_done", "symptom": next(iter(_symptoms(longer)))}
    assert Client().post(address, sent)["Location"] == reverse("me_safety", args=[token])
    assert why_held(longer.person, timezone.localdate())


def test_whoever_helps_on_the_persons_own_link_says_so(token: str, longer: ProgrammeVersion) -> None:
    today = timezone.localdate()
    send(token, [report(longer.person, today, "one", helping=True)])
    address = reverse("me_tell_session", args=[token, today.isoformat(), "walk"])
    Client().post(address, {"id": str(uuid4()), "done": "as_planned", "helping": "1"})
    assert {log.part_key: log.origin for log in session_logs(longer.person)} == {"one": "carer", "walk": "carer"}


# How I am doing


def test_a_blank_week_is_no_zero_and_nothing_is_said_about_what_is_missing(
    token: str, longer: ProgrammeVersion
) -> None:
    send(token, [report(longer.person, monday_of(timezone.localdate()) - timedelta(days=7), "one", whole_effort=4)])
    text = Client().get(reverse("me_doing", args=[token])).content.decode()
    assert "walk to the shop" in text
    assert "Nothing is logged this week yet." in text
    assert ">–</text>" in text
    assert "420 metres" in text
    assert "395 to 445" in text
    assert not re.search("missed|streak|fail|only 1 ", text)


def test_ids_of_told_sessions_differ_by_person_day_and_part(plan: ProgrammeVersion, person: Person) -> None:
    day = date(2026, 3, 2)
    ids = {session_id_of(plan.person, day, "one"), session_id_of(plan.person, day, "two"),
           session_id_of(plan.person, day + timedelta(days=1), "one")}  # fmt: skip
    assert len(ids) == 3
    assert session_id_of(Person(pk=UUID(int=1)), day, "one") not in ids
