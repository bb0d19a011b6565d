"""Which movements, postures and loads a person can use now, and why the others are left out."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property

from haleward.dose.cautions import Allowance, combined, goes_overhead, gripped, under_restriction
from haleward.dose.guards import Guard, NewLead, breastbone, device_arm, new_lead
from haleward.dose.loads import as_mass_kg, band_named, load_of
from haleward.dose.model import LeftOut, Load, Prescription
from haleward.dose.one_arm import one_arm_notes
from haleward.dose.refusals import Refusal, by_home, by_kit, by_posture, by_restriction, by_ruling, cited, most_useful
from haleward.dose.room import by_room, room_note
from haleward.dose.rules import Ruling, breastbone_guard, rulings
from haleward.dose.words import listed, title_of, words
from haleward.movement.ladder import Rung, rungs
from haleward.movement.library import Library
from haleward.movement.model import Form, Movement
from haleward.record import POSTURES, Posture, Record, Restriction, Side
from haleward.safety.facts import facts_of
from haleward.safety.model import Placement
from haleward.safety.protocol import Protocol

OWN = ("own_weight",)


@dataclass(frozen=True)
class Choice:
    """One usable rung: a posture with a load. ``rung`` is its place on the movement's whole ladder, 0 the easiest."""

    posture: Posture
    load: Load
    rung: int
    side: Side | None = None  # the one arm that may do it


@dataclass(frozen=True)
class Option:
    """A movement this person can use: every usable rung, easiest first, and the one to start with."""

    movement_id: str
    title: str
    region: str
    category: str
    upper: bool
    small_muscle: bool
    choices: tuple[Choice, ...]
    start: Choice
    notes: tuple[str, ...] = ()
    rule_ids: tuple[str, ...] = ()
    light_work: bool = False  # a stretch, or arm work that is made for kit, without any
    pattern: str = ""  # the library's word, e.g. "horizontal pull"
    purpose: str = ""  # what it is good for in daily life, as the library says it

    @property
    def postures(self) -> tuple[Posture, ...]:
        """The usable postures, easiest first, each once."""
        return tuple(dict.fromkeys(choice.posture for choice in self.choices))


@dataclass(frozen=True)
class Options:
    """What can be used and what cannot; a movement stands in one of the two, never in both."""

    eligible: tuple[Option, ...]
    left_out: tuple[LeftOut, ...]

    def find(self, movement_id: str) -> Option | None:
        """The option for a movement, or ``None`` when it is left out."""
        return next((option for option in self.eligible if option.movement_id == movement_id), None)

    def why_not(self, movement_id: str) -> LeftOut | None:
        """The reason a movement is left out, or ``None``."""
        return next((left for left in self.left_out if left.movement_id == movement_id), None)


@dataclass(frozen=True)
class _Person:
    """What decides which movements fit."""

    record: Record
    placement: Placement
    restrictions: tuple[Restriction, ...]
    facts: Mapping[str, bool | float | str]
    protocol: Protocol
    today: date
    judged: dict[tuple[bool, bool, float], tuple[Ruling, ...]] = field(default_factory=dict)  # asked once each

    @property
    def light_kg(self) -> float:
        """What the protocol calls light, per hand."""
        return self.protocol.policies.dose.light_load_most_kg

    @cached_property
    def breastbone(self) -> Ruling | None:
        """The rule that spares the breastbone now, or that cannot be judged."""
        return breastbone_guard(self.facts, protocol=self.protocol)

    @cached_property
    def lead(self) -> NewLead | None:
        """A heart device that is new, or may be."""
        return new_lead(self.record, self.facts, self.protocol)

    def rulings(self, movement: Movement, posture: Posture, mass_kg: float, *, held: bool) -> tuple[Ruling, ...]:
        """What the protocol's resistance rules say to this movement, posture and load, ``held`` in the hands or not."""
        overhead = goes_overhead(movement.postures[posture]) and self.device_possible
        upper = movement.upper or held
        asked = (upper, overhead, mass_kg)
        if asked not in self.judged:
            self.judged[asked] = rulings(
                self.facts, upper=upper, overhead=overhead, load_kg=mass_kg, protocol=self.protocol
            )
        return self.judged[asked]

    @property
    def device_possible(self) -> bool:
        """Whether there is a device, or nobody has said that there is none."""
        return self.record.device is None or self.record.device.kind != "none"


def options_for(
    record: Record,
    prescription: Prescription,
    *,
    protocol: Protocol,
    library: Library,
    only: Collection[str] | None = None,
) -> Options:
    """Every resistance, functional, balance and mobility movement of the library, as usable or as left out.

    ``only`` names the movements to look at, where no others are asked about.

    Aerobic movements are no part of a resistance part and stand in neither list. Entries of ``left_out`` without a
    movement are notes on the whole: a restriction that no rule can apply.
    """
    today = prescription.made_on
    facts = facts_of(record, today=today)
    person = _Person(record, prescription.placement, in_force(record, today), facts, protocol, today)
    asked = [m for m in library.movements.values() if m.region != "aerobic" and (only is None or m.id in only)]
    found = [_option(movement, person) for movement in asked]
    notes = [
        LeftOut("", "", words("note_restriction_other", cited=cited(r, today)), "restriction.other")
        for r in person.restrictions
        if r.kind == "other"
    ]
    eligible = tuple(option for option in found if isinstance(option, Option))
    left = tuple(one for one in found if isinstance(one, LeftOut))
    sides = {option.movement_id: side for option in eligible if (side := option.choices[0].side) is not None}
    notes += one_arm_notes(person.restrictions, left, dict(sides), library, today)
    return Options(eligible, (*notes, *_band_questions(record), *left))


def _band_questions(record: Record) -> list[LeftOut]:
    """What is to be asked before a band is used: nobody has said that rubber is safe, or that the ends can be held."""
    found = []
    for band in record.kit.bands or ():
        if band.latex is not False and band.latex_ok is None:
            found.append(LeftOut("", "", words("note_band_latex", band=band_named(band.name))))
        if band.can_grip is None:
            found.append(LeftOut("", "", words("note_band_grip", band=band_named(band.name))))
    return found


def in_force(record: Record, today: date) -> tuple[Restriction, ...]:
    """The restrictions that apply today. One past its review date still applies: only a release ends it."""
    return tuple(
        r for r in record.restrictions if r.start_on <= today and (r.released_on is None or r.released_on > today)
    )


def _option(movement: Movement, person: _Person) -> Option | LeftOut:
    record = person.record
    ladder = rungs(movement, kit=record.kit, postures=POSTURES, stature_m=record.stature_m, mass_kg=record.mass_kg)
    choices: list[Choice] = []
    refusals: list[Refusal] = []
    notes: dict[str, None] = {}
    for posture, form in movement.postures.items():
        guards = _guards(movement, form, person)
        left, against = _allowed(movement, posture, form, guards, person)
        if against:
            refusals += against
            continue
        usable = [(index, rung) for index, rung in enumerate(ladder) if rung.posture == posture]
        if not usable:
            refusals.append(by_kit(movement, form, record.kit))
        for index, rung in usable:
            against = _against_load(movement, rung, left, guards, person)
            refusals += against
            if not against:
                choices.append(Choice(posture, load_of(rung.load), index, left.side))
        asked = room_note(movement, posture, form, record.kit)
        told = (note for guard in guards for note in guard.notes)
        notes |= dict.fromkeys((*_restriction_notes(movement, form, person), *told, *([asked] if asked else [])))
    if not choices:
        reason, rule_id = most_useful(refusals)
        return LeftOut(movement.id, movement.region, reason, rule_id)
    return _usable(movement, choices, tuple(notes), person)


def _usable(movement: Movement, choices: list[Choice], notes: tuple[str, ...], person: _Person) -> Option:
    start = _start(movement, choices)
    heaviest_kg = max(as_mass_kg(choice.load) for choice in choices)
    held = any(gripped(movement.postures[choice.posture], choice.load.kit) for choice in choices)
    said = person.rulings(movement, start.posture, heaviest_kg, held=held)
    cautions = [ruling for ruling in said if ruling.state == "caution"]
    return Option(
        movement_id=movement.id,
        title=title_of(movement, start.posture),
        region=movement.region,
        category=movement.category,
        upper=movement.upper,
        small_muscle=movement.small_muscle,
        choices=tuple(choices),
        start=start,
        notes=(*notes, *(words("note_rule", rule_text=r.text, rule_id=r.rule_id) for r in cautions)),
        rule_ids=tuple(r.rule_id for r in cautions),
        light_work=_light_work(movement, start),
        pattern=movement.pattern,
        purpose=movement.purpose,
    )


def _guards(movement: Movement, form: Form, person: _Person) -> tuple[Guard, ...]:
    """What heals and is spared without a restriction."""
    found = (
        breastbone(movement, form, person.breastbone, light_load_most_kg=person.light_kg),
        device_arm(movement, form, person.lead, light_load_most_kg=person.light_kg),
    )
    return tuple(guard for guard in found if guard is not None)


def _allowed(
    movement: Movement, posture: Posture, form: Form, guards: tuple[Guard, ...], person: _Person
) -> tuple[Allowance, list[Refusal]]:
    """What the restrictions leave of this form, and every reason against it before any load is looked at."""
    placed = person.placement.narrow_base_posture if form.narrow_base else person.placement.posture
    if POSTURES.index(posture) > POSTURES.index(placed):
        return Allowance(allowed=False), [by_posture(movement, placed)]
    left = [(r, under_restriction(movement, form, r, light_load_most_kg=person.light_kg)) for r in person.restrictions]
    refusals = [
        by_restriction(movement, r, a.note, person.today)
        for r, a in left
        if not a.allowed or posture not in a.postures or not set(a.kits) & set(form.kits)
    ]
    together = combined(tuple(a for _, a in left))
    if not refusals and not together.allowed:  # each leaves one arm, and not the same
        refusals.append(Refusal("restriction", words("left_both_arms", movement_title=title_of(movement))))
    healing = [guard.refusal for guard in guards if not guard.left.allowed]
    if healing:  # a rule that says the same of this very movement comes first
        refusals += _against_rules(movement, posture, 0.0, person, held=False) or healing
    at_home = by_home(movement, form, person.record.kit)
    room = by_room(movement, posture, form, person.record.kit)
    refusals += [refusal for refusal in (at_home, room) if refusal is not None]
    return together, refusals


def _against_load(
    movement: Movement, rung: Rung, left: Allowance, guards: tuple[Guard, ...], person: _Person
) -> list[Refusal]:
    form, mass_kg = movement.postures[rung.posture], as_mass_kg(load_of(rung.load))
    if left.forbids(form, rung.load.kit, mass_kg):
        culprits = [r for r in person.restrictions if _limits(movement, rung, r, person)]
        cite = listed(tuple(cited(r, person.today) for r in culprits))
        text = words("left_load_restriction", movement_title=title_of(movement), cited=cite)
        return [Refusal("restriction", text, f"restriction.{culprits[0].kind}")]
    against = [guard.refusal for guard in guards if guard.left.forbids(form, rung.load.kit, mass_kg)]
    return against or _against_rules(movement, rung.posture, mass_kg, person, held=gripped(form, rung.load.kit))


def _against_rules(
    movement: Movement, posture: Posture, mass_kg: float, person: _Person, *, held: bool
) -> list[Refusal]:
    said = person.rulings(movement, posture, mass_kg, held=held)
    return [by_ruling(movement, ruling) for ruling in said if ruling.state != "caution"]


def _limits(movement: Movement, rung: Rung, restriction: Restriction, person: _Person) -> bool:
    form = movement.postures[rung.posture]
    left = under_restriction(movement, form, restriction, light_load_most_kg=person.light_kg)
    return left.forbids(form, rung.load.kit, as_mass_kg(load_of(rung.load)))


def _restriction_notes(movement: Movement, form: Form, person: _Person) -> list[str]:
    """What a restriction asks of a movement that stays: the library's note, beside the author's words."""
    found = []
    for restriction in person.restrictions:
        left = under_restriction(movement, form, restriction, light_load_most_kg=person.light_kg)
        if left.note:
            found.append(words("note_restriction", cited=cited(restriction, person.today), caution=left.note))
    return found


def _light_work(movement: Movement, start: Choice) -> bool:
    kits = movement.postures[start.posture].kits
    empty_handed = movement.upper and start.load.kit == "own_weight" and kits != OWN
    return movement.category == "mobility" or (movement.category == "resistance" and empty_handed)


def _start(movement: Movement, choices: list[Choice]) -> Choice:
    """Start in the hardest posture the person is placed for; arms with the lightest load, legs with own weight.

    A bottle filled in part is a step on the way up or down; a start is one only where no whole item is allowed.
    """
    hardest = max((choice.posture for choice in choices), key=POSTURES.index)
    there = [choice for choice in choices if choice.posture == hardest]
    loaded = [choice for choice in there if choice.load.kit != "own_weight"]
    loaded.sort(key=lambda choice: choice.load.fill_ml is not None)
    return loaded[0] if movement.upper and loaded else there[0]
