"""One person as the domain sees them: plain frozen values, with ``None`` for "not recorded".

Blank is never a default. The web application maps its models to a :class:`Record` and back in one place
(``haleward.web.assessment.mapping``); a person's file maps to the same class (``haleward.exchange.person_file``).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Literal

Sex = Literal["female", "male"]
Posture = Literal["seated", "hand_supported", "standing"]
POSTURES: tuple[Posture, ...] = ("seated", "hand_supported", "standing")
Side = Literal["left", "right"]
Room = Literal["seat", "arms_out", "few_steps"]
ROOMS: tuple[Room, ...] = ("seat", "arms_out", "few_steps")  # smallest first

# Codes as in data/tables/inputs.csv (event_type).
EventType = Literal[
    "mi",
    "pci",
    "cabg",
    "valve",
    "tavi",
    "device",
    "hf",
    "transplant",
    "lvad",
    "scad",
    "aortic_dissection",
    "aortic_repair",
    "evar",
    "angina",
    "other",
]
DrugClass = Literal[
    "beta_blocker",
    "ivabradine",
    "rate_limiting_ccb",
    "dihydropyridine_ccb",
    "nitrate",
    "ace_arb_arni",
    "diuretic",
    "mra",
    "digoxin",
    "amiodarone",
    "antiplatelet",
    "anticoagulant",
    "statin",
    "sglt2",
    "insulin",
    "sulfonylurea",
    "metformin_glp1",
    "antidepressant",
    "bronchodilator",
    "alpha_blocker",
    "other",
]
Rhythm = Literal["sinus", "atrial_fibrillation", "paced", "other"]
DeviceKind = Literal["none", "pacemaker", "icd", "crt_p", "crt_d", "loop_recorder", "lvad"]


@dataclass(frozen=True)
class Event:
    """A heart event or operation. ``on`` may be unknown; then everything timed from it is unknown too."""

    kind: EventType
    on: date | None
    sternotomy: bool | None = None
    complicated: bool | None = None


@dataclass(frozen=True)
class Medicine:
    """A medicine as taken now. ``since`` starts its epoch: a later heart-rate reading belongs to it."""

    drug_class: DrugClass
    name: str
    dose: str = ""
    since: date | None = None


@dataclass(frozen=True)
class FormerMedicine:
    """A medicine that is no longer taken as it was: it ended, at the latest, on the day of the assessment that said so.

    A heart-rate reading from before that day belongs to its epoch.
    """

    drug_class: DrugClass
    name: str
    dose: str
    ended_by: date


@dataclass(frozen=True)
class Device:
    """An implanted heart device and its rates, with the day they were read."""

    kind: DeviceKind
    lowest_detection_bpm: float | None = None
    lower_rate_bpm: float | None = None
    upper_rate_bpm: float | None = None
    implanted_on: date | None = None
    read_on: date | None = None
    implant_side: Side | None = None


@dataclass(frozen=True)
class HeartRate:
    """A resting heart rate and how it was taken."""

    bpm: float
    taken_on: date
    how: str = ""  # e.g. "counted 60 s, seated 5 min"


@dataclass(frozen=True)
class BloodPressure:
    """Seated blood pressure and how it was taken."""

    systolic_mmhg: float
    diastolic_mmhg: float
    taken_on: date
    how: str = ""


RestrictionKind = Literal[
    "sternum",
    "shoulder",
    "hip_replacement",
    "device_arm",
    "balance",
    "no_overhead",
    "no_grip",
    "no_step",
    "arm",
    "movement",
    "other",
]


@dataclass(frozen=True)
class Restriction:
    """A limit set by a named author. It never ends by itself: ``review_on`` asks, ``released_on`` ends it.

    ``kind`` names the caution column of the library that applies; ``movement_ids`` names movements for
    ``kind="movement"``; ``kind="arm"`` is an arm at rest, as in a sling, and ``side`` says which; ``shown`` is the
    author's own wording, printed wherever the restriction bites.
    """

    kind: RestrictionKind
    shown: str
    author: str
    start_on: date
    review_on: date
    side: Side | None = None
    movement_ids: tuple[str, ...] = ()
    released_on: date | None = None
    load_limit_kg: float | None = None
    released_by: str = ""
    release_reason: str = ""


@dataclass(frozen=True)
class Band:
    """A measured band: stiffness GA in newtons (reference: resistance, section d) and its whole rest length.

    ``readings`` are the scale readings behind the stiffness, each the stretch and the kilograms shown, and ``misfit``
    is how far the worst of them lies from the fit, as a share. ``latex_ok`` says that rubber is safe for this person's
    skin, ``can_grip`` that the person can hold the ends; ``None`` is not asked.
    """

    name: str
    stiffness_n: float
    rest_length_m: float
    measured_on: date | None = None
    latex: bool | None = None
    readings: tuple[tuple[float, float], ...] = ()
    misfit: float | None = None
    latex_ok: bool | None = None
    can_grip: bool | None = None


@dataclass(frozen=True)
class Kit:
    """What the person has at home. ``None`` means not asked; an empty tuple or False means asked and none.

    Masses are of one item; ``hand_weight_pairs_kg`` are pairs, ``bottle_pairs_kg`` the filled mass of each of two.
    """

    hand_weight_pairs_kg: tuple[float, ...] | None = None
    bottle_pairs_kg: tuple[float, ...] | None = None
    ankle_weight_pairs_kg: tuple[float, ...] | None = None
    bands: tuple[Band, ...] | None = None
    firm_chair: bool | None = None
    armchair: bool | None = None
    worktop: bool | None = None
    clear_wall: bool | None = None
    door_anchor: bool | None = None
    step_height_m: float | None = None  # 0 means asked and none
    space: str = ""
    room: Room | None = None  # how much free room there is to exercise in


@dataclass(frozen=True)
class FunctionTests:
    """Posture and function tests; ``None`` means not tested."""

    tested_on: date | None = None
    rises_without_arms: bool | None = None
    chair_stands_30s: int | None = None
    side_by_side_s: float | None = None
    semi_tandem_s: float | None = None
    tandem_s: float | None = None
    gait_speed_m_per_s: float | None = None
    up_and_go_s: float | None = None
    sppb_points: int | None = None


@dataclass(frozen=True)
class WalkTest:
    """A field walk test as walked."""

    kind: Literal["six_minute_walk", "shuttle_walk"]
    distance_m: float
    tested_on: date
    course_m: float | None = None
    practice_done: bool | None = None
    peak_bpm: float | None = None
    peak_effort: float | None = None  # on the protocol's scale
    stopped_for: str = ""
    aid: str = ""
    symptoms: bool | None = None


@dataclass(frozen=True)
class Record:
    """Everything the team knows about one person on ``assessed_on``, as the domain needs it.

    ``answers`` holds every other safety input by its name in data/tables/inputs.csv (for example
    ``{"chf_present": False, "lvef_pct": 55}``). A name that is missing is unknown.
    """

    person_id: str
    first_name: str
    assessed_on: date
    last_name: str = ""
    born_on: date | None = None
    sex: Sex | None = None
    stature_m: float | None = None
    mass_kg: float | None = None
    look: str = ""  # key of the drawn figure's look; "" lets the renderer choose one
    goal: str = ""
    events: tuple[Event, ...] = ()
    medicines: tuple[Medicine, ...] | None = None  # None: not asked; (): asked and none
    rhythm: Rhythm | None = None
    device: Device | None = None
    resting_heart_rate: HeartRate | None = None
    blood_pressure: BloodPressure | None = None
    peak_bpm_on_medicines: float | None = None  # measured in a maximal test on current medicines
    ischaemic_threshold_bpm: float | None = None
    clinician_ceiling_bpm: float | None = None
    clinician_ceiling_by: str = ""
    restrictions: tuple[Restriction, ...] = ()
    kit: Kit = field(default_factory=Kit)
    tests: FunctionTests = field(default_factory=FunctionTests)
    walk: WalkTest | None = None
    new_to_exercise: bool | None = None
    nitrate_prescribed: bool | None = None
    fluid_limited: bool | None = None
    exercise_days: tuple[str, ...] = ()  # lower-case weekday names the person can exercise on
    answers: dict[str, bool | float | str] = field(default_factory=dict)
    pain: str = ""  # where and with which movement; "" means not asked
    former_medicines: tuple[FormerMedicine, ...] = ()  # stopped, or taken until then in another dose
    peak_taken_on: date | None = None  # the day of the test that found peak_bpm_on_medicines

    def age_y(self, today: date) -> int | None:
        """Whole years on ``today``; a birthday on 29 February counts on 1 March in other years."""
        if self.born_on is None:
            return None
        had_birthday = (today.month, today.day) >= (self.born_on.month, self.born_on.day)
        return today.year - self.born_on.year - (0 if had_birthday else 1)

    def takes(self, drug_class: DrugClass) -> bool | None:
        """Whether the person takes a medicine of this class; ``None`` if medicines were not asked."""
        if self.medicines is None:
            return None
        return any(m.drug_class == drug_class for m in self.medicines)


@dataclass(frozen=True)
class DayCheck:
    """Answers given on the day, by safety input name; a question left blank is missing from ``answers``."""

    asked_at: datetime
    answers: dict[str, bool | float | str]
    entered_by: Literal["person", "carer", "staff"] = "person"
