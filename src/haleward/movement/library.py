"""Read the movement files. A key that is not known, or is missing, is a fault that names the file and the place."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, get_args

from haleward.errors import FileFault
from haleward.movement.faults import Table
from haleward.movement.forms import read_form
from haleward.movement.model import Form, Movement, Region
from haleward.record import POSTURES, Posture

DEFAULT_FOLDER = Path(__file__).parent.parent / "data" / "movements"
CATEGORIES = ("resistance", "functional", "balance", "mobility", "aerobic")
CAUTIONS = ("sternum", "shoulder", "hip_replacement", "device_arm", "balance", "other")


@dataclass(frozen=True)
class Library:
    """Every movement, by id."""

    movements: dict[str, Movement]

    def movement(self, movement_id: str) -> Movement:
        """The movement of this id; a clear error if there is none."""
        if movement_id not in self.movements:
            raise FileFault([f'There is no movement "{movement_id}" in the library.'])
        return self.movements[movement_id]

    def form(self, movement_id: str, posture: Posture) -> Form:
        """The movement in this posture; a clear error if it has no such posture."""
        movement = self.movement(movement_id)
        if posture not in movement.postures:
            offered = ", ".join(movement.postures)
            raise FileFault([f'"{movement_id}" has no posture "{posture}"; it has {offered}.'])
        return movement.postures[posture]


def load_library(folder: Path) -> Library:
    """Read every ``*.toml`` of ``folder``; raises :class:`FileFault` with one sentence for each fault."""
    movements: dict[str, Movement] = {}
    faults: list[str] = []
    paths = sorted(folder.glob("*.toml"))
    if not paths:
        raise FileFault([f"{folder} holds no movement file (*.toml)."])
    for path in paths:
        try:
            movement = read_movement(path)
        except FileFault as fault:
            faults += fault.faults
        else:
            movements[movement.id] = movement
    if faults:
        raise FileFault(faults)
    return Library(movements)


@cache
def default_library() -> Library:
    """The library that comes with the product."""
    return load_library(DEFAULT_FOLDER)


def read_movement(path: Path) -> Movement:
    """Read one movement file."""
    try:
        data: dict[str, Any] = tomllib.loads(path.read_text(encoding="utf-8"))
    except tomllib.TOMLDecodeError as error:
        raise FileFault([f"{path.name}: {error}."]) from error
    table = Table(path.name, "", data)
    movement_id = table.text("id")
    if movement_id != path.stem:
        raise table.fault("id", f'is "{movement_id}"; it must be the file\'s own name, "{path.stem}"')
    met = table.number("met", None)
    cautions = table.strings_by_key("cautions", CAUTIONS)
    sources = table.strings_by_key("caution_sources", CAUTIONS)
    if sources.keys() != cautions.keys():
        raise table.fault("caution_sources", "must name a source for each caution and for nothing else")
    forms = _forms(table.table("postures"), cautions)
    movement = Movement(
        id=movement_id,
        version=table.whole("version"),
        name=table.text("name"),
        category=table.choice("category", CATEGORIES),
        region=table.choice("region", get_args(Region)),
        pattern=table.text("pattern"),
        purpose=table.text("purpose"),
        prime_movers=table.texts("prime_movers"),
        small_muscle=table.flag("small_muscle"),
        upper=table.flag("upper"),
        laterality=table.text("laterality"),
        tempo=table.text("tempo"),
        source=table.text("source"),
        cautions=cautions,
        caution_sources=sources,
        met=met,
        met_source=table.text("met_source", "" if met is None else None),
        postures=forms,
    )
    table.close()
    return movement


def _forms(table: Table, cautions: dict[str, str]) -> dict[Posture, Form]:
    forms: dict[Posture, Form] = {}
    for posture in POSTURES:
        if table.has(posture):
            forms[posture] = read_form(table.table(posture), cautions)
    table.close()
    if not forms:
        raise table.fault("", "has no posture")
    return forms
