"""The ``[kit]`` section of a person's file: what the person has at home, with the mass of a filled bottle."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache, partial
from typing import cast

from haleward.exchange.guards import VOLUME_IN_L, parse_length_m, parse_mass_kg, parse_volume_l
from haleward.exchange.person_band import read_band
from haleward.exchange.person_table import PersonTable
from haleward.physiology.tables import rows
from haleward.record import ROOMS, Band, Kit, Room

_WATER_KG_PER_L = 1.0  # nominal, as in bottles.csv: the filled mass is the volume in litres


def read_kit(table: PersonTable) -> tuple[Kit, tuple[str, ...]]:
    """The kit, and a note for each bottle whose mass was computed from its size."""
    bottles = _each(table, "bottles", bottle_kg)
    kit = Kit(
        hand_weight_pairs_kg=_each(table, "hand_weights", _item_kg("Hand weight")),
        bottle_pairs_kg=bottles,
        ankle_weight_pairs_kg=_each(table, "ankle_weights", _item_kg("Ankle weight")),
        bands=_bands(table),
        firm_chair=table.flag("firm_chair"),
        armchair=table.flag("armchair"),
        worktop=table.flag("worktop"),
        clear_wall=table.flag("clear_wall"),
        door_anchor=table.flag("door_anchor"),
        step_height_m=table.quantity("step", _step_m, example="15 cm"),
        space=table.text("space"),
        room=cast(Room | None, table.choice("room", ROOMS)),
    )
    notes = tuple(bottle_note(text) for text in (table.words("bottles") or ()) if _is_volume(text)) if bottles else ()
    table.close()
    return kit, notes


def bottle_kg(text: str) -> float:
    """The mass of one bottle full of water from its size ("1 L"), or as weighed ("1.05 kg")."""
    if not _is_volume(text):
        return parse_mass_kg(text, field="Bottle", quantity="hand_mass_kg")
    return parse_volume_l(text) * _WATER_KG_PER_L


def bottle_note(text: str) -> str:
    """One sentence that says how the mass of a bottle was found, with its likely range where the table has one."""
    volume_l = parse_volume_l(text)
    span = _bottle_spans().get(round(volume_l, 3))
    likely = f", likely {span[0]:g} to {span[1]:g} kg with the bottle" if span else ""
    return f"A {text} bottle full of water is taken as {bottle_kg(text):g} kg (computed{likely}); weigh it if you can."


def _is_volume(text: str) -> bool:
    unit = re.search(r"([a-z]+)\W*$", text.lower())
    return bool(unit) and unit is not None and unit[1].removesuffix("s") in {*VOLUME_IN_L, "litre"}


@cache
def _bottle_spans() -> dict[float, tuple[float, float]]:
    return {float(row["volume_l"]): (float(row["low_kg"]), float(row["high_kg"])) for row in rows("bottles")}


def _item_kg(field: str) -> Callable[[str], float]:
    return lambda text: parse_mass_kg(text, field=field, quantity="hand_mass_kg")


def _step_m(text: str) -> float:
    if text.strip().lower() == "none":
        return 0.0
    return parse_length_m(text, field="Step", quantity="step_height_m")


def _each(table: PersonTable, key: str, read: Callable[[str], float]) -> tuple[float, ...] | None:
    """Each item of a list in kilograms, lightest first; ``None`` if the list is not written."""
    texts = table.words(key)
    if texts is None:
        return None
    found = [table.guard(key, partial(read, text)) for text in texts]
    return tuple(sorted(value for value in found if value is not None))


def _bands(table: PersonTable) -> tuple[Band, ...] | None:
    tables = table.every("band")
    if tables is None:
        return None
    return tuple(band for band in map(read_band, tables) if band is not None)
