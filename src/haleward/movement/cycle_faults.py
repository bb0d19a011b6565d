"""What is wrong with a posture's cycles: breath against the effort, a side without its mirror, a pose never reached."""

from __future__ import annotations

from itertools import pairwise

from haleward.movement.geometry import other
from haleward.movement.model import ARM_JOINTS, LEG_JOINTS, SIDES, Cycle, Form, KeyPose, Step
from haleward.strict_toml import Table

MIRROR_MOST_DEG = 1.0
TURNED_ROUND = ("trunk_lateral_flexion", "trunk_rotation", "neck_rotation")


def note_cycle_faults(table: Table, form: Form) -> None:
    """Note every fault of the cycles; the posture's table is ``table``."""
    used = {name for cycle in form.cycles for name in (*cycle.out_poses, *cycle.back_poses)}
    for name in form.poses:
        if name not in used:
            table.wrong("poses", f'the pose "{name}" is in no cycle')
    for cycle in form.cycles:
        _note_breath(table, form, cycle)
        for first, last in pairwise((*cycle.out_poses, *cycle.back_poses[1:])):
            if first == last:
                table.wrong("cycles", f'the cycle goes from "{first}" to itself; use the hold of one step')
    _note_mirror(table, form)


def _note_breath(table: Table, form: Form, cycle: Cycle) -> None:
    work, rest = (cycle.back, cycle.out) if form.effort == "to_start" else (cycle.out, cycle.back)
    way = "back" if form.effort == "to_start" else "out"
    if _breathes(work, "in"):
        table.wrong("cycles", f'the way {way} is the effort and says "in"; breathing out goes with the effort')
    if form.effort == "to_start" and not _breathes(work, "out"):
        table.wrong("cycles", f'the way {way} is the effort and must say "out"; breathing out goes with the effort')
    if _breathes(work, "out") and _breathes(rest, "out") and not _breathes(rest, "in"):
        table.wrong("cycles", 'both ways say "out"; breathe in on the way that is not the effort')


def _breathes(steps: tuple[Step, ...], breath: str) -> bool:
    return any(step.breath == breath for step in steps)


def _note_mirror(table: Table, form: Form) -> None:
    sides = [cycle.side for cycle in form.cycles]
    if not form.each_side:
        return
    for side in SIDES:
        if side not in sides:
            table.wrong("cycles", f"the {other(side)} side has no mirror: there is no cycle for the {side} side")
    if sides[:2] != list(SIDES):
        return
    left, right = form.cycles[:2]
    if _times(left) != _times(right):
        table.wrong("cycles", "the cycle of the right side must have the same steps and times as that of the left")
        return
    named = zip((*left.out_poses, *left.back_poses), (*right.out_poses, *right.back_poses), strict=True)
    for one, two in dict.fromkeys(named):
        off = _unlike(form.poses[one], form.poses[two])
        if off:
            table.wrong("poses", f'the pose "{two}" is not the mirror of "{one}": {off} differs')


def _times(cycle: Cycle) -> list[tuple[float, float, str]]:
    return [(step.move_s, step.hold_s, step.breath) for step in (*cycle.out, *cycle.back)]


def _unlike(left: KeyPose, right: KeyPose) -> str:
    """The first angle that is not mirrored; arms only where both are free, because a support stands on one side."""
    free = {*left.hands.values(), *right.hands.values()} == {"free"}
    for side in SIDES:
        for joint in (*LEG_JOINTS, *(ARM_JOINTS if free else ())):
            if abs(left.angles[f"{joint}_{side}"] - right.angles[f"{joint}_{other(side)}"]) > MIRROR_MOST_DEG:
                return f"{side} {joint.replace('_', ' ')}"
    for joint in TURNED_ROUND:
        if abs(left.angles[joint] + right.angles[joint]) > MIRROR_MOST_DEG:
            return joint.replace("_", " ")
    return "" if left.feet["left"] == right.feet["right"] else "what the working foot touches"
