"""Masses of a body's segments and where they act, by one named scheme at a time (``data/tables/segments.csv``).

Schemes are never mixed: their segments end at different places (a thigh from the trochanter or from the hip joint), so
fractions of one do not fit lengths of another.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from haleward.movement.body import Body
from haleward.movement.geometry import Vec, mix
from haleward.movement.model import SIDES
from haleward.movement.skeleton import Joints
from haleward.physiology.segments import Segment
from haleward.physiology.segments import segment as segment_of
from haleward.record import Sex, Side

Scheme = Literal["winter", "de_leva_female", "de_leva_male"]
LIMB_SEGMENTS = ("upper_arm", "forearm", "hand", "thigh", "shank", "foot")
# What hangs below a joint of a limb.
BELOW: dict[str, tuple[str, ...]] = {
    "shoulder": ("upper_arm", "forearm", "hand"),
    "elbow": ("forearm", "hand"),
    "hip": ("thigh", "shank", "foot"),
    "knee": ("shank", "foot"),
    "ankle": ("foot",),
}
# The joint at which each limb segment begins and the one at which it ends.
ENDS: dict[str, tuple[str, str]] = {
    "upper_arm": ("shoulder", "elbow"),
    "forearm": ("elbow", "wrist"),
    "hand": ("wrist", "hand"),
    "thigh": ("hip", "knee"),
    "shank": ("knee", "ankle"),
}


@dataclass(frozen=True)
class Mass:
    """A mass and where it acts, in metres."""

    mass_kg: float
    at: Vec


def scheme_for(sex: Sex | None) -> Scheme:
    """The scheme by sex where that is known; the one made without regard to sex where it is not."""
    return "winter" if sex is None else "de_leva_female" if sex == "female" else "de_leva_male"


def limb_mass(joints: Joints, body: Body, *, segment: str, side: Side, scheme: Scheme) -> Mass:
    """One limb segment of a posed body."""
    share = segment_of(scheme, segment)
    return Mass(share.mass_fraction * body.mass_kg, _centre(joints, body, segment, side, share, scheme))


def masses_below(joints: Joints, body: Body, *, joint: str, side: Side, scheme: Scheme) -> tuple[Mass, ...]:
    """The segments that hang below a joint of one side."""
    return tuple(limb_mass(joints, body, segment=one, side=side, scheme=scheme) for one in BELOW[joint])


def all_masses(joints: Joints, body: Body, *, scheme: Scheme) -> tuple[Mass, ...]:
    """Every segment of the body; together they have its whole mass."""
    limbs = [
        limb_mass(joints, body, segment=segment, side=side, scheme=scheme)
        for segment in LIMB_SEGMENTS
        for side in SIDES
    ]
    rest = body.mass_kg - sum(one.mass_kg for one in limbs)
    return (*limbs, Mass(rest, trunk_centre(joints, scheme=scheme)))


def upper_masses(joints: Joints, body: Body, *, scheme: Scheme) -> tuple[Mass, ...]:
    """Trunk, head and both arms: what the hips carry."""
    arms = [masses_below(joints, body, joint="shoulder", side=side, scheme=scheme) for side in SIDES]
    trunk = all_masses(joints, body, scheme=scheme)[-1]
    return (*arms[0], *arms[1], trunk)


def centre_of_mass(masses: tuple[Mass, ...]) -> Vec:
    """Where the whole of ``masses`` acts."""
    total = sum(one.mass_kg for one in masses)
    return sum((one.at * (one.mass_kg / total) for one in masses), start=masses[0].at * 0.0)


def trunk_centre(joints: Joints, *, scheme: Scheme) -> Vec:
    """Centre of mass of trunk, head and neck together."""
    hips = (joints["hip_left"] + joints["hip_right"]) / 2
    shoulders = (joints["shoulder_left"] + joints["shoulder_right"]) / 2
    if scheme == "winter":
        return mix(hips, shoulders, segment_of(scheme, "trunk_head_neck").centre_from_proximal)
    # De Leva counts the trunk from the top of the breastbone and the head from its crown.
    trunk, head = segment_of(scheme, "trunk"), segment_of(scheme, "head")
    trunk_at = mix(joints["neck"], hips, trunk.centre_from_proximal)
    both = trunk.mass_fraction + head.mass_fraction
    return (trunk_at * trunk.mass_fraction + joints["head"] * head.mass_fraction) / both


def _centre(joints: Joints, body: Body, segment: str, side: Side, share: Segment, scheme: Scheme) -> Vec:
    if segment == "foot":
        ends = ("ankle", "ball") if scheme == "winter" else ("heel", "toe")
        return mix(joints[f"{ends[0]}_{side}"], joints[f"{ends[1]}_{side}"], share.centre_from_proximal)
    first, last = (joints[f"{end}_{side}"] for end in ENDS[segment])
    if segment == "hand" and share.length_of_stature is not None:
        # The figure's hand ends at the middle of the fist; the scheme's own hand is longer.
        return mix(first, last, share.centre_from_proximal * share.length_of_stature * body.stature_m / body.grip)
    return mix(first, last, share.centre_from_proximal)
