"""Read the movement files. A key that is not known, or is missing, is a fault that names the file and the line.

A file that is read by itself, or from a folder other than the product's own, has its poses checked too: a joint beyond
its limit, a planted foot that floats, a hand that misses its support. The product's own files pass the same checks in
the tests, and are not checked again at every start.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import get_args

from haleward.errors import FileFault
from haleward.movement.forms import read_form
from haleward.movement.ladder_steps import read_ladder
from haleward.movement.model import Form, Joint, Movement, Region
from haleward.movement.pose_faults import note_pose_faults
from haleward.record import POSTURES, Posture
from haleward.strict_toml import Table, TomlFile

DEFAULT_FOLDER = Path(__file__).parent.parent / "data" / "movements"
CATEGORIES = ("resistance", "functional", "balance", "mobility", "aerobic")
CONDITIONS = ("sternum", "shoulder", "hip_replacement", "device_arm", "balance")  # each needs its caution, "ok" if none
CAUTIONS = (*CONDITIONS, "other")


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


def load_library(folder: Path, *, check_poses: bool = True) -> Library:
    """Read every ``*.toml`` of ``folder``; raises :class:`FileFault` with one sentence for each fault."""
    movements: dict[str, Movement] = {}
    faults: list[str] = []
    paths = sorted(folder.glob("*.toml"))
    if not paths:
        raise FileFault([f"{folder} holds no movement file (*.toml)."])
    for path in paths:
        try:
            movement = read_movement(path, check_poses=check_poses)
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
    return load_library(DEFAULT_FOLDER, check_poses=False)


def read_movement(path: Path, *, check_poses: bool = True) -> Movement:
    """Read one movement file; raises :class:`FileFault` with every fault found in it, each with its line."""
    file = TomlFile.read(path)
    table = Table(file, (), file.values)
    movement_id = table.text("id")
    if movement_id not in ("", path.stem):
        table.wrong("id", f'id is "{movement_id}"; it must be the file\'s own name, "{path.stem}"')
    met = table.number("met") if table.has("met") else None
    cautions = _cautions(table.table("cautions"))
    sources = _texts_by_key(table.table("caution_sources"), CAUTIONS)
    if sources.keys() != cautions.keys():
        table.wrong("caution_sources", "caution_sources must name a source for each caution and for nothing else")
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
        working_joint=table.choice("working_joint", get_args(Joint)) if table.has("working_joint") else None,
        laterality=table.text("laterality"),
        tempo=table.text("tempo"),
        source=table.text("source"),
        cautions=cautions,
        caution_sources=sources,
        met=met,
        met_source=table.text("met_source", "" if met is None else None),
        reviewed_by=table.text("reviewed_by", ""),
        postures=_forms(table.table("postures"), cautions),
    )
    movement = replace(movement, ladder=read_ladder(table, movement.postures))
    table.close()
    file.finish()
    if check_poses:
        note_pose_faults(file, movement)
        file.finish()
    return movement


def _forms(table: Table, cautions: dict[str, str]) -> dict[Posture, Form]:
    forms: dict[Posture, Form] = {}
    for posture in POSTURES:
        if table.has(posture):
            forms[posture] = read_form(table.table(posture), cautions)
    table.close()
    if not forms:
        table.wrong("", "there is no posture")
    return forms


def _cautions(table: Table) -> dict[str, str]:
    for condition in CONDITIONS:
        if not table.has(condition):
            table.wrong("", f'the caution for "{condition}" is missing; write "ok" if there is nothing to say')
    return _texts_by_key(table, CAUTIONS)


def _texts_by_key(table: Table, allowed: tuple[str, ...]) -> dict[str, str]:
    found = {name: table.text(name) for name in allowed if table.has(name)}
    table.close()
    return found
