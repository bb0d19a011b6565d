"""The words for one person: every sentence comes from the wording tables, filled with the service's own numbers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from haleward.dose.model import Walking
from haleward.dose.week import WEEK
from haleward.languages import TranslatedWording
from haleward.web.languages.shown import wording_now
from haleward.web.people.models import Person
from haleward.web.team import protocol as in_force
from haleward.wording import Wording


@dataclass(frozen=True)
class Words:
    """The wording for one person: texts by key, with the service's numbers and the person's name filled in."""

    values: dict[str, str]
    wording: Wording

    def __call__(self, key: str, **more: object) -> str:
        """The text of ``key``; ``more`` fills further placeholders."""
        filled = self.values | {name: str(value) for name, value in more.items()}
        return self.wording.text(key, filled)

    def phrase(self, english: str) -> str:
        """A date, a weekday or a list of them in the language of the page."""
        return self.wording.value("", english) if isinstance(self.wording, TranslatedWording) else english


def words_for(person: Person) -> Words:
    """Protocol settings, the service's own numbers and the person's first name."""
    limits = in_force.protocol_of(person.service).wording_values
    numbers = in_force.numbers_of(person.service).values
    return Words({**limits, **numbers, "first_name": person.first_name}, wording_now(person.service))


def walk_words(walking: Walking, say: Words) -> dict[str, str]:
    """The line and the button of today's walk or march."""
    values = {"minutes": walking.bout_minutes, "bout_count": walking.bouts, "rest_minutes": walking.rest_minutes}
    times = "once" if walking.bouts == 1 else "bouts"
    start = "landing_walk_start" if walking.kind == "walk" else "landing_march_start"
    return {"line": say(f"landing_{walking.kind}_{times}", **values), "button": say(start)}


def day_name(day: date) -> str:
    """ "Monday"."""
    return WEEK[day.weekday()].capitalize()
