"""The data of the person's log page: days back and ahead, each with its sessions and what is told of them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

from django.urls import reverse

from haleward.dose.intensity import set_intensity, shown_range
from haleward.dose.week_plan import DAYS_A_WEEK, monday_of
from haleward.render.diary_page import diary_data, diary_page
from haleward.safety.facts import facts_of
from haleward.session.bilingual import shown_sheet
from haleward.session.compile import WALK
from haleward.web.assessment.mapping import record_of
from haleward.web.assessment.models import finished_of
from haleward.web.delivery.landing import words_for
from haleward.web.delivery.left_out import open_places
from haleward.web.delivery.links import Holder
from haleward.web.delivery.logs import session_id_of
from haleward.web.delivery.sheets import sheet_of, signed_programme
from haleward.web.delivery.weeks import Told, begun_on, days_between, told_by_place, weeks_for
from haleward.web.languages.shown import wording_now
from haleward.web.people.models import Person
from haleward.web.prescription.models import ProgrammeVersion
from haleward.web.prescription.signing import programme_of
from haleward.web.team import protocol as in_force

AHEAD_DAYS = 28  # a phone that stays without a network knows its days for four weeks


def diary_html(holder: Holder, *, token: str, today: date) -> str:
    """The log page of whoever holds the link. Raises when there is no signed plan."""
    person = holder.person
    row = signed_programme(person)
    programme, wording, values = programme_of(row), wording_now(person.service), words_for(person).values
    keys = [*(part.key for part in programme.parts), WALK]
    sheets = {key: sheet_of(row, key, whole=True) for key in keys}
    record = sheets[WALK][1]
    progression = in_force.protocol_of(person.service).policies.progression
    back = progression.back_date_days_most or 0
    data = diary_data(
        programme,
        {key: shown_sheet(sheet) for key, (sheet, _) in sheets.items()},
        record=record,
        facts=facts_of(record, today=today),
        wording=wording,
        values=values,
        asks_heart_rate=asks_heart_rate(person, today=today),
    ) | {
        "person_id": str(person.pk),
        "origin": holder.origin,
        "post_url": reverse("me_log", args=[token]),
        "home_url": reverse("me", args=[token]),
        "token": token,
        "tell_url": reverse("me_tell", args=[token]),
        "today": today.isoformat(),
        "sore_days": progression.sore_days,
        "days": days_of(row, keys, first=today - timedelta(days=back), last=today + timedelta(days=AHEAD_DAYS)),
    }
    return diary_page(data, wording=wording, values=values, service=in_force.numbers_of(person.service).name)


def asks_heart_rate(person: Person, *, today: date) -> bool:
    """Whether heart rate can guide this person today and they can count it; otherwise nobody asks them for one."""
    row = finished_of(person)
    if row is None:
        return False
    record, protocol = record_of(row), in_force.protocol_of(person.service)
    if record.answers.get("can_self_monitor") is not True:
        return False
    intensity = set_intensity(record, facts_of(record, today=today), protocol=protocol, today=today)
    return shown_range(intensity) is not None


def days_of(row: ProgrammeVersion, keys: list[str], *, first: date, last: date) -> list[dict[str, Any]]:
    """Each day with the sessions it has and, as ``others``, those it could have had."""
    person, told = row.person, told_by_place(row.person)
    mondays = range((monday_of(last) - monday_of(first)).days // DAYS_A_WEEK + 1)
    weeks = weeks_for(row, [monday_of(first) + timedelta(weeks=number) for number in mondays])
    planned = {day.on: day.sessions for week in weeks for day in week.days}
    begun, places = begun_on(person), {key: open_places(row, key) for key in keys}
    days = []
    for on in days_between(first, last):
        here = planned[on] if on >= begun else ()
        sessions: list[dict[str, Any]] = [
            {"part_key": one.part_key, "exercises": _open(one.exercises, one.part_key, places), "minutes": one.minutes}
            for one in here
        ]
        others = [key for key in keys if key not in {one.part_key for one in here}]
        rest: list[dict[str, Any]] = [{"part_key": key, "exercises": list(places[key])} for key in others]
        for session in (*sessions, *rest):
            session |= _standing(person, on, str(session["part_key"]), told)
        days.append({"on": on.isoformat(), "sessions": sessions, "others": rest})
    return days


def _open(planned: tuple[int, ...], part_key: str, places: Mapping[str, tuple[int, ...]]) -> list[int]:
    """The places of a session that no restriction has shut."""
    return [place for place in planned if place in places[part_key]]


def _standing(person: Person, on: date, part_key: str, told: dict[tuple[date, str], Told]) -> dict[str, Any]:
    known = told.get((on, part_key))
    if known is None:
        return {"session_id": str(session_id_of(person, on, part_key)), "state": None}
    state = {"outcome": known.outcome, "origin": known.origin, "late": known.late}
    return {"session_id": known.session_id, "state": state}
