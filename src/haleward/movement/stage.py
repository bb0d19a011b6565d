"""Where furniture stands and where a pose sits or stands, for one form and one body."""

from __future__ import annotations

from dataclasses import replace

from haleward.movement.body import REFERENCE_STATURE_M, Body
from haleward.movement.furniture import (
    BACK_GAP_M,
    BACKREST_BEHIND_SEAT_M,
    CHAIR_BACK_TOP_M,
    RAIL_OF_STATURE,
    RAIL_TOP_M,
    SEAT_OUTSIDE_M,
    SEAT_TOP_M,
    SEATED_HIP_OF_STATURE,
    SITS_ON,
    STANDING_HIP_OF_STATURE,
    SUPPORT_OF_STATURE,
    WHEEL_OUTSIDE_M,
    WHEEL_TOP_M,
    WORKTOP_TOP_M,
)
from haleward.movement.geometry import Vec, vec
from haleward.movement.model import Form, KeyPose, Prop

NEAREST = 0.80  # a tall person stands nearer to a support, to this share of the drawn distance
STEP_NEARER = 0.96
TALL_FORWARD = 0.05  # metres further forward for each metre above the reference figure
SEAT_TOO_HIGH_M, SHORT_FORWARD = 0.08, 1.5  # a seat this much above the one that fits is sat on further forward


class Stage:
    """The furniture of a form. ``near`` is the share of the drawn distance to a support in front or at the side."""

    def __init__(
        self, form: Form, body: Body, *, seat_top_m: float | None = SEAT_TOP_M, wheelchair: bool = False
    ) -> None:
        """``seat_top_m`` None is a seat that fits the body, thighs level: the convention of the pose tables.

        With ``wheelchair`` the chair is one, in a form that is seated throughout: hanging arms go round its wheels.
        """
        self.form, self.body = form, body
        fitting = SEATED_HIP_OF_STATURE * body.stature_m - self._hip_above_seat
        self.seat_top_m = fitting if seat_top_m is None else seat_top_m
        self.near = 1.0
        self.wheelchair = wheelchair and self.sits and all(pose.seated for pose in form.poses.values())

    @property
    def _hip_above_seat(self) -> float:
        return 0.88 * self.body.thigh_radius

    @property
    def worktop_top_m(self) -> float:
        """Height of the worktop: an ordinary one, or a higher one for a tall person."""
        return max(WORKTOP_TOP_M, SUPPORT_OF_STATURE * self.body.stature_m)

    @property
    def chair_back_top_m(self) -> float:
        """Height of the back of a chair that is held on to: an ordinary one, or a higher one for a tall person."""
        return max(CHAIR_BACK_TOP_M, SUPPORT_OF_STATURE * self.body.stature_m)

    @property
    def rail_top_m(self) -> float:
        """Height of the rail: an ordinary one, or one that suits a short or a tall person."""
        low, high = (share * self.body.stature_m for share in RAIL_OF_STATURE)
        return min(max(RAIL_TOP_M, low), high)

    @property
    def beside_seat_m(self) -> tuple[float, float]:
        """How far to the side, and up to what height, a seat or a wheel is in the way of a hanging arm."""
        return (WHEEL_OUTSIDE_M, WHEEL_TOP_M) if self.wheelchair else (SEAT_OUTSIDE_M, self.seat_top_m + 0.02)

    @property
    def sits(self) -> bool:
        """Whether a seat is in the scene and sat on."""
        on = any(prop.kind in SITS_ON for prop in self.form.scene.props)
        return on and any(pose.seated for pose in self.form.poses.values())

    def mirrored(self, pose_name: str) -> bool:
        """Whether furniture and camera are mirrored for this pose (the right-hand half of a movement)."""
        return self.form.scene.mirror_right and "_right" in pose_name

    def place(self, prop: Prop, pose_name: str) -> Prop:
        """A prop moved nearer for a tall person and mirrored for the right side."""
        if prop.kind in ("chair_back", "worktop"):
            prop = replace(prop, x=prop.x * self.near)
        elif prop.kind in ("chair_side", "worktop_side", "rail"):
            prop = replace(prop, x=prop.x * self.near, y=prop.y * (0.35 + 0.65 * self.near))
        flip = -1 if self.mirrored(pose_name) else 1
        return replace(prop, y=flip * prop.y, yaw=flip * prop.yaw)

    def props(self, pose_name: str) -> tuple[Prop, ...]:
        """Furniture as it stands for this pose."""
        return tuple(self.place(prop, pose_name) for prop in self.form.scene.props)

    def prop(self, pose_name: str, *kinds: str) -> Prop | None:
        """The first piece of furniture of one of these kinds."""
        return next((prop for prop in self.props(pose_name) if prop.kind in kinds), None)

    def pelvis(self, pose: KeyPose) -> Vec:
        """Pelvis centre of a pose, raised or lowered where the real seat is not the one that fits."""
        x, y, z = (part * self.body.stature_m for part in pose.pelvis)
        chair = next((prop for prop in self.form.scene.props if prop.kind in SITS_ON), None)
        if chair is not None:
            raised = self.seat_top_m + self._hip_above_seat - SEATED_HIP_OF_STATURE * self.body.stature_m
            share = (STANDING_HIP_OF_STATURE - pose.pelvis[2]) / (STANDING_HIP_OF_STATURE - SEATED_HIP_OF_STATURE)
            share = min(max(share, 0.0), 1.0)
            x += share * self._sits_forward_m(x - chair.x * self.body.stature_m, raised)
            z += raised * share
        return vec(x, y, z)

    def feet_forward_m(self, pose: KeyPose) -> float:
        """How much further forward the feet stand because the body sits further forward, where nothing holds them."""
        seated = all(each.seated for each in self.form.poses.values())
        free = seated and all(prop.kind in SITS_ON for prop in self.form.scene.props)
        return float(self.pelvis(pose)[0]) - pose.pelvis[0] * self.body.stature_m if free else 0.0

    def _sits_forward_m(self, drawn_at_m: float, raised_m: float) -> float:
        """How much further forward a body sits: a wide or tall back needs room, short legs must reach the floor."""
        behind = BACK_GAP_M + self.body.trunk_radius - BACKREST_BEHIND_SEAT_M
        wide = max(0.0, behind - drawn_at_m)
        tall = TALL_FORWARD * max(0.0, self.body.stature_m - REFERENCE_STATURE_M)
        return max(wide, tall) + SHORT_FORWARD * max(0.0, raised_m - SEAT_TOO_HIGH_M)
