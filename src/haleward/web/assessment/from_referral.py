"""The first assessment opens with what an imported referral proposes, for staff to check item by item."""

from __future__ import annotations

from datetime import date
from typing import Any

from haleward.exchange.proposal import ReferralProposal
from haleward.plain import from_plain
from haleward.record import BloodPressure, Event, HeartRate, Medicine, Record, WalkTest
from haleward.web.assessment.mapping import identity
from haleward.web.people.models import Person, Referral


def proposal_of(person: Person) -> ReferralProposal | None:
    """What the person's confirmed imported referral says; typed referrals propose no values."""
    rows = person.referrals.filter(state=Referral.State.CONFIRMED)
    row = next((row for row in rows if "bundle_type" in row.proposal), None)
    return from_plain(ReferralProposal, row.proposal) if row else None


def record_from_referral(person: Person, today: date) -> Record | None:
    """The proposal as first values. Whatever is not certain (kind, class, day) stays open for staff."""
    proposal = proposal_of(person)
    if proposal is None:
        return None
    readings = {name: proposal.reading(name) for name in ("stature_m", "mass_kg", "lvef_pct")}
    values = {name: reading.value if reading else None for name, reading in readings.items()}
    return Record(
        **identity(person),
        assessed_on=today,
        stature_m=values["stature_m"],
        mass_kg=values["mass_kg"],
        events=tuple(Event(event.kind, event.on) for event in proposal.events if event.kind),
        medicines=tuple(Medicine(m.drug_class, m.name, m.dose, m.since) for m in proposal.medicines if m.drug_class)
        or None,
        resting_heart_rate=_heart_rate(proposal),
        blood_pressure=_blood_pressure(proposal),
        walk=_walk(proposal),
        answers={"lvef_pct": values["lvef_pct"]} if values["lvef_pct"] is not None else {},
    )


def rows_to_sort(person: Person) -> dict[str, list[dict[str, Any]]]:
    """Proposed events without a kind and medicines without a class: rows that staff complete before they save."""
    proposal = proposal_of(person)
    if proposal is None:
        return {}
    medicines = [m for m in proposal.medicines if not m.drug_class]
    return {
        "event": [{"on": event.on} for event in proposal.events if not event.kind],
        "medicine": [{"name": m.name or m.text, "dose": m.dose, "since": m.since} for m in medicines],
    }


def _heart_rate(proposal: ReferralProposal) -> HeartRate | None:
    reading = proposal.reading("resting_bpm")
    return HeartRate(reading.value, reading.taken_on, "from the referral") if reading and reading.taken_on else None


def _blood_pressure(proposal: ReferralProposal) -> BloodPressure | None:
    upper, lower = proposal.reading("systolic_mmhg"), proposal.reading("diastolic_mmhg")
    if upper is None or lower is None or upper.taken_on is None or upper.taken_on != lower.taken_on:
        return None
    return BloodPressure(upper.value, lower.value, upper.taken_on, "from the referral")


def _walk(proposal: ReferralProposal) -> WalkTest | None:
    reading = proposal.reading("six_minute_walk_m")
    return WalkTest("six_minute_walk", reading.value, reading.taken_on) if reading and reading.taken_on else None
