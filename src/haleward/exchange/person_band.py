"""A ``[[kit.band]]`` of a person's file: its stiffness in newtons, or the readings of a luggage scale that give it.

A reading is written as it is taken: the length between two marks and what the scale shows, "75 cm at 2.1 kg" or
"75 cm at 20.6 N"; ``marks`` is the length between the marks at rest. A colour says nothing about a band.
"""

from __future__ import annotations

from haleward.errors import HalewardError
from haleward.exchange.guards import check_range, parse_length_m, parse_number
from haleward.exchange.person_table import PersonTable
from haleward.movement.band_fit import READINGS_LEAST, BandFit, Reading, fit_band
from haleward.movement.bands import newtons
from haleward.record import Band

EXAMPLE = "75 cm at 2.1 kg"
KILOGRAMS, NEWTONS = ("kg",), ("n", "newton", "newtons")
DIGITS = 4  # a tenth of a millimetre, a tenth of a gram: finer than anything measured at home


def read_band(table: PersonTable) -> Band | None:
    """One band; ``None`` when something it needs is missing or wrong, with its faults noted."""
    name = table.text("name", required=True, most=40)
    stiffness_n = table.number("stiffness_n", "band_stiffness_n")
    fit = _fit(table)
    length_m = table.quantity(
        "length",
        lambda text: parse_length_m(text, field="Band length", quantity="band_length_m"),
        example="1.5 m",
        required=True,
    )
    band = Band(
        name=name,
        stiffness_n=round(fit.stiffness_n, DIGITS) if fit else stiffness_n or 0.0,
        rest_length_m=length_m or 0.0,
        measured_on=table.day("measured_on"),
        latex=table.flag("latex"),
        readings=tuple((one.stretch, one.kilograms) for one in fit.readings) if fit else (),
        misfit=round(fit.worst_misfit, DIGITS) if fit else None,
        latex_ok=table.flag("latex_ok"),
        can_grip=table.flag("can_grip"),
    )
    _one_of_both(table)
    table.close()
    return band if name and band.stiffness_n and band.rest_length_m else None


def _one_of_both(table: PersonTable) -> None:
    given = table.has("stiffness_n"), table.has("readings")
    if given == (False, False) and table.written:
        table.fault(
            "", f'kit.band.stiffness_n is missing; write it in newtons, or three readings such as "{EXAMPLE}" instead.'
        )
    if given == (True, True):
        table.fault("readings", "kit.band has both readings and stiffness_n; write one of them.")


def _fit(table: PersonTable) -> BandFit | None:
    """The stiffness by the readings, within its plausible range."""
    texts = table.words("readings")
    marks_m = table.quantity(
        "marks", lambda text: parse_length_m(text, field="Marks", quantity="band_marks_m"), example="50 cm"
    )
    if texts is None:
        return None
    if not table.has("marks"):
        table.fault(
            "readings", 'kit.band.marks is missing; write the length between the two marks at rest, such as "50 cm".'
        )
    if marks_m is None:
        return None
    found = [table.guard("readings", lambda text=text: _reading(text, marks_m)) for text in texts]  # type: ignore[misc]
    if None in found:
        return None
    return table.guard("readings", lambda: _fitted(tuple(one for one in found if one is not None)))


def _fitted(readings: tuple[Reading, ...]) -> BandFit:
    if len({one.stretch for one in readings}) < READINGS_LEAST:
        raise HalewardError(
            f"kit.band.readings holds {len(readings)}; pull the band to three different lengths and read each."
        )
    fit = fit_band(readings)
    check_range(fit.stiffness_n, quantity="band_stiffness_n")
    return fit


def _reading(text: str, marks_m: float) -> Reading:
    """ "75 cm at 2.1 kg": the stretch, and what the scale shows in kilograms."""
    length, at, shown = (part.strip() for part in text.partition(" at "))
    number, _, unit = shown.rpartition(" ")
    if not at or unit.lower() not in (*KILOGRAMS, *NEWTONS):
        raise HalewardError(
            f'"{text[:40]}" is not a reading; write a length and what the scale shows, such as "{EXAMPLE}" or '
            '"75 cm at 20.6 N".'
        )
    length_m = parse_length_m(length, field="Scale reading", quantity="band_length_m")
    force = parse_number(number, field="Scale reading", example=EXAMPLE)
    kilograms = force if unit.lower() in KILOGRAMS else force / newtons(kilograms_on_scale=1.0)
    return Reading(round(length_m / marks_m, DIGITS), round(kilograms, DIGITS))
