"""Concerns that follow from a session: what was reported, what its check said, what was written to the team."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from django.utils import timezone

from haleward.physiology.tables import rows as rows_of
from haleward.safety.concerns import triage
from haleward.safety.protocol import Protocol
from haleward.session.entries import UNNAMED_SYMPTOM
from haleward.web.concerns.found import CHECK_TOPIC, Found
from haleward.web.concerns.models import Concern
from haleward.web.concerns.told import told_at
from haleward.web.delivery.logs import session_log
from haleward.web.delivery.models import LogEntry
from haleward.web.people.models import Person
from haleward.web.team.protocol import protocol_of

LEVELS = ("self_care", "next_working_day", "same_day", "emergency")
NOTE_TOPIC = "note to the team"
BY_MISTAKE = "The person then said it was pressed by mistake."
AGAIN = ", again"
SORE_TOPIC = "soreness beyond 3 days"  # the topic of safety.csv; how many days it is stands in the protocol


def concerns_of_session(person: Person, session_id: UUID, *, now: datetime) -> None:
    """Bring the concerns of one session up to date with its entries. None is ever removed.

    What they say follows from all entries of the session, in whatever order and portions these arrive.
    """
    rows = list(person.log_entries.filter(session_id=session_id).order_by("happened_at", "entry_id"))
    protocol = protocol_of(person.service)
    log = session_log(person, session_id)
    symptoms = _symptoms(rows, log.symptoms, protocol)
    stored = {row.topic: row for row in Concern.objects.filter(person=person, session_id=session_id)}
    _name_the_unnamed(stored, [one.topic for one in symptoms])
    named = {one.topic for one in symptoms}
    cautions = [one for one in _cautions(rows, protocol) if one.topic not in named]
    for one in [*symptoms, *_checks(rows, protocol), *cautions, *_sore(rows, protocol), *_notes(rows, protocol)]:
        row = _row_for(one, stored) or Concern(person=person, session_id=session_id, topic=one.topic, raised_at=now)
        if row.pk is None:
            row.told = told_at(person, one.topic, at=row.raised_at)
        if not row.closed_at:
            row.urgency, row.text, row.holds_plan = one.urgency, one.text, one.holds_plan
            row.rule_ids = list(one.rule_ids)
            row.save()


def _name_the_unnamed(stored: dict[str, Concern], topics: list[str]) -> None:
    """What was first only "unwell" got a name: the same concern, not a second one."""
    unnamed, name = stored.get(UNNAMED_SYMPTOM), next((topic for topic in topics if topic not in stored), "")
    if unnamed and not unnamed.closed_at and name and UNNAMED_SYMPTOM not in topics:
        unnamed.topic = name
        stored[name] = stored.pop(UNNAMED_SYMPTOM)


def _row_for(one: Found, stored: dict[str, Concern]) -> Concern | None:
    """The row that holds this concern. What reached us after it was closed is a concern again, in a row of its own."""
    topic = one.topic
    while (row := stored.get(topic)) and row.closed_at and row.closed_at < one.stored_at:
        topic += AGAIN
        if topic not in stored:
            return Concern(person=row.person, session_id=row.session_id, topic=topic, raised_at=one.stored_at)
    return row


def _symptoms(rows: list[LogEntry], topics: tuple[str, ...], protocol: Protocol) -> list[Found]:
    """What was reported. A press taken back stays to be read, and holds nothing."""
    unwell = [row for row in rows if row.kind == "unwell"]
    presses = [row for row in unwell if not row.data["topic"] and not row.data.get("withdrawn")]
    if topics or not unwell:
        return [_symptom(topic, presses, rows, protocol) for topic in topics]
    pressed = presses or unwell
    text = f"{_at(pressed[-1])}, felt unwell and chose nothing from the list. {BY_MISTAKE}"
    return [Found(UNNAMED_SYMPTOM, "self_care", text, (), holds_plan=False, stored_at=_latest(pressed))]


def _symptom(topic: str, presses: list[LogEntry], rows: list[LogEntry], protocol: Protocol) -> Found:
    """One symptom. Whoever pressed "I feel unwell" has stopped, whatever they chose then: the more urgent counts."""
    if topic != UNNAMED_SYMPTOM:
        what = f"reported: {topic}"
        behind = [row for row in rows if row.kind == "unwell" and row.data["topic"] == topic]
    elif presses:
        what, behind = "felt unwell and chose nothing from the list", presses
    else:
        what = "said at the end that something was worrying"
        behind = [row for row in rows if row.kind == "done" and row.data.get("worried")]
    _, rule_ids = _triaged([topic], protocol)
    level, _ = _triaged([topic, UNNAMED_SYMPTOM] if presses else [topic], protocol)
    text = f"{_at(behind[0])}, {what}."
    return Found(topic, level, text, rule_ids, holds_plan=True, stored_at=_latest([*behind, *presses]))


def _triaged(topics: list[str], protocol: Protocol) -> tuple[str, tuple[str, ...]]:
    concern = triage(topics, protocol)
    assert concern is not None  # something was reported
    return concern.level, concern.rule_ids


def _checks(rows: list[LogEntry], protocol: Protocol) -> list[Found]:
    """The most urgent check that stopped the session; a later "go ahead" does not undo it."""
    stops = [_check(row, protocol) for row in rows if row.kind == "check" and row.data["outcome"] != "go_ahead"]
    return [max(stops, key=lambda one: LEVELS.index(one.urgency))] if stops else []


def _check(row: LogEntry, protocol: Protocol) -> Found:
    """How soon follows from the rules that fired; a check that stopped a session is never only for information."""
    given = row.data.get("rule_ids")
    ids = tuple(one for one in given if isinstance(one, str)) if isinstance(given, list) else ()
    known = {rule.id: rule for rule in protocol.rules}
    soon = [known[rule_id].urgency if rule_id in known else "same_day" for rule_id in ids]
    level = max([*(one for one in soon if one in LEVELS), "next_working_day"], key=LEVELS.index)
    outcome = "not today" if row.data["outcome"] == "not_today" else "check first"
    reasons = "; ".join(known[rule_id].text for rule_id in ids if rule_id in known) or "an answer is missing or unsure"
    reasons = reasons.rstrip(".")
    text = f"The check said {outcome}: {reasons}."
    return Found(CHECK_TOPIC, level, text, ids, holds_plan=level in LEVELS[2:], stored_at=row.stored_at)


def _cautions(rows: list[LogEntry], protocol: Protocol) -> list[Found]:
    """What a check let pass with care and the protocol's list of symptoms wants somebody to hear of."""
    found: dict[str, Found] = {}
    for row in rows:
        if row.kind != "check" or row.data["outcome"] != "go_ahead":
            continue
        given = row.data.get("rule_ids")
        ids = [one for one in given if isinstance(one, str)] if isinstance(given, list) else []
        for symptom in protocol.concerns.symptoms:
            behind = tuple(one for one in ids if one in symptom.ids)
            if behind:
                text = f"{_at(row)}, answered in the check before the session: {symptom.label}."
                found[symptom.topic] = Found(
                    symptom.topic, symptom.level, text, behind, holds_plan=False, stored_at=row.stored_at
                )
    return list(found.values())


def _sore(rows: list[LogEntry], protocol: Protocol) -> list[Found]:
    """Soreness for longer than the protocol has it, in a joint or on one side: somebody looks at it."""
    told = [row for row in rows if row.kind == "sore"]
    if not told:
        return []
    days, places = told[-1].data["sore_days"], told[-1].data.get("places", [])
    symptoms = _sore_symptoms(days, places, usual_days=protocol.policies.progression.sore_days)
    if not symptoms:
        return []
    level, rule_ids = _triaged(symptoms, protocol)
    where = ", ".join(place.replace("_", " ") for place in places) or "place not given"
    text = f"Sore for {days:g} days after the session of {timezone.localtime(rows[0].true_at):%-d %B}: {where}."
    return [Found(SORE_TOPIC, level, text, rule_ids, holds_plan=False, stored_at=_latest(told))]


def _sore_symptoms(days: float, places: Sequence[str], *, usual_days: int) -> list[str]:
    """The symptoms of the protocol that soreness of so many days in these places stands for; [] when it is usual.

    data/tables/soreness_symptoms.csv says which, with its source; how soon each is, the protocol says.
    """
    return [
        row["symptom"]
        for row in rows_of("soreness_symptoms")
        if (row["usual_days"] == "any" or days > usual_days) and {row["place"], row["with_place"]} - {""} <= set(places)
    ]


def _notes(rows: list[LogEntry], protocol: Protocol) -> list[Found]:
    """Everything the person wrote to the team in the session."""
    notes = [row for row in rows if row.kind == "note"]
    text, level = " / ".join(row.data["text"] for row in notes), protocol.concerns.unknown_level
    return [Found(NOTE_TOPIC, level, text, (), holds_plan=False, stored_at=_latest(notes))] if notes else []


def _latest(rows: list[LogEntry]) -> datetime:
    return max(row.stored_at for row in rows)


def _at(row: LogEntry) -> str:
    """When, by the time put right; a clock that was off is said, as the person saw another time."""
    if row.data.get("back_dated"):
        return f"On {timezone.localtime(row.true_at):%-d %B}, told later"
    where = "Outside a session, at" if row.data.get("outside") else "In the session at"
    shown = f"{where} {timezone.localtime(row.true_at):%H:%M}"
    if row.clock_off_s is None:
        return shown
    return f"{shown} (the clock of the device said {timezone.localtime(row.happened_at):%-d %B, %H:%M})"
