"""What is wrong with a file's key poses as they are written, each with its line.

The angles are tried on the 1.70 m figure, on a seat that fits, as the pose tables mean them: joints within their
limits, planted feet on the floor or step, hands on what they hold.
"""

from __future__ import annotations

import numpy as np

from haleward.movement.body import Body
from haleward.movement.feet import ON_FLOOR, ankle_over
from haleward.movement.geometry import vec
from haleward.movement.hands import FREE
from haleward.movement.limits import joint_limits, joint_of, plain
from haleward.movement.model import ARM_JOINTS, NECK_JOINTS, SIDES, TRUNK_JOINTS, Form, KeyPose, Movement
from haleward.movement.motion import Poser
from haleward.movement.skeleton import forward
from haleward.record import Posture
from haleward.strict_toml import TomlFile

FOOT_MOST_M = 0.025
HAND_MOST_M = 0.030


def note_pose_faults(file: TomlFile, movement: Movement) -> None:
    """Note every fault of the key poses in ``file``, which ``movement`` was read from."""
    for posture, form in movement.postures.items():
        beyond = [pose for pose in form.poses.values() if _note_limits(file, posture, pose)]
        if not beyond:
            _note_contacts(file, posture, form)


def _note_limits(file: TomlFile, posture: Posture, pose: KeyPose) -> bool:
    limits, found = joint_limits(), False
    for name, angle in pose.angles.items():
        if not limits[joint_of(name)].holds(angle):
            found = True
            sentence = f"{plain(name)} is {angle:g} degrees; it must be {limits[joint_of(name)]}"
            file.fault((*_path(posture, pose), _key(name)), f"{_named(posture, pose)}: {sentence}.")
    return found


def _note_contacts(file: TomlFile, posture: Posture, form: Form) -> None:
    body = Body()
    poser = Poser(form, body, seat_top_m=None)
    for pose in form.poses.values():
        state = poser.keys[pose.name]
        meant = forward(body, pose.angles, vec(*(part * body.stature_m for part in pose.pelvis)))
        for side in SIDES:
            foot = state.feet[side]
            off = meant[f"ankle_{side}"] - ankle_over(body, foot)
            if foot.kind in ON_FLOOR and abs(float(off[2])) > FOOT_MOST_M:
                does = "floats above" if off[2] > 0 else "sinks into"
                sentence = f"the {side} foot is planted but {does} the floor or step by {abs(off[2]) * 100:.0f} cm"
                file.fault((*_path(posture, pose), "feet"), f"{_named(posture, pose)}: {sentence}.")
            held = pose.hands[side]
            gap = float(np.linalg.norm(meant[f"wrist_{side}"] - state.joints[f"wrist_{side}"]))
            if held != FREE and gap > HAND_MOST_M:
                sentence = f'the {side} hand holds on ("{held}") but is {gap * 100:.0f} cm away from there'
                file.fault((*_path(posture, pose), "hands"), f"{_named(posture, pose)}: {sentence}.")


def _path(posture: Posture, pose: KeyPose) -> tuple[str, ...]:
    return ("postures", posture, "poses", pose.name)


def _named(posture: Posture, pose: KeyPose) -> str:
    return f"[postures.{posture}.poses.{pose.name}]"


def _key(angle_name: str) -> str:
    """The array of a pose that holds this angle."""
    if angle_name in TRUNK_JOINTS:
        return "trunk"
    if angle_name in NECK_JOINTS:
        return "neck"
    limb = "arm" if joint_of(angle_name) in ARM_JOINTS else "leg"
    return f"{limb}_{'left' if angle_name.endswith('_left') else 'right'}"
