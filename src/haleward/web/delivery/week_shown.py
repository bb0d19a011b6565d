"""A week and a day as the person reads them: what is planned, what was moved or cut short, what is done."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from haleward.dose.log import WALK
from haleward.dose.model import Programme
from haleward.dose.week_plan import Day, Planned, Week, monday_of
from haleward.render.diary_page import part_name
from haleward.session.week_words import WeekWords
from haleward.web.delivery.landing_words import Words, day_name, walk_words
from haleward.web.delivery.weeks import Told

ToldBy = Mapping[tuple[date, str], Told]


@dataclass(frozen=True)
class Shown:
    """What the lines are made from."""

    programme: Programme
    say: Words
    told: ToldBy
    begun: date  # the day of the first signed plan: before it nothing was planned

    def card(self, day: Day, week: Week, following: Week) -> dict[str, Any]:
        """One day as the first page shows it: each session with its line, its buttons and its state."""
        sessions = [self._session(one) for one in day.sessions]
        return {
            "on": day.on.isoformat(),
            "sessions": sessions,
            "special": self.special_line(day),
            "next_line": "" if any(one["strength"] for one in sessions) else self._next(day.on, week, following),
        }

    def rows(self, week: Week, today: date) -> list[dict[str, Any]]:
        """The seven days, each with its sessions in words."""
        return [
            {
                "on": day.on.isoformat(),
                "name": self.say.phrase(day_name(day.on)),
                "today": day.on == today,
                "special": self.special_line(day),
                "sessions": [
                    {"name": self._words.name(one), "moved": self._words.moved(one), "done": self._done(one)}
                    for one in day.sessions
                    if one.on >= self.begun
                ],
                "before": day.on < self.begun,
            }
            for day in week.days
        ]

    def off_line(self, week: Week) -> str:
        """What is left out this week, without blame; "" when nothing is."""
        return self._words.off(week, lambda key: part_name(key, self.programme.walking, self.say.wording))

    def special_line(self, day: Day) -> str:
        """What makes the day special; "" for a day like others."""
        return self._words.special(day)

    @property
    def _words(self) -> WeekWords:
        return WeekWords(self.programme.walking, self.say)

    def _session(self, one: Planned) -> dict[str, Any]:
        walks = one.part_key == WALK
        known = self.told.get((one.on, one.part_key))
        return {
            "part_key": one.part_key,
            "strength": not walks,
            "name": part_name(one.part_key, self.programme.walking, self.say.wording),
            "line": walk_words(self.programme.walking, self.say)["line"] if walks else self._part_line(one),
            "start": walk_words(self.programme.walking, self.say)["button"] if walks else self.say("landing_start"),
            "short": self._words.short(one),
            "is_short": one.day_minutes is not None,
            "moved": self._words.moved(one),
            "state": self._state(known) if known else "",
            "late": known is not None and known.late,
        }

    def _state(self, known: Told) -> str:
        return self.say("kind_part") if known.outcome == "part" else self.say(f"diary_state_{known.outcome}")

    def _part_line(self, one: Planned) -> str:
        return self.say("landing_part", part_name=one.part_key, exercise_count=len(one.exercises))

    def _done(self, one: Planned) -> bool:
        known = self.told.get((one.on, one.part_key))
        return known is not None and known.done

    def _next(self, after: date, week: Week, following: Week) -> str:
        strength = (one for one in (*week.sessions, *following.sessions) if one.part_key != WALK and one.on > after)
        found = next(strength, None)
        if found is None:
            return ""
        return self.say("landing_next", day_name=day_name(found.on), part_name=found.part_key)


def kind_line(week: Week, shown: Shown, today: date) -> str:
    """One fixed kind sentence about the week so far; never about what is missing."""
    due = [one for one in week.sessions if shown.begun <= one.on <= today]
    done = [one for one in due if (known := shown.told.get((one.on, one.part_key))) and known.done]
    extra = any(known.done for (on, _), known in shown.told.items() if monday_of(on) == week.days[0].on)
    if due and len(done) == len(due):
        return shown.say("kind_done_all")
    if done or extra:
        return shown.say("kind_done_some")
    return shown.say("kind_week_new")


def week_days(today: date, count: int) -> list[date]:
    """Mondays of the present week and of those after it."""
    return [monday_of(today) + timedelta(weeks=number) for number in range(count)]
