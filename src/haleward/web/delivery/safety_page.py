"""The safety page of a person: the topics that concern them, each with its emergency line first."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from haleward.record import Record
from haleward.render.page_safety import symptoms, topics
from haleward.safety.facts import facts_of
from haleward.web.assessment.mapping import record_of
from haleward.web.assessment.models import finished_of
from haleward.web.delivery.landing import words_for
from haleward.web.languages.shown import wording_now
from haleward.web.people.models import Person
from haleward.web.team import protocol as in_force

FIRST = "stop if"


def safety_of(person: Person) -> dict[str, Any]:
    """Template context: when to stop, then what to do for each symptom this person may have."""
    say, wording = words_for(person), wording_now(person.service)
    row = finished_of(person)
    record = record_of(row) if row else Record(str(person.pk), person.first_name, timezone.localdate())
    facts = facts_of(record, today=timezone.localdate())
    lines = topics(wording, say.values)
    listed = [{"label": say("stop_heading"), "topic": FIRST}, *symptoms(record, facts, wording)]
    shown = {one["topic"]: one["label"] for one in reversed(listed)}
    return {
        "emergency": say("banner_lead"),
        "heading": say("safety_page_heading"),
        "back": say("back_button"),
        "caution": say("caution_line"),
        "service": in_force.numbers_of(person.service).name,
        "topics": [
            {"label": label, "lines": [{"level": level, "text": text} for level, text in lines[topic]]}
            for topic, label in reversed(shown.items())
        ],
    }
