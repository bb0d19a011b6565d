"""The protocol's policies: the numbers behind intensity, dose, progression and placement, as the team signed them.

Every field is read from the protocol file: a protocol that lacks one does not load. A field that may be ``None`` is a
rule that a protocol need not have; ``None`` means "this rule is not in the protocol" and never stands for a number.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

NOT_USABLE_FACTS = ("autonomic_neuropathy",)  # those there are words for


@dataclass(frozen=True)
class IntensityPolicy:
    """How the aerobic range is set. Fractions are shares of heart-rate reserve, 0 to 1."""

    effort_scale: Literal["0-10", "6-20"]
    effort_low: float
    effort_high: float
    reserve_fraction_low: float
    reserve_fraction_high: float
    maximum_method: str  # registered formula used when no peak was measured and no rate-slowing medicine is taken
    beta_blocker_method: str  # the same under a beta-blocker
    beta_blocker_subtract_bpm: float
    prediction_not_with: tuple[str, ...]  # medicine classes under which no prediction holds
    epoch_medicines: tuple[str, ...]  # a change of these ends the heart-rate range until it is measured again
    not_usable_rhythms: tuple[str, ...]
    not_usable_events: tuple[str, ...]
    not_usable_devices: tuple[str, ...]
    detecting_devices: tuple[str, ...]  # devices that need their lowest detection rate before any range
    device_margin_bpm: float
    ischaemia_margin_bpm: float
    smallest_reserve_bpm: float
    reading_valid_days: int
    capacity_method: str  # registered formula that turns the walk into oxygen uptake
    shuttle_method: str
    source: str
    not_usable_facts: tuple[str, ...] | None = None  # answers of "yes" under which the heart rate is no guide


@dataclass(frozen=True)
class DosePolicy:
    """What a first programme contains."""

    new_movements_most: int
    movements_most: int
    sets: int
    repetitions: int
    repetitions_low: int
    repetitions_high: int
    hold_s: float
    hold_high_s: float
    rest_s: int
    effort_low: float
    effort_high: float
    rest_days_between_parts: int
    light_load_most_kg: float  # what "light_only" allows, per hand
    walking_days_most: int
    walking_minutes: int
    walking_minutes_low_capacity: int
    walking_bout_minutes_low_capacity: int
    low_capacity_met: float
    walking_fraction_of_peak: float
    required_regions: tuple[str, ...]  # most useful first
    walking_days_new: int  # walking days a week when new to exercise
    walking_rest_minutes: int  # between bouts
    functional_least: int  # functional movements in a programme (stand up, step, lift, carry, reach)
    upper_body_rules: tuple[str, ...]  # resistance rules that concern arm work under load only
    sets_most: int
    rest_low_s: int
    rest_high_s: int
    preferred_movements: tuple[str, ...]  # first choices, before others of the same region
    sternum_rule: str  # while it fires, movements the library holds until the breastbone is cleared stay out
    source: str
    week_moves_for: tuple[str, ...] | None = None  # of "ill", "away", "part_day": a session moves to another own day
    short_frame_minutes: int | None = None  # warm-up and cool-down on a day with little time
    short_movements_least: int | None = None  # a part with fewer that fit is not done on such a day
    short_bouts_rule: str | None = None  # while it fires, walking is done in short bouts
    frail_rule: str | None = None  # while it fires, a first programme is small, strength and balance come first
    frail_movements_most: int | None = None  # a part
    frail_regions: tuple[str, ...] | None = None  # most useful first; the first that can be covered make the programme
    frail_walking_minutes: int | None = None
    frail_walking_bout_minutes: int | None = None  # a bout grows by no more than this at a time
    frail_walking_rest_minutes: int | None = None
    frail_march: bool | None = None  # a march on the spot, seated or held, takes the place of the walk
    weak_heart_rule: str | None = None  # while it fires, a first programme starts low and warms up for longer
    weak_heart_warm_up_more_minutes: int | None = None  # beside the warm-up of everybody
    weak_heart_effort_high: float | None = None  # in a set
    weak_heart_repetitions_high: int | None = None  # so many light repetitions come before more sets or load


@dataclass(frozen=True)
class ProgressionPolicy:
    """When the next step is proposed, and when it is not."""

    sessions_needed: int
    effort_at_most: float
    repetition_step: int
    small_muscle_step_kg: float
    gap_repeat_days: int
    gap_step_back_days: int
    gap_reassess_days: int
    hard_sessions: int
    hard_of_sessions: int
    sore_days: int
    self_report_raises_load: bool
    hold_step_s: float
    source: str
    raise_order: tuple[str, ...] | None = None  # of "repetitions", "sets", "load", "posture"; None: repetitions, load
    sessions_at_dose: int | None = None  # of those needed, at the very dose; the rest at this load. None: all of them
    one_raise_in: tuple[str, ...] | None = None  # each "exercise", each "session", or (None) the whole "programme"
    repetitions_before_next: int | None = None  # from here sets, load or posture come next; None: the most of the dose
    repetitions_after_load: int | None = None  # where repetitions start again under a new load or in a new posture
    load_step_kg: float | None = None  # the next load of a large muscle is at most so much heavier; None: the next one
    load_step_most_kg: float | None = None  # a next load of large arm muscles that is more than so much heavier waits
    load_step_most_legs_kg: float | None = None  # the same for legs and trunk
    load_first_effort_at_most: float | None = None  # so easy that the load is found before repetitions are added
    finding_sessions: int | None = None  # sessions so easy before the next load, one watched; None: sessions_needed
    finding_step_kg: float | None = None  # the next load of a large muscle while it is being found; None: load_step_kg
    hard_by_repetition: int | None = None  # hard by this repetition: easier
    easy_at_repetition: int | None = None  # not yet hard at this repetition: a little more
    sessions_between_raises: int | None = None  # done on the new version before anything else is raised
    step_back_after: tuple[str, ...] | None = None  # of "illness", "medicine", "restriction"
    illness_topics: tuple[str, ...] | None = None  # topics of safety.csv that mean illness
    stagnant_weeks: int | None = None  # weeks without a raise that are shown
    mismatch_effort_light: float | None = None  # so light with a heart rate over its range: the two do not fit
    mismatch_effort_hard: float | None = None  # so hard with one below the middle of its range: nor do these
    walking_order: tuple[str, ...] | None = None  # of "minutes", "join", "days", "pace"; None: walking is not proposed
    walking_effort_at_most: float | None = None  # effort that allows a raise of walking
    walking_minutes_step: int | None = None  # a bout
    walking_minutes_most: int | None = None  # a session
    walking_join_minutes: int | None = None  # bouts of this length are joined
    walking_pace_step_km_per_h: float | None = None
    walking_fraction_most: float | None = None  # pace at most at this share of the estimated peak, 0 to 1
    back_date_days_most: int | None = None  # how many days back a session may be added by the person
    clock_off_minutes: int | None = None  # a device whose clock is further off than this is marked, both times kept


@dataclass(frozen=True)
class Policies:
    """All policies of one protocol."""

    intensity: IntensityPolicy
    dose: DosePolicy
    progression: ProgressionPolicy
