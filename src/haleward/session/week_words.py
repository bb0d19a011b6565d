"""A week by date in words, the same on the person's page, in the booklet and in the calendar."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import reduce

from haleward.dose.log import WALK
from haleward.dose.model import Walking
from haleward.dose.week import WEEK
from haleward.dose.week_plan import Day, Planned, Week

Say = Callable[..., str]  # the text of a key; more arguments fill its placeholders


@dataclass(frozen=True)
class WeekWords:
    """What a dated week says; ``say`` is the wording for this person."""

    walking: Walking
    say: Say

    def day(self, on: date) -> str:
        """The name of the day."""
        return self.say(f"print_{WEEK[on.weekday()]}")

    def name(self, one: Planned) -> str:
        """What is done: a part, its first movements when time is short, or a walk with its minutes."""
        if one.part_key == WALK:
            return self.say(f"week_{self.walking.kind}", minutes=one.minutes)
        if one.short:
            return self.say("week_strength_short", part_name=one.part_key, movement_count=len(one.exercises))
        return self.say("week_strength", part_name=one.part_key)

    def short(self, one: Planned) -> str:
        """What to do when time is short; "" on other days."""
        if not one.short:
            return ""
        if one.part_key == WALK:
            return self.say("week_short_walk", minutes=one.minutes)
        return self.say("week_short_movements", movement_count=len(one.exercises))

    def moved(self, one: Planned) -> str:
        """From where a session was moved; "" for one on its own day."""
        return self.say("week_moved", day_name=self.day(one.planned_on)) if one.moved else ""

    def special(self, day: Day) -> str:
        """What makes the day special; "" for a day like others."""
        return "" if day.special is None else self.say(f"week_{day.special.kind}", minutes=day.special.minutes or "")

    def off(self, week: Week, part_name: Callable[[str], str]) -> str:
        """What is left out this week, without blame; "" when nothing is."""
        names = [part_name(one.part_key).lower() for one in week.off]
        told = [self.say("week_off_times", what=name, count=names.count(name)) if names.count(name) > 1 else name
                for name in dict.fromkeys(names)]  # fmt: skip
        return self.say("week_off", what=self._listed(told)) if told else ""

    def _listed(self, told: list[str]) -> str:
        """One after the other in a sentence, as the wording joins them."""
        if len(told) < 2:
            return "".join(told)
        first = reduce(lambda before, after: self.say("list_comma", first=before, last=after), told[:-1])
        return self.say("list_and", first=first, last=told[-1])


def differs(week: Week) -> bool:
    """Whether the week is another one than the plan has it."""
    return (
        bool(week.off)
        or any(day.special is not None for day in week.days)
        or any(one.moved or one.short for one in week.sessions)
    )
