"""What a referral file proposes, item by item, as the page lists it."""

from __future__ import annotations

from dataclasses import dataclass

from haleward.exchange.proposal import ProposedEvent, ProposedMedicine, ProposedReading, ReferralProposal
from haleward.web.assessment.forms import EVENTS

EVENT_WORDS = dict(EVENTS)
READING_NAMES = {
    "systolic_mmhg": "Blood pressure, upper",
    "diastolic_mmhg": "Blood pressure, lower",
    "resting_bpm": "Resting heart rate",
    "spo2_pct": "Oxygen saturation",
    "lvef_pct": "Ejection fraction",
    "mass_kg": "Weight",
    "stature_m": "Height",
    "six_minute_walk_m": "Six-minute walk distance",
}


@dataclass(frozen=True)
class Finding:
    """One item of the file as the page lists it; ``why_not`` says why it cannot be taken over as it stands."""

    what: str
    value: str
    assumed: str
    came_from: str
    why_not: str = ""


def findings(proposal: ReferralProposal) -> list[Finding]:
    """Every event, medicine and reading of the file."""
    events = [_event(item) for item in proposal.events]
    medicines = [_medicine(item) for item in proposal.medicines]
    return events + medicines + [_reading(item) for item in proposal.readings]


def _event(item: ProposedEvent) -> Finding:
    words = EVENT_WORDS.get(item.kind or "", "")
    kind = f" (read as {words})" if words else ""
    assumed = item.assumed.replace(f"read as {item.kind}", f"read as {words}") if words else item.assumed
    why_not = "" if item.kind else "Its kind was not recognised; enter it in the assessment."
    value = f"{item.text}{kind}" + (f", {item.on_text}" if item.on_text else "")
    return Finding("Event", value, assumed, item.came_from, why_not)


def _medicine(item: ProposedMedicine) -> Finding:
    kind = f" (read as {item.drug_class.replace('_', ' ')})" if item.drug_class else ""
    since = f", since {item.since:%-d %B %Y}" if item.since else ""
    why_not = "" if item.drug_class else "Its class was not recognised; enter it in the assessment."
    return Finding("Medicine", f"{item.text}{kind}{since}", item.assumed.replace("_", " "), item.came_from, why_not)


def _reading(item: ProposedReading) -> Finding:
    on = f", {item.taken_on:%-d %B %Y}" if item.taken_on else ""
    why_not = "" if item.taken_on else "The day is not given; enter it in the assessment with its date."
    return Finding(READING_NAMES[item.name], f"{item.value:g} {item.unit}{on}", item.assumed, item.came_from, why_not)
