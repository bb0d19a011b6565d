"""How far joints go: the limits of ``data/tables/joint_limits.csv``, for key poses and for solved limbs."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from haleward.physiology.tables import rows

SLACK_DEG = 1.0  # rounding of angles that were written from a solved limb


@dataclass(frozen=True)
class Limit:
    """A joint's range in degrees, with the play that a limb solved onto its support may use."""

    lowest_deg: float
    highest_deg: float

    def holds(self, angle_deg: float) -> bool:
        """Whether the joint goes there."""
        return self.lowest_deg - SLACK_DEG <= angle_deg <= self.highest_deg + SLACK_DEG

    def __str__(self) -> str:
        return f"from {self.lowest_deg:g} to {self.highest_deg:g} degrees"


@cache
def joint_limits() -> dict[str, Limit]:
    """The limit of every joint, by its name without the side."""
    return {row["joint"]: Limit(float(row["lowest_deg"]), float(row["highest_deg"])) for row in rows("joint_limits")}


def joint_of(angle_name: str) -> str:
    """The joint of an angle's name: ``knee_flexion_left`` is of ``knee_flexion``."""
    return angle_name.removesuffix("_left").removesuffix("_right")


def plain(name: str) -> str:
    """A name as a sentence says it: ``knee_flexion_left`` is "left knee flexion"."""
    for side in ("left", "right"):
        if name.endswith(f"_{side}"):
            return f"{side} {name.removesuffix(f'_{side}').replace('_', ' ')}"
    return name.replace("_", " ")
