"""Sizes of one body from stature and mass; lengths are the fractions of ``data/tables/body_lengths.csv``."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, cached_property
from math import sqrt

from haleward.physiology.tables import rows

REFERENCE_STATURE_M = 1.70
REFERENCE_MASS_KG = 70.0
DRAWN_STATURE_M = (1.45, 2.00)  # the range in which every movement is checked (movement/checking.py, thorough)
DRAWN_BMI = (16.0, 46.0)
REFERENCE_BMI = 24.0


@cache
def length_fractions() -> dict[str, float]:
    """Segment lengths as fractions of stature, by measure."""
    return {row["measure"]: float(row["fraction_of_stature"]) for row in rows("body_lengths")}


def drawn_body(stature_m: float | None, mass_kg: float | None) -> Body:
    """The body to draw: the person's size kept within the checked range; a 1.70 m, 70 kg figure when unknown.

    For drawing only: an unknown size never enters a computed figure this way.
    """
    stature = min(max(stature_m or REFERENCE_STATURE_M, DRAWN_STATURE_M[0]), DRAWN_STATURE_M[1])
    bmi = REFERENCE_MASS_KG / REFERENCE_STATURE_M**2 if mass_kg is None else mass_kg / stature**2
    return Body(stature_m=stature, mass_kg=min(max(bmi, DRAWN_BMI[0]), DRAWN_BMI[1]) * stature**2)


@dataclass(frozen=True)
class Body:
    """One body. All properties are in metres unless they are ratios."""

    stature_m: float = REFERENCE_STATURE_M
    mass_kg: float = REFERENCE_MASS_KG

    def of(self, measure: str) -> float:
        """A length of the table for this stature."""
        return length_fractions()[measure] * self.stature_m

    @property
    def scale(self) -> float:
        """Size relative to the 1.70 m figure."""
        return self.stature_m / REFERENCE_STATURE_M

    @cached_property
    def girth(self) -> float:
        """Width factor: body volume at equal stature goes with body mass index, so a radius goes with its root."""
        bmi = self.mass_kg / self.stature_m**2
        return sqrt(min(max(bmi, DRAWN_BMI[0]), DRAWN_BMI[1]) / REFERENCE_BMI)

    @cached_property
    def trunk(self) -> float:
        """Hip joint centre to shoulder joint centre."""
        return self.of("shoulder_joint_centre_above_hip_centre")

    @cached_property
    def hip_half(self) -> float:
        """Half the distance between the hip joints."""
        return self.of("hip_joint_centre_half_spacing") + 0.012 * (self.girth - 1) * self.scale

    @cached_property
    def shoulder_half(self) -> float:
        """Half the distance between the shoulder joints."""
        return self.of("shoulder_joint_centre_half_spacing") + 0.03 * (self.girth - 1) * self.scale

    @cached_property
    def upper_arm(self) -> float:
        """Shoulder to elbow."""
        return self.of("upper_arm_length")

    @cached_property
    def forearm(self) -> float:
        """Elbow to wrist."""
        return self.of("forearm_length")

    @cached_property
    def grip(self) -> float:
        """Wrist to the centre of the fist."""
        return self.of("fist_centre_from_wrist")

    @cached_property
    def thigh(self) -> float:
        """Hip to knee."""
        return self.of("thigh_length")

    @cached_property
    def shank(self) -> float:
        """Knee to ankle."""
        return self.of("shank_length")

    @cached_property
    def ankle_height(self) -> float:
        """Ankle axis above the sole."""
        return self.of("ankle_height_foot_height")

    @cached_property
    def heel(self) -> float:
        """Heel behind the ankle axis."""
        return self.of("heel_behind_ankle_axis")

    @cached_property
    def ball(self) -> float:
        """Ball of the foot ahead of the ankle axis."""
        return self.of("ball_of_foot_ahead_of_ankle_axis")

    @cached_property
    def toe(self) -> float:
        """Toe tip ahead of the ankle axis."""
        return self.of("toe_tip_ahead_of_ankle_axis")

    @cached_property
    def thigh_radius(self) -> float:
        """Thickness of the thigh at the hip, as drawn."""
        return float(0.086 * self.scale * self.girth**0.8)

    @cached_property
    def trunk_radius(self) -> float:
        """Half depth of the trunk, as drawn."""
        return 0.098 * self.scale * self.girth

    @cached_property
    def belly(self) -> float:
        """How far the front of the waist reaches beyond the trunk radius."""
        return 0.15 * max(0.0, self.girth - 1.04) * self.scale
