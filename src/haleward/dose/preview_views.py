"""What one protocol says of one person, thing by thing, in the short form that is compared."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import TypeVar

from haleward.capacity.model import Capacity
from haleward.capacity.walk import estimate_capacity
from haleward.dose.intensity import shown_range
from haleward.dose.loads import load_text
from haleward.dose.model import Exercise, Intensity, Prescription, Programme, Walking
from haleward.dose.prescription import prescribe
from haleward.dose.preview_model import (
    DoseView,
    EffortView,
    Failed,
    GateView,
    PlacementView,
    RangeView,
    RiskView,
    Subject,
    View,
    What,
)
from haleward.dose.programme import draft_programme
from haleward.dose.words import listed
from haleward.errors import HalewardError, NotApplicable
from haleward.movement.library import Library
from haleward.physiology.tables import texts
from haleward.record import DayCheck, Record
from haleward.safety.facts import facts_of
from haleward.safety.gate import session_gate
from haleward.safety.model import Gate, Placement, RiskLevel
from haleward.safety.policy import IntensityPolicy
from haleward.safety.protocol import Protocol
from haleward.safety.words import words

T = TypeVar("T")
Facts = dict[str, bool | float | str]
FIRST_VERSION = 1


def views_one_by_one(subject: Subject, *, protocol: Protocol, library: Library, today: date) -> dict[What, View]:
    """Everything a preview compares, computed for one person as for a prescription: the measure of every shortcut."""
    record = subject.record
    made = or_failed(lambda: prescribe(record, protocol=protocol, library=library, today=today))
    views: dict[What, View] = {"effort": effort_view(protocol.policies.intensity)}
    if isinstance(made, Failed):
        views |= {"entry_gate": made, "risk": made, "range": made, "placement": made, "dose": made}
    else:
        views["entry_gate"] = gate_view(made.gate)
        views["risk"] = risk_view(made.risk)
        views["range"] = range_view(made.intensity)
        views["placement"] = placement_view(made.placement)
        views["dose"] = drafted(record, made, protocol=protocol, library=library, today=today)
    if subject.day_check is not None:
        views["session_gate"] = or_failed(lambda: gate_view(_session_gate(subject, protocol)))
    return views


def or_failed(compute: Callable[[], T]) -> T | Failed:
    """What ``compute`` gives, or why it could not."""
    try:
        return compute()
    except HalewardError as error:
        return Failed(str(error))


def full_facts(record: Record, protocol: Protocol, *, today: date, day_check: DayCheck | None = None) -> Facts:
    """The facts of a prescription: those of the record, with the capacity of its walk unless one was entered."""
    return with_capacity(facts_of(record, today=today, day_check=day_check), record, protocol, today)


def with_capacity(facts: Facts, record: Record, protocol: Protocol, today: date) -> Facts:
    """``facts`` with the capacity of the record's walk, by the protocol's method, unless one was entered."""
    if record.walk is None or "fc_mets" in facts:
        return facts
    policy = protocol.policies.intensity
    capacity = estimate_capacity(
        record, six_minute_method=policy.capacity_method, shuttle_method=policy.shuttle_method, today=today
    )
    if not isinstance(capacity, Capacity):
        return facts
    return {**facts, "fc_mets": capacity.energy_met.value, "fc_mets_basis": record.walk.kind}


def _session_gate(subject: Subject, protocol: Protocol) -> Gate:
    check = subject.day_check
    if check is None:
        raise NotApplicable("The session's gate", "there is no check of a day.")
    facts = full_facts(subject.record, protocol, today=check.asked_at.date(), day_check=check)
    return session_gate(facts, protocol, place=subject.place, strength=subject.strength)


def gate_view(gate: Gate) -> GateView:
    """The gate without its texts; ids and names in alphabetical order."""
    fired = tuple(sorted(one.rule_id for one in gate.fired))
    return GateView(gate.outcome, gate.urgency, fired, tuple(sorted(gate.missing)))


def risk_view(risk: RiskLevel) -> RiskView:
    """The level and its items."""
    return RiskView(risk.level, tuple(sorted(item.rule_id for item in risk.items)))


def range_view(intensity: Intensity) -> RangeView:
    """The range in whole beats, or why there is none."""
    low_bpm, high_bpm = shown_range(intensity) or (None, None)
    return RangeView(low_bpm, high_bpm, intensity.not_usable_reason, intensity.conflict)


def effort_view(policy: IntensityPolicy) -> EffortView:
    """The effort range, which is the same for everybody."""
    return EffortView(policy.effort_low, policy.effort_high, policy.effort_scale)


def placement_view(placement: Placement) -> PlacementView:
    """The postures and the rules behind them."""
    return PlacementView(
        placement.posture,
        placement.narrow_base_posture,
        placement.balance_emphasis,
        tuple(sorted(placement.fired_rule_ids)),
    )


def dose_view(record: Record, *, protocol: Protocol, library: Library, today: date) -> DoseView | Failed:
    """The first programme that the protocol drafts for this person, whatever the gate says today.

    The gates' rules are left out while the prescription is made: a draft rests on capacity and placement alone.
    """
    bare = replace(protocol, rules=())
    made = or_failed(lambda: prescribe(record, protocol=bare, library=library, today=today))
    return made if isinstance(made, Failed) else drafted(record, made, protocol=protocol, library=library, today=today)


def drafted(
    record: Record, made: Prescription, *, protocol: Protocol, library: Library, today: date
) -> DoseView | Failed:
    """The lines of the programme drafted from a prescription."""
    programme = or_failed(
        lambda: draft_programme(record, made, protocol=protocol, library=library, today=today, version=FIRST_VERSION)
    )
    if isinstance(programme, Failed):
        return programme
    lines = [(part.key, _exercise_line(one, library)) for part in programme.parts for one in part.exercises]
    lines.append(("walk", _walk_line(programme.walking, library)))
    return DoseView((*lines, *_gentle_lines(programme, protocol)))


def _gentle_lines(programme: Programme, protocol: Protocol) -> list[tuple[str, str]]:
    """What the whole programme has of its own, where it is not as for everybody."""
    if not programme.warm_up_more_minutes and programme.effort_high == protocol.policies.dose.effort_high:
        return []
    line = texts("preview_wording")["whole_line"].format(
        low=f"{programme.effort_low:g}", high=f"{programme.effort_high:g}", minutes=programme.warm_up_more_minutes
    )
    return [("whole", line)]


def _exercise_line(one: Exercise, library: Library) -> str:
    dose = one.dose
    key = "dose_hold" if dose.hold_s else "dose_line"
    return texts("preview_wording")[key].format(
        movement=library.movements[one.movement_id].name,
        posture=words(f"posture_{one.posture}"),
        sets=dose.sets,
        repetitions=dose.repetitions,
        hold=f"{dose.hold_s:g}",
        load=load_text(dose.load),
        rest=dose.rest_s,
    )


def _walk_line(walking: Walking, library: Library) -> str:
    wording = texts("preview_wording")
    pace = "" if walking.pace_km_per_h is None else wording["walk_pace"].format(pace=f"{walking.pace_km_per_h:.1f}")
    return wording["walk_line"].format(
        movement=library.movements[walking.movement_id].name,
        bouts=walking.bouts,
        minutes=walking.bout_minutes,
        days=listed(tuple(day.capitalize() for day in walking.days)),
        pace=pace,
    )
