"""Log entries as a session page writes them, for the tests of the log and of the concerns that follow from it."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from uuid import UUID, uuid4, uuid5

from django.test import Client
from django.urls import reverse
from django.utils import timezone

from haleward.web.delivery.logs import session_id_of
from haleward.web.people.models import Person

SESSION = UUID("11111111-1111-4111-8111-111111111111")
START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def entry(number: int, kind: str, *, session: UUID = SESSION, **data: Any) -> dict[str, Any]:
    """One entry; its number gives it its id and the minute at which it happened."""
    common = {"session_id": str(session), "sheet_id": "s", "plan_version": 1, "part_key": "one"}
    if kind in ("set", "effort", "feel", "skip", "rest_more", "pause"):
        common |= {"exercise_index": 0, "movement_id": "sit_to_stand", "set_number": 1}
    return {
        "entry_id": str(uuid5(session, str(number))),
        "kind": kind,
        "at": (START + timedelta(minutes=number)).isoformat(),
        "data": common | data,
    }


def whole_session(session: UUID = SESSION) -> list[dict[str, Any]]:
    """A session from its check to its end."""
    return [
        entry(0, "check", session=session, outcome="go_ahead", facts={}, rule_ids=[]),
        entry(1, "set", session=session, repetitions=10),
        entry(2, "effort", session=session, effort=4),
        entry(3, "feel", session=session, feel="too_hard"),
        entry(4, "set", session=session, repetitions=8),
        entry(5, "pause", session=session, paused=True),
        entry(6, "done", session=session, whole_effort=3.5, worried=False, stopped=False),
    ]


def send(token: str, entries: object) -> Any:
    """Post entries through a link, as the page does; returns the response."""
    body = {"format": "haleward-log/1", "entries": entries}
    return Client().post(reverse("me_log", args=[token]), data=body, content_type="application/json")


def report(person: Person, on: date, part_key: str, outcome: str = "as_planned", **more: Any) -> dict[str, Any]:
    """A session told on its day, as the page writes it."""
    now = datetime.combine(on, time(12), timezone.get_default_timezone())
    data = {
        "session_id": str(session_id_of(person, on, part_key)), "sheet_id": "diary", "plan_version": 1,
        "part_key": part_key, "on": on.isoformat(), "outcome": outcome, "entered_at": now.isoformat(), "sets": [],
    }  # fmt: skip
    return {"entry_id": str(uuid4()), "kind": "report", "at": now.isoformat(), "data": data | more}
