"""A dose, a load and a date in the words of the tables."""

from __future__ import annotations

from datetime import date

from haleward.dose.model import Dose, Load
from haleward.errors import HalewardError
from haleward.movement.band_loop import LOOPS
from haleward.movement.bands import easier_cm
from haleward.wording import Wording

_HELD = {"working_hand": "session_load_hand", "left_hand": "session_load_hand", "both_hands": "session_load_both_hands"}

_BAND = {
    "band_under_feet": "session_load_band_foot",
    "band_foot": "session_load_band_foot",
    "band_under_seat": "session_load_band_seat",
    "band_front": "session_load_band_fixed",
    "band_above": "session_load_band_fixed",
    "band_between": "session_load_band_hands",
    "band_behind": "session_load_band_back",
} | dict.fromkeys(LOOPS, "session_load_band_loop")


def date_words(day: date) -> str:
    """A date that cannot be misread: 3 May 2026."""
    return f"{day.day} {day:%B %Y}"


def mass_words(mass_kg: float, wording: Wording) -> str:
    """A mass in words ready to print or say: "500 grams", "1 kilogram", "1.5 kilograms"."""
    if mass_kg < 1:
        return wording.text("grams", {"mass": f"{mass_kg * 1000:.0f}"})
    mass = f"{mass_kg:g}"
    return wording.text("kilogram_one", {}) if mass == "1" else wording.text("kilograms", {"mass": mass})


def dose_words(dose: Dose, *, each_side: bool, wording: Wording, side: str = "") -> str:
    """Sets and repetitions, or holds: "2 sets of 10 on each side", "2 sets of 10, with your left arm only"."""
    kind = "hold" if dose.hold_s else "set"
    number = "one" if dose.sets == 1 else "many"
    key = {
        ("set", "one"): "dose_set_one",
        ("set", "many"): "dose_sets",
        ("hold", "one"): "dose_hold_one",
        ("hold", "many"): "dose_holds",
    }[kind, number]
    values = {"sets": str(dose.sets), "reps": str(dose.repetitions), "hold_seconds": f"{dose.hold_s:g}"}
    text = wording.text(key + ("_sides" if each_side else ""), values)
    return wording.text(f"dose_arm_{side}", {"dose": text}) if side else text


def load_words(load: Load, *, held: str, wording: Wording, drawn: str = "") -> str:
    """What to hold or wear, and how heavy: "1 kilogram in each hand". ``held`` is the library's word for the grip.

    A band's length is told as what a person can measure, by how it is used (``drawn``): "51 centimetres from your
    foot".
    """
    if load.kit == "own_weight":
        return wording.text("session_load_own_weight", {})
    if load.kit == "band":
        if load.hold_length_m is None:
            raise HalewardError(f'The band "{load.band}" has no length to hold; the dose must state it.')
        length = f"{easier_cm(load.hold_length_m) * 100:.0f}"
        return wording.text(_BAND.get(drawn, "session_load_band"), {"band_name": load.band, "band_length": length})
    if load.mass_kg is None:
        raise HalewardError(f"The dose names a {load.kit.replace('_', ' ')} without its mass in kilograms.")
    key = "session_load_ankles" if load.kit == "ankle_weight" else _HELD.get(held, "session_load_hands")
    text = wording.text(key, {"load": mass_words(load.mass_kg, wording)})
    if load.fill_ml is None:
        return text
    return wording.text("session_load_filled", {"load": text, "fill": f"{load.fill_ml:.0f}"})
