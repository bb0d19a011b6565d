"""Read one posture of a movement file: kit, scene, key poses and cycles."""

from __future__ import annotations

from dataclasses import fields
from typing import Any, get_args

from haleward.movement.cycle_faults import note_cycle_faults
from haleward.movement.loads import KIT_KINDS, KitKind
from haleward.movement.model import (
    ARM_JOINTS,
    LEG_JOINTS,
    NECK_JOINTS,
    SIDES,
    TRUNK_JOINTS,
    Arrow,
    Breath,
    Camera,
    Cycle,
    Effort,
    FootContact,
    Form,
    Held,
    KeyPose,
    KitUse,
    Prop,
    Scene,
    Step,
    Triple,
)
from haleward.record import Kit, Side
from haleward.strict_toml import Table

KIT_FIELDS = tuple(field.name for field in fields(Kit))
FEET = ("flat", "ball", "heel", "air", "pedal", "plate")
HANDS = (
    *("free", "front", "front_one", "side", "wall", "thigh", "other_thigh", "chest"),
    *("seat_edge", "armrest", "rails", "handlebar", "crank", "rower"),
)
_STEP = ("pose", "move_s", "hold_s", "breath")
PLACED_HANDS = {"wall", "handlebar", "crank", "rower"}
DRAWN = (
    *("none", "weight", "bottle", "ankle_weight", "band_under_feet", "band_under_seat", "band_front", "band_above"),
    *("band_between", "band_behind", "band_thighs", "band_ankles", "band_foot", "band_chair_leg", "band_low"),
)


def read_form(table: Table, cautions: dict[str, str]) -> Form:
    """One posture of a movement."""
    poses = _poses(table.table("poses"))
    cycles = tuple(_cycle(part, poses) for part in table.tables("cycles"))
    table.file.finish()  # what follows reads the poses and cycles as whole
    kit_use = _kit_use(table.table("kits"))
    needs = table.texts("needs")
    _check_needs(table, needs)
    out_s, pause_s, back_s = _tempo(cycles[0])
    form = Form(
        kits=tuple(kit_use),
        needs=needs,
        narrow_base=table.flag("narrow_base"),
        each_side=table.flag("each_side"),
        hold=table.flag("hold"),
        out_s=out_s,
        pause_s=pause_s,
        back_s=back_s,
        cautions=cautions,
        effort=table.choice("effort", get_args(Effort)),
        one_leg=table.flag("one_leg"),
        equipment=table.text("equipment", ""),
        kit_use=kit_use,
        scene=_scene(table.table("scene")),
        poses=poses,
        cycles=cycles,
    )
    if form.each_side != (cycles[0].side != ""):
        table.wrong("each_side", "each_side must be true exactly when the cycles name a side")
    note_cycle_faults(table, form)
    table.close()
    return form


def _tempo(cycle: Cycle) -> Triple:
    """Seconds out, at the turning point and back; holds on the way count as part of the way."""
    turning = cycle.out[-1]
    out_s = sum(step.move_s + step.hold_s for step in cycle.out) - turning.hold_s
    back_s = sum(step.move_s + step.hold_s for step in cycle.back)
    return round(out_s, 3), turning.hold_s, round(back_s, 3)


def _check_needs(table: Table, needs: tuple[str, ...]) -> None:
    for need in needs:
        if need not in KIT_FIELDS:
            table.wrong("needs", f'needs names "{need}", which is not a field of the record\'s kit')


def _kit_use(table: Table) -> dict[KitKind, KitUse]:
    uses: dict[KitKind, KitUse] = {}
    for kind in KIT_KINDS:
        if not table.has(kind):
            continue
        part = table.table(kind)
        needs = part.texts("needs", ())
        _check_needs(part, needs)
        anchor = _prop(part.table("anchor")) if part.has("anchor") else None
        camera = _camera(part.table("camera")) if part.has("camera") else None
        uses[kind] = KitUse(part.choice("drawn", DRAWN), part.choice("held", get_args(Held), ""), needs, anchor, camera)
        part.close()
    table.close()
    return uses


def _prop(table: Table) -> Prop:
    prop = Prop(table.text("kind"), table.number("x"), table.number("y"), table.number("yaw"))
    table.close()
    return prop


def _camera(table: Table) -> Camera:
    camera = Camera(table.number("yaw"), table.number("pitch"), table.number("scale"))
    table.close()
    return camera


def _scene(table: Table) -> Scene:
    arrow = table.table("arrow")
    scene = Scene(
        camera=_camera(table.table("camera")),
        arrow=Arrow(arrow.text("joint"), _triple(arrow, "offset_m")),
        near_side=table.choice("near_side", SIDES),
        props=tuple(_prop(part) for part in table.tables("props", required=False)),
        mirror_right=table.flag("mirror_right", False),
        belt=table.number("belt", 0.0),
        slides=table.flag("slides", False),
        closeup=table.flag("closeup", False),
    )
    for part in (arrow, table):
        part.close()
    return scene


def _poses(table: Table) -> dict[str, KeyPose]:
    poses = {name: _pose(name, table.table(name)) for name in table.names}
    table.close()
    return poses


def _pose(name: str, table: Table) -> KeyPose:
    angles = dict(zip(TRUNK_JOINTS, table.numbers("trunk", len(TRUNK_JOINTS)), strict=True))
    angles |= zip(NECK_JOINTS, table.numbers("neck", len(NECK_JOINTS)), strict=True)
    for side in SIDES:
        for part, joints in ((f"arm_{side}", ARM_JOINTS), (f"leg_{side}", LEG_JOINTS)):
            values = table.numbers(part, len(joints))
            angles |= {f"{joint}_{side}": value for joint, value in zip(joints, values, strict=True)}
    hands = table.texts("hands")
    feet = table.texts("feet")
    if len(hands) != 2 or len(feet) != 2:
        table.wrong("hands", "hands and feet must each name the left one, then the right one")
        table.file.finish()
    for hand in hands:
        if hand not in HANDS:
            table.wrong("hands", f'hands names "{hand}"; it must be one of {", ".join(HANDS)}')
    hand_at: dict[Side, Triple] = {}
    if PLACED_HANDS & set(hands):
        hand_at = {side: _triple(table, f"hand_{side}") for side in SIDES}
    pose = KeyPose(
        name=name,
        seated=table.flag("seated"),
        feet={side: _foot(table, text) for side, text in zip(SIDES, feet, strict=True)},
        hands=dict(zip(SIDES, hands, strict=True)),
        pelvis=_triple(table, "pelvis"),
        angles=angles,
        hand_at=hand_at,
    )
    table.close()
    return pose


def _triple(table: Table, key: str) -> Triple:
    x, y, z = table.numbers(key, 3)
    return x, y, z


def _foot(table: Table, text: str) -> FootContact:
    kind, colon, pitch = text.partition(":")
    if kind not in FEET:
        table.wrong("feet", f'feet names "{kind}"; it must be one of {", ".join(FEET)}')
    try:
        return FootContact(kind, float(pitch) if colon else 0.0)
    except ValueError:
        table.wrong("feet", f'feet says "{text}"; write the angle as a number of degrees')
        return FootContact(kind, 0.0)


def _cycle(table: Table, poses: dict[str, KeyPose]) -> Cycle:
    start = table.text("start")
    cycle = Cycle(
        side=table.choice("side", ("left", "right", "")),
        start=start,
        out=_steps(table, "out"),
        back=_steps(table, "back"),
    )
    table.close()
    for name in {start, *cycle.out_poses, *cycle.back_poses} - {"", *poses}:
        table.wrong("", f'the pose "{name}" is not among the poses')
    if cycle.back and cycle.back[-1].pose != start:
        table.wrong("back", f'back must end at the start pose "{start}"')
    return cycle


def _steps(table: Table, key: str) -> tuple[Step, ...]:
    wanted = "a list of [pose, seconds of movement, seconds of hold, breath], one at least"
    rows = table.value(key, wanted, _are_rows) or ()
    return tuple(_step(table.part((key,), dict(zip(_STEP, row, strict=True)))) for row in rows)


def _step(row: Table) -> Step:
    return Step(row.text("pose"), row.number("move_s"), row.number("hold_s"), row.choice("breath", get_args(Breath)))


def _are_rows(value: Any) -> bool:
    rows = isinstance(value, list) and bool(value)
    return rows and all(isinstance(row, list) and len(row) == len(_STEP) for row in value)
