"""What an invented person can truly do, and what they say of it: the measure the engine is held against.

The engine never sees any of this. Every figure is set from outside the engine, before it was run:

- Effort grows with the share of a person's ability that is moved, with an exponent of 1.4 for arms and 1.2 for legs
  (Buckley and Borg 2011: exponents 1.1 to 1.8, greater in arms; ratings of 3 to 6 of 10 at 40 to 70 % of a maximum).
  Ability is the mass moved at which the last of 2 x 10 repetitions is a 4 of 10, the protocol's limit for a raise.
- A repetition more costs 1 point of 10 in 3.5 repetitions at effort 4 (the same paper: 3 to 4); a third set 8 % more
  effort (common practice, no source).
- What is moved is the load and the limb: 2 kg at the hand and 3 kg at the ankle, of a body of 80 kg (segment masses of
  Winter), and three quarters of the body in rising, squatting, stepping, bending and rising on the toes.
- The median person does 2 x 10 with 1.5 kg in each hand or 2.2 kg at the ankle at effort 4, two in three of them
  between 0.5 and 2.9 kg by hand: under the arm curl test, where healthy women of 65 to 69 manage 12 to 18 curls with
  2.27 kg in half a minute at full effort (Rikli and Jones, from memory). Rising from a chair is a 3.3 for the median.
- Strength grows by 0 to 3 % a week, 1.5 % on average: 15 to 17 % in 8 weeks of resistance training in cardiac
  rehabilitation (61 people, abstract seen), 17 to 42 % in 12 weeks in older women (PMC8345571, abstract seen).
- Three in four rate honestly, half a point of scatter in each set; one in four says a point too little on average,
  with a scatter of 1.5, and leaves one in ten blank (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date
from random import Random

from haleward.dose.loads import as_mass_kg
from haleward.dose.log import SessionLog
from haleward.dose.model import Exercise, Load, Walking
from haleward.dose.options import Options
from haleward.movement.library import default_library
from haleward.record import Record

LIBRARY = default_library()
RIGHT_EFFORT = 4.0  # of 10, after 2 sets of 10
HARD_EFFORT = 6.0  # truly harder than this is too hard
BODY_KG = 80.0  # when the record has no mass
WHOLE_BODY = ("stand_up", "calf", "balance", "trunk")  # regions where more than a limb is moved, unless seated
BODY_SHARE = 0.75
HAND_KG, ANKLE_KG = 2.0, 3.0  # what the limb adds
HAND_ABLE_KG, ANKLE_ABLE_KG = 3.0, 4.5  # ability at strength 1
EXPONENT_ARMS, EXPONENT_LEGS = 1.4, 1.2
REPETITION_COST = 1 / 3.5 / RIGHT_EFFORT
SET_COST = 0.08


@dataclass
class Person:
    """One invented person: the record, the truth, and how they behave."""

    record: Record
    random: Random
    honest: bool
    adherence: float
    strength: float
    stamina: float  # minutes of walking that feel like effort 3
    growth: float  # of strength and stamina, a week
    away: range  # days of the course
    logs: list[SessionLog] = field(default_factory=list)
    settled: dict[str, date] = field(default_factory=dict)


def true_effort(person: Person, exercise: Exercise) -> float:
    """What the last set of this dose really costs on the scale from 0 to 10."""
    dose = exercise.dose
    moved_kg, able_kg, exponent = _work(person, exercise)
    amount = 1 + REPETITION_COST * (dose.repetitions - 10) if dose.hold_s == 0 else 1 + 0.02 * (dose.hold_s - 10)
    return RIGHT_EFFORT * (moved_kg / able_kg) ** exponent * amount * (1 + SET_COST * (dose.sets - 2))


def _work(person: Person, exercise: Exercise) -> tuple[float, float, float]:
    """The mass moved, the mass the person is able to move at the right effort, and how steeply effort grows."""
    movement = LIBRARY.movement(exercise.movement_id)
    own = Random(f"{person.record.person_id}/{movement.id}").uniform(0.8, 1.25) * person.strength
    added_kg = as_mass_kg(exercise.dose.load)
    if movement.upper:
        return added_kg + HAND_KG, own * HAND_ABLE_KG, EXPONENT_ARMS
    if exercise.posture != "seated" and (movement.region in WHOLE_BODY or movement.id == "hip_hinge_lift"):
        body_kg = BODY_SHARE * (person.record.mass_kg or BODY_KG)
        return 2 * added_kg + body_kg, own * body_kg, EXPONENT_LEGS  # a pair, one in each hand
    return added_kg + ANKLE_KG, own * ANKLE_ABLE_KG, EXPONENT_LEGS


def walking_effort(person: Person, walking: Walking) -> float:
    """What a walk really costs."""
    return 3 * (walking.bouts * walking.bout_minutes / person.stamina) ** 0.5


def reported(truth: float, random: Random, *, honest: bool) -> float | None:
    """What a person says of it: near the truth, or by a poor rater too little, scattered and at times nothing."""
    if random.random() < (0.01 if honest else 0.1):
        return None
    said = random.gauss(truth, 0.5) if honest else random.gauss(truth - 1, 1.5)
    return float(min(10, max(0, round(said))))


def ladder_of(exercise: Exercise, options: Options) -> list[Load]:
    """The loads of this exercise's kit that the person may use in its posture, lightest first."""
    option = options.find(exercise.movement_id)
    loads = [] if option is None else [c.load for c in option.choices if c.posture == exercise.posture]
    kit = exercise.dose.load.kit
    fitting = (x for x in loads if x.kit in (kit, "own_weight") or kit == "own_weight")
    return sorted({round(as_mass_kg(load), 3): load for load in fitting}.values(), key=as_mass_kg)


def nearest(ladder: list[Load], mass_kg: float) -> int:
    """The rung nearest to a mass."""
    return min(range(len(ladder)), key=lambda place: abs(as_mass_kg(ladder[place]) - mass_kg))


def true_rung(person: Person, exercise: Exercise, ladder: list[Load]) -> int:
    """The heaviest rung at which this many sets and repetitions are truly no harder than the effort for a raise."""
    fits = [
        place for place, load in enumerate(ladder) if true_effort(person, with_load(exercise, load)) <= RIGHT_EFFORT
    ]
    return max(fits, default=0)


def with_load(exercise: Exercise, load: Load) -> Exercise:
    """The same sets and repetitions with another load."""
    return replace(exercise, dose=replace(exercise.dose, load=load))


def at_start(exercise: Exercise) -> Exercise:
    """What the programme that is the same for all does with a movement, but for its load: 2 x 10 for ten weeks."""
    dose = exercise.dose
    hold_s = min(dose.hold_s, 10.0)
    return replace(exercise, dose=replace(dose, sets=2, repetitions=min(dose.repetitions, 10), hold_s=hold_s))
