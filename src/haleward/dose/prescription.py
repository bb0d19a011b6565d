"""Everything computed for one person on one day under one protocol version."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from haleward.capacity.model import Capacity
from haleward.capacity.walk import estimate_capacity
from haleward.dose.intensity import set_intensity
from haleward.dose.model import Prescription
from haleward.movement.library import Library
from haleward.record import DayCheck, Record
from haleward.safety.facts import facts_of
from haleward.safety.gate import entry_gate, session_gate
from haleward.safety.inputs import default_inputs
from haleward.safety.model import RiskLevel
from haleward.safety.placement import place
from haleward.safety.protocol import Protocol
from haleward.safety.risk import risk_level
from haleward.worksheet import Figure, Input


def prescribe(
    record: Record,
    *,
    protocol: Protocol,
    library: Library,  # noqa: ARG001 - part of the contract: a prescription belongs to one library
    today: date,
    day_check: DayCheck | None = None,
) -> Prescription:
    """Capacity, risk level, gate, intensity and placement, in that order; what cannot be computed says why.

    The capacity found here counts as the measured capacity of the risk level, unless one was entered. With a day check
    the gate asks the session rules too; without one the entry rules, and the session's rules on a reading of today.
    """
    policy = protocol.policies.intensity
    capacity = estimate_capacity(
        record, six_minute_method=policy.capacity_method, shuttle_method=policy.shuttle_method, today=today
    )
    facts, estimated = facts_of(record, today=today, day_check=day_check), None
    if isinstance(capacity, Capacity) and record.walk is not None and "fc_mets" not in facts:
        facts = {**facts, "fc_mets": capacity.energy_met.value, "fc_mets_basis": record.walk.kind}
        estimated = capacity.energy_met
    risk = risk_level(facts, protocol)
    return Prescription(
        person_id=record.person_id,
        made_on=today,
        protocol_id=protocol.id,
        protocol_version=protocol.version,
        capacity=capacity,
        risk=_with_error(risk, estimated) if estimated else risk,
        gate=entry_gate(facts, protocol) if day_check is None else session_gate(facts, protocol),
        intensity=set_intensity(record, facts, protocol=protocol, today=today),
        placement=place(record, facts, protocol),
    )


def _with_error(risk: RiskLevel, energy_met: Figure) -> RiskLevel:
    """The risk level whose working shows the estimated capacity with its likely range; the level itself stays."""
    label = default_inputs()["fc_mets"].label

    def told(one: Input) -> Input:
        return replace(one, low=energy_met.low, high=energy_met.high) if one.name == label else one

    steps = tuple(replace(step, inputs=tuple(map(told, step.inputs))) for step in risk.worksheet.steps)
    return replace(risk, worksheet=replace(risk.worksheet, steps=steps))
