"""Three invented people as records, and one day."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from haleward.record import (
    BloodPressure,
    Device,
    Event,
    FunctionTests,
    HeartRate,
    Kit,
    Medicine,
    Record,
    WalkTest,
)

TODAY = date(2026, 3, 2)  # a Monday
HOME = Kit(
    hand_weight_pairs_kg=(),
    bottle_pairs_kg=(0.5, 1.0),
    ankle_weight_pairs_kg=(),
    bands=(),
    firm_chair=True,
    armchair=True,
    worktop=True,
    clear_wall=True,
    door_anchor=False,
    step_height_m=0.0,
)
STEADY = FunctionTests(
    tested_on=TODAY,
    rises_without_arms=True,
    chair_stands_30s=14,
    side_by_side_s=10,
    semi_tandem_s=10,
    tandem_s=10,
    gait_speed_m_per_s=1.1,
    up_and_go_s=9,
    sppb_points=12,
)
ANSWERS: dict[str, bool | float | str] = {
    "falls_12m": 0,
    "chf_present": False,
    "sternotomy": False,
    "frailty_high": False,
}

WELL = Record(
    person_id="P-1",
    first_name="Ada",
    assessed_on=TODAY,
    born_on=date(1966, 1, 15),
    sex="female",
    stature_m=1.65,
    mass_kg=70,
    events=(Event("pci", date(2025, 12, 1), sternotomy=False),),
    medicines=(),
    rhythm="sinus",
    device=Device("none"),
    resting_heart_rate=HeartRate(60, TODAY, "counted 60 s, seated 5 min"),
    blood_pressure=BloodPressure(128, 76, TODAY),
    kit=HOME,
    tests=STEADY,
    walk=WalkTest("six_minute_walk", 520, TODAY, course_m=30, practice_done=True, symptoms=False),
    new_to_exercise=False,
    exercise_days=("monday", "wednesday", "friday"),
    answers=ANSWERS,
)
BISOPROLOL = Medicine("beta_blocker", "bisoprolol", "5 mg", date(2025, 12, 1))
ON_BETA_BLOCKER = replace(WELL, medicines=(BISOPROLOL,))
IRREGULAR = replace(
    WELL,
    person_id="P-2",
    first_name="Bert",
    born_on=date(1951, 8, 9),
    sex="male",
    medicines=(BISOPROLOL,),
    rhythm="atrial_fibrillation",
    tests=replace(
        STEADY,
        chair_stands_30s=6,
        tandem_s=0,
        semi_tandem_s=6,
        gait_speed_m_per_s=0.6,
        up_and_go_s=18,
        sppb_points=5,
    ),
    walk=WalkTest("six_minute_walk", 300, TODAY, course_m=30, practice_done=True, symptoms=False),
    new_to_exercise=True,
    answers={**ANSWERS, "falls_12m": 1},
)
WITH_DEVICE = replace(
    WELL,
    person_id="P-3",
    first_name="Cara",
    device=Device("icd", lowest_detection_bpm=150, implanted_on=date(2024, 5, 1), read_on=date(2026, 2, 1)),
)
