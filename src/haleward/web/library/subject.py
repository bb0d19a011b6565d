"""Whose body a movement is shown on: a stated figure, or a person of the team."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from haleward.dose.model import LeftOut
from haleward.movement.body import REFERENCE_MASS_KG, REFERENCE_STATURE_M, Body
from haleward.movement.segments import Scheme, scheme_for
from haleward.record import Band, Kit, Sex
from haleward.web.people.models import Person
from haleward.web.prescription.ground import ground_of
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
    left_out: LeftOut | None = None
    drawn_m: float | None = None
    drawn_kg: float | None = None

    @property
    def scheme(self) -> Scheme:
        """The scheme of segment masses: by sex where that is known."""
        return scheme_for(self.sex)

    @property
    def bands(self) -> tuple[Band, ...]:
        """The measured bands this subject has."""
        return self.kit.bands or () if self.kit else ()

    @property
    def query(self) -> str:
        """The part of an address that keeps the person."""
        return f"&person={self.person.pk}" if self.person else ""


def stated_figure(look: str) -> Subject:
    """The figure the library shows when no person is asked for."""
    return Subject(words=FIGURE, body=Body(), stated=True, look=look)


def person_subject(person: Person, movement_id: str, today: date) -> Subject:
    """The person of the latest finished assessment; the stated figure where stature or mass is not recorded."""
    look, ground = look_of_person(person), ground_of(person, today)
    if ground is None:
        words = f"{FIGURE}: {person.first_name} has no finished assessment yet"
        return Subject(words=words, body=Body(), stated=True, look=look, person=person)
    record = ground.record
    common = {"look": look, "sex": record.sex, "kit": record.kit, "person": person}
    left_out = ground.options.why_not(movement_id)
    if record.stature_m is None or record.mass_kg is None:
        lacking = " and ".join(
            name for name, value in (("stature", record.stature_m), ("body mass", record.mass_kg)) if value is None
        )
        words = f"{FIGURE}: the {lacking} of {person.first_name} is not recorded"
        return Subject(words=words, body=Body(), stated=True, left_out=left_out, **common)
    return Subject(
        words=f"{person.first_name}, {record.stature_m:.2f} m and {record.mass_kg:g} kg",
        body=Body(stature_m=record.stature_m, mass_kg=record.mass_kg),
        stated=False,
        left_out=left_out,
        drawn_m=record.stature_m,
        drawn_kg=record.mass_kg,
        **common,
    )
