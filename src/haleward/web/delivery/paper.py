"""A week of a paper log, typed in by staff or a helper: one line a session, blank where nothing was written."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any, Protocol
from uuid import UUID, uuid5

from django import forms
from django.utils import timezone

from haleward.dose.log import WALK
from haleward.dose.model import Programme
from haleward.dose.week_plan import Week, monday_of
from haleward.render.diary_page import part_name
from haleward.session.entry_faults import SORE_PLACES, heart_rate_limits
from haleward.session.told import NOON, planned_sets, report_entry, walked_sets
from haleward.web.assessment.titles import movement_title
from haleward.web.delivery.diary import asks_heart_rate
from haleward.web.delivery.landing_words import Words, day_name
from haleward.web.delivery.logs import session_id_of
from haleward.web.delivery.reading import ORIGINS
from haleward.web.delivery.weeks import Told, told_by_place, week_for
from haleward.web.once import OnceField
from haleward.web.people.models import Person
from haleward.web.prescription.models import ProgrammeVersion
from haleward.web.prescription.signing import programme_of
from haleward.web.team import protocol as in_force

DONE = (("", "–"), ("as_planned", "All"), ("part", "Part"), ("not_done", "Not done"))
MOST_MINUTES, MOST_SORE_DAYS, MOST_EFFORT = 300, 60, 20


@dataclass(frozen=True)
class Line:
    """One line of the grid: a session on a day, planned there or not."""

    on: date
    part_key: str
    day: str
    name: str
    planned: bool
    known: Told | None
    movements: tuple[tuple[int, str, int], ...] = ()  # those with repetitions: place, title, how many
    asks_rate: bool = False  # heart rate can guide this person, and they can count it

    @property
    def key(self) -> str:
        """The start of the names of its controls."""
        return f"{self.on.isoformat()}-{self.part_key}"

    @property
    def told(self) -> str:
        """What is known of it already, with who told it."""
        if self.known is None:
            return ""
        said = {"as_planned": "all", "part": "part", "not_done": "not done", "played": "played"}[self.known.outcome]
        return f"{said}, {ORIGINS[self.known.origin]}"


def lines_of(row: ProgrammeVersion, week: Week, say: Words, *, today: date) -> list[Line]:
    """Every planned session of the week up to today, and a walk on every other day."""
    programme, known = programme_of(row), told_by_place(row.person)
    found: list[Line] = []
    for day in week.days:
        if day.on > today:
            break
        planned = [one.part_key for one in day.sessions]
        told = [key for on, key in known if on == day.on and key not in planned and key != WALK]
        for key in dict.fromkeys((*planned, *told, WALK)):
            name = part_name(key, programme.walking, say.wording)
            counted = _counted(programme_of(version_on(row.person, day.on)), key)
            named = say.phrase(day_name(day.on))
            found.append(Line(day.on, key, named, name, key in planned, known.get((day.on, key)), counted))
    return found


def _counted(programme: Programme, part_key: str) -> tuple[tuple[int, str, int], ...]:
    """The movements of a part that are counted: a hold has no repetition at which it gets hard."""
    exercises = next((part.exercises for part in programme.parts if part.key == part_key), ())
    return tuple(
        (place, movement_title(one.movement_id, one.posture), one.dose.repetitions)
        for place, one in enumerate(exercises)
        if not one.dose.hold_s
    )


class PaperForm(forms.Form):
    """The grid. What is left blank says nothing."""

    id = OnceField()

    def __init__(self, *args: Any, lines: list[Line], person: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lines = lines
        self.asks_rate = asks_heart_rate(person, today=timezone.localdate())
        symptoms = [("", "–"), *symptoms_of(person)]
        places = [("", "–"), *((place, place.replace("_", " ")) for place in SORE_PLACES)]
        for line in lines:
            where = f"{line.day}, {line.name}"
            self._add(line, "done", forms.ChoiceField(choices=DONE, required=False), f"Done: {where}")
            if line.part_key == WALK:
                self._add(line, "minutes", _number(MOST_MINUTES), f"Minutes: {where}")
            self._add(line, "effort", _number(MOST_EFFORT), f"Effort: {where}")
            if line.part_key == WALK and self.asks_rate:
                lowest, highest = heart_rate_limits()
                self._add(line, "rate", _number(highest, lowest), f"Heart rate: {where}")
            for place, title, repetitions in line.movements:
                self._add(line, f"hard-{place}", _number(repetitions, 1), f"{title}, hard at number: {where}")
            self._add(line, "symptom", forms.ChoiceField(choices=symptoms, required=False), f"Unwell: {where}")
            self._add(line, "sore_days", _number(MOST_SORE_DAYS), f"Sore, days: {where}")
            self._add(line, "sore_place", forms.ChoiceField(choices=places, required=False), f"Sore, where: {where}")

    def _add(self, line: Line, name: str, field: forms.Field, label: str) -> None:
        field.widget.attrs["aria-label"] = label
        field.label = label
        self.fields[f"{line.key}-{name}"] = field

    @property
    def rows(self) -> list[dict[str, Any]]:
        """The lines with their controls, in the order of the paper."""
        rate = ("rate",) if self.asks_rate else ()
        names = ("done", "minutes", "effort", *rate, "symptom", "sore_days", "sore_place")
        return [
            {
                "line": line,
                "hard": [(title, self[f"{line.key}-hard-{place}"]) for place, title, _ in line.movements],
                "hard_open": any(self.errors.get(f"{line.key}-hard-{place}") for place, _, _ in line.movements)
                if self.is_bound
                else False,
                "cells": [self[key] if (key := f"{line.key}-{name}") in self.fields else None for name in names],
            }
            for line in self.lines
        ]

    def given(self, line: Line, name: str) -> Any:
        """What was typed; ``None`` for a blank."""
        value = self.cleaned_data.get(f"{line.key}-{name}")
        return None if value == "" else value

    def clean(self) -> dict[str, Any]:
        """Minutes, an effort or a soreness belong to a session: say what was done of it."""
        data = super().clean() or {}
        for line in self.lines:
            minutes = data.get(f"{line.key}-minutes")
            if minutes is not None and not data.get(f"{line.key}-done"):
                data[f"{line.key}-done"] = "part"  # a walk with its minutes needs no second word
            for name, beside in (("effort", "the effort"), ("rate", "the heart rate"), *self._hard_of(line)):
                if data.get(f"{line.key}-{name}") is not None and not data.get(f"{line.key}-done"):
                    self.add_error(f"{line.key}-done", f"{line.day}, {line.name}: choose All or Part beside {beside}.")
                    break
            if data.get(f"{line.key}-sore_place") and data.get(f"{line.key}-sore_days") is None:
                self.add_error(
                    f"{line.key}-sore_days", f"{line.day}, {line.name}: write for how many days it was sore."
                )
        return data

    @staticmethod
    def _hard_of(line: Line) -> list[tuple[str, str]]:
        return [(f"hard-{place}", f"“hard at” of {title}") for place, title, _ in line.movements]


def _number(most: int, least: int = 0) -> forms.Field:
    return forms.IntegerField(
        required=False, min_value=least, max_value=most, widget=forms.NumberInput(attrs={"class": "few"})
    )


class Filled(Protocol):
    """A form that was filled in: a week on paper, or one session."""

    lines: list[Line]
    cleaned_data: dict[str, Any]

    def given(self, line: Line, name: str) -> Any:
        """What was told of a line; ``None`` for a blank."""


def symptoms_of(person: Person) -> list[tuple[str, str]]:
    """The symptoms of the protocol that can be chosen."""
    return [(one.key, one.label) for one in in_force.protocol_of(person.service).concerns.symptoms]


def entries_of(form: Filled, person: Person, *, now: datetime) -> list[dict[str, Any]]:
    """The entries of the log for what was typed."""
    return [entry for line in form.lines for entry in _entries(line, form, person, now)]


def _entries(line: Line, form: Filled, person: Person, now: datetime) -> Iterator[dict[str, Any]]:
    version = version_on(person, line.on)
    told_id = UUID(line.known.session_id) if line.known else session_id_of(person, line.on, line.part_key)
    make = uuid5(form.cleaned_data["id"], line.key)
    late = line.on != timezone.localdate(now)
    moment = timezone.localtime(now)
    at = datetime.combine(line.on, NOON, moment.tzinfo) if late else moment
    about = {
        "session_id": str(told_id), "sheet_id": "paper", "plan_version": version.version,
        "part_key": line.part_key, "back_dated": late,
    }  # fmt: skip
    done = form.given(line, "done")
    if done:
        yield report_entry(
            entry_id=uuid5(make, "report"), session_id=told_id, plan_version=version.version, part_key=line.part_key,
            on=line.on, outcome=done, now=moment, whole_effort=form.given(line, "effort"),
            sets=_with_hard(_sets(line, done, form.given(line, "minutes"), programme_of(version)), line, form, version),
            heart_rate_bpm=form.given(line, "rate"),
        )  # fmt: skip
    symptom = form.given(line, "symptom")
    if symptom:
        topic = _topic(person, symptom)
        yield {"entry_id": str(uuid5(make, "unwell")), "kind": "unwell", "at": at.isoformat(),
               "data": about | {"topic": topic}}  # fmt: skip
    days = form.given(line, "sore_days")
    if days is not None:
        place = form.given(line, "sore_place")
        data = about | {"sore_days": days, "places": [place] if place else []}
        yield {"entry_id": str(uuid5(make, "sore")), "kind": "sore", "at": at.isoformat(), "data": data}


def _sets(line: Line, done: str, minutes: int | None, programme: Programme) -> list[dict[str, Any]]:
    if line.part_key == WALK and minutes is not None:
        return walked_sets(programme.walking, minutes)
    return planned_sets(programme, line.part_key) if done == "as_planned" else []


def _with_hard(sets: list[dict[str, Any]], line: Line, form: Filled, version: ProgrammeVersion) -> list[dict[str, Any]]:
    """The sets with the repetition at which a movement got hard, in the last set of it."""
    exercises = next((part.exercises for part in programme_of(version).parts if part.key == line.part_key), ())
    found = {(one["exercise_index"], one["set_number"]): one for one in sets}
    for place, _, _ in line.movements:
        hard_at = form.given(line, f"hard-{place}")
        if hard_at is not None:
            one = exercises[place]
            last = found.get((place, one.dose.sets), {
                "exercise_index": place, "movement_id": one.movement_id, "set_number": one.dose.sets,
            })  # fmt: skip
            found[place, one.dose.sets] = last | {"hard_at": hard_at}
    return [found[key] for key in sorted(found)]


def _topic(person: Person, symptom: str) -> str:
    found = next(one for one in in_force.protocol_of(person.service).concerns.symptoms if one.key == symptom)
    return found.topic


def version_on(person: Person, day: date) -> ProgrammeVersion:
    """The signed version that was in force on a day; for days before the first, the first."""
    signed = person.programmes.filter(signed_at__isnull=False).order_by("signed_at")
    end = datetime.combine(day, time.max, timezone.get_default_timezone())
    return signed.filter(signed_at__lte=end).last() or signed[0]


def week_lines(row: ProgrammeVersion, day: date, say: Words, *, today: date) -> list[Line]:
    """The lines of the week in which ``day`` lies."""
    return lines_of(row, week_for(row, monday_of(day)), say, today=today)
