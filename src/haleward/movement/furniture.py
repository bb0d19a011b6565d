"""Sizes of furniture that hands and feet meet, in metres: an ordinary chair, worktop, rail and step."""

from __future__ import annotations

SEAT_TOP_M = 0.44
CHAIR_BACK_TOP_M = 0.90
ARMREST_ABOVE_SEAT_M = 0.22
WORKTOP_TOP_M = 0.90
RAIL_TOP_M = 1.05
SUPPORT_OF_STATURE = 0.50  # a tall person is offered a higher worktop or chair (from 1.80 m) and rail
RAIL_OF_STATURE = (0.58, 0.618)  # a short person is offered a lower rail, up to 1.70 m
BACKREST_BEHIND_SEAT_M = 0.235  # front of the backrest, from the middle of the seat
BACK_GAP_M = 0.02
SEAT_OUTSIDE_M = 0.235
WHEEL_OUTSIDE_M = 0.30
WHEEL_TOP_M = 0.62
TREADMILL_RAIL_TOP_M = 0.95
HIGH_ANCHOR_M = 2.02
LOW_ANCHOR_M = 0.12
STEP_OF_STATURE = 0.088  # 15 cm at 1.70 m
SEATED_HIP_OF_STATURE = 0.285  # hip centre on a seat that fits, the convention of the pose tables
STANDING_HIP_OF_STATURE = 0.529
SITS_ON = ("chair", "armchair")
