"""What a person is told when they report something, kept with the concern so that whoever calls knows it."""

from __future__ import annotations

from datetime import datetime

from django.utils import timezone

from haleward.safety.hours import Opening, next_opening, parse_openings, someone_reads
from haleward.web.delivery.landing import words_for
from haleward.web.people.models import Person
from haleward.web.team import protocol as in_force

NO_ONE_READS, SOMEONE_READS = "no one is reading this now", "message sent, in hours"
HOLDING = ("emergency", "same_day")
Line = tuple[str, str]  # the level and the sentence


def openings_of(person: Person) -> tuple[Opening, ...]:
    """The opening times of the person's team; none when the team has not said."""
    return parse_openings(in_force.numbers_of(person.service).values.get("open_times", ""))


def hours_lines(person: Person, *, now: datetime) -> tuple[Line, ...]:
    """Who reads a message at this time and what to do instead; without opening times, that no one does."""
    values, local = words_for(person).values, timezone.localtime(now)
    openings = parse_openings(values.get("open_times", ""))
    topic = SOMEONE_READS if someone_reads(openings, local) else NO_ONE_READS
    again = next_opening(openings, local)
    lines = in_force.wording().safety(topic, values=values | ({"next_open": again} if again else {}))
    return tuple((line.level, line.text) for line in lines if line.level.replace(" ", "_") in HOLDING)


def advice_lines(person: Person, topic: str) -> tuple[Line, ...]:
    """What to do about a topic of the safety wording, most urgent first; nothing for a topic that it lacks."""
    wording = in_force.wording()
    if topic not in wording.topics:
        return ()
    return tuple((line.level, line.text) for line in wording.safety(topic, values=words_for(person).values))


def told_at(person: Person, topic: str, *, at: datetime) -> str:
    """All that the page or the member of staff said, a line each."""
    lines = (*advice_lines(person, topic), *hours_lines(person, now=at))
    return "\n".join(text for _, text in lines)
