"""Concerns that follow from a session: what was reported, what its check said, what was written to the team."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.utils import timezone

from haleward.safety.concerns import triage
from haleward.safety.protocol import Protocol
from haleward.session.entries import UNNAMED_SYMPTOM
from haleward.web.concerns.models import Concern
from haleward.web.delivery.logs import session_log
from haleward.web.delivery.models import LogEntry
from haleward.web.people.models import Person
from haleward.web.team.protocol import protocol_of

LEVELS = ("self_care", "next_working_day", "same_day", "emergency")
CHECK_TOPIC, NOTE_TOPIC = "check before the session", "note to the team"
BY_MISTAKE = "The person then said it was pressed by mistake."


@dataclass(frozen=True)
class Found:
    """One concern as a session gives rise to it."""

    topic: str
    urgency: str
    text: str
    rule_ids: tuple[str, ...]
    holds_plan: bool


def concerns_of_session(person: Person, session_id: UUID, *, now: datetime) -> None:
    """Bring the concerns of one session up to date with its entries. None is ever removed."""
    rows = list(person.log_entries.filter(session_id=session_id))
    protocol = protocol_of(person.service)
    found = {one.topic: one for one in _found(person, session_id, rows, protocol)}
    stored = {row.topic: row for row in Concern.objects.filter(person=person, session_id=session_id)}
    unnamed = stored.get(UNNAMED_SYMPTOM)
    if unnamed and not unnamed.closed_at and UNNAMED_SYMPTOM not in found:
        _settle(unnamed, [one for topic, one in found.items() if one.holds_plan and topic not in stored])
        stored[unnamed.topic] = unnamed
    for topic, one in found.items():
        if topic not in stored:
            _raise(one, person, session_id, now)


def _found(person: Person, session_id: UUID, rows: list[LogEntry], protocol: Protocol) -> list[Found]:
    reported = [_symptom(topic, rows, protocol) for topic in session_log(person, session_id).symptoms]
    checks = [row for row in rows if row.kind == "check"]
    if checks and checks[-1].data["outcome"] != "go_ahead":
        reported.append(_check(checks[-1], protocol))
    notes = [row.data["text"] for row in rows if row.kind == "note"]
    if notes:
        reported.append(Found(NOTE_TOPIC, protocol.concerns.unknown_level, " / ".join(notes), (), holds_plan=False))
    return reported


def _symptom(topic: str, rows: list[LogEntry], protocol: Protocol) -> Found:
    concern = triage([topic], protocol)
    assert concern is not None  # one topic was reported
    at = timezone.localtime(rows[-1].happened_at)
    what = "felt unwell and chose nothing from the list" if topic == UNNAMED_SYMPTOM else f"reported: {topic}"
    return Found(topic, concern.level, f"In the session at {at:%H:%M}, {what}.", concern.rule_ids, holds_plan=True)


def _check(row: LogEntry, protocol: Protocol) -> Found:
    """How soon follows from the rules that fired; a check that stopped a session is never only for information."""
    ids = tuple(row.data.get("rule_ids", ()))
    known = {rule.id: rule for rule in protocol.rules}
    soon = [known[rule_id].urgency if rule_id in known else "same_day" for rule_id in ids]
    level = max([*(one for one in soon if one in LEVELS), "next_working_day"], key=LEVELS.index)
    outcome = "not today" if row.data["outcome"] == "not_today" else "check first"
    reasons = "; ".join(known[rule_id].text for rule_id in ids if rule_id in known) or "an answer is missing or unsure"
    return Found(CHECK_TOPIC, level, f"The check said {outcome}: {reasons}.", ids, holds_plan=level in LEVELS[2:])


def _settle(unnamed: Concern, named: list[Found]) -> None:
    """What was first only "unwell" got a name, or was withdrawn; withdrawn stays to be read, and holds nothing."""
    if named:
        first = named[0]
        unnamed.topic, unnamed.text, unnamed.rule_ids = first.topic, first.text, list(first.rule_ids)
        unnamed.urgency = max(unnamed.urgency, first.urgency, key=LEVELS.index)
    else:
        unnamed.text, unnamed.urgency, unnamed.holds_plan = f"{unnamed.text} {BY_MISTAKE}", "self_care", False
    unnamed.save()


def _raise(one: Found, person: Person, session_id: UUID, now: datetime) -> Concern:
    return Concern.objects.create(
        person=person,
        urgency=one.urgency,
        topic=one.topic,
        text=one.text,
        rule_ids=list(one.rule_ids),
        raised_at=now,
        session_id=session_id,
        holds_plan=one.holds_plan,
    )
