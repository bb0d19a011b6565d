"""Whose body a movement is shown on: a stated figure, or a person of the team."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from haleward.dose.model import Load
from haleward.dose.options import Option
from haleward.movement.body import REFERENCE_MASS_KG, REFERENCE_STATURE_M, Body
from haleward.movement.loads import KitKind
from haleward.movement.model import Movement
from haleward.movement.segments import Scheme, scheme_for
from haleward.physiology.tables import texts
from haleward.record import Band, Kit, Posture, Record, Sex
from haleward.web.people.models import Person
from haleward.web.prescription.ground import Ground, ground_of
from haleward.web.prescription.shown import look_of as look_of_person

FIGURE = f"a figure of {REFERENCE_STATURE_M:.2f} m and {REFERENCE_MASS_KG:g} kg"


@dataclass(frozen=True)
class Subject:
    """A body with its kit. ``stated`` is True for the stated figure: its numbers are nobody's own."""

    words: str
    body: Body
    stated: bool
    look: str
    sex: Sex | None = None
    kit: Kit | None = None
    person: Person | None = None
    option: Option | None = None
    refusal: str = ""  # why the movement is not for this person at all; "" also when nobody was asked for
    drawn_m: float | None = None
    drawn_kg: float | None = None
    record: Record | None = None

    @property
    def scheme(self) -> Scheme:
        """The scheme of segment masses: by sex where that is known."""
        return scheme_for(self.sex)

    @property
    def bands(self) -> tuple[Band, ...]:
        """The measured bands this subject has."""
        return self.kit.bands or () if self.kit else ()

    def loads(self, posture: Posture, kit: KitKind) -> tuple[Load, ...]:
        """What the rules leave of this person's own kit for the movement in one posture, lightest first."""
        choices = self.option.choices if self.option else ()
        return tuple(one.load for one in choices if (one.posture, one.load.kit) == (posture, kit))

    def against(self, posture: Posture, kit: KitKind) -> str:
        """Why the person is not to do the movement in this posture with this kit, in one sentence; "" if they may."""
        if self.refusal or self.option is None or self.loads(posture, kit):
            return self.refusal
        words = texts("library_words")
        usable = dict.fromkeys((one.posture, one.load.kit) for one in self.option.choices)
        named = "; ".join(f"{words[f'posture_{p}']}, {words[f'kit_{k}']}".lower() for p, k in usable)
        return f"Not in this posture with this kit. What can be used: {named}."


def stated_figure(look: str) -> Subject:
    """The figure the library shows when no person is asked for."""
    return Subject(words=FIGURE, body=Body(), stated=True, look=look)


def person_subject(person: Person, movement: Movement, today: date) -> Subject:
    """The person of the latest finished assessment; the stated figure where stature or mass is not recorded."""
    look, ground = look_of_person(person), ground_of(person, today)
    if ground is None:
        words = f"{FIGURE}: {person.first_name} has no finished assessment yet"
        refusal = "There is no finished assessment, so nothing says what is right."
        return Subject(words=words, body=Body(), stated=True, look=look, person=person, refusal=refusal)
    record = ground.record
    body, words = Body(), ""
    if record.stature_m is not None and record.mass_kg is not None:
        body = Body(stature_m=record.stature_m, mass_kg=record.mass_kg)
        words = f"{person.first_name}, {record.stature_m:.2f} m and {round(record.mass_kg, 1):g} kg"
    return Subject(
        words=words or f"{FIGURE}: the {_lacking(record)} of {person.first_name} is not recorded",
        body=body,
        stated=not words,
        look=look,
        sex=record.sex,
        kit=record.kit,
        person=person,
        option=ground.options.find(movement.id),
        refusal=_refusal(ground, movement),
        drawn_m=record.stature_m,
        drawn_kg=record.mass_kg,
        record=record,
    )


def _lacking(record: Record) -> str:
    sizes = (("stature", record.stature_m), ("body mass", record.mass_kg))
    return " and the ".join(name for name, value in sizes if value is None)


def _refusal(ground: Ground, movement: Movement) -> str:
    if movement.region == "aerobic":
        return "What is right for walking and other steady work is decided in the plan, not here."
    left = ground.options.why_not(movement.id)
    return left.reason if left else ""
