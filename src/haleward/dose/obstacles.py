"""What stands against raising anything at all in a programme, each as a proposal with its reason."""

from __future__ import annotations

from datetime import date

from haleward.dose.evidence import Evidence
from haleward.dose.heart_rate import epoch_medicines
from haleward.dose.log import Proposal, ProposalKind
from haleward.dose.model import Intensity, Prescription
from haleward.dose.progress_events import medicine_changed_on
from haleward.dose.words import listed, words
from haleward.record import Record
from haleward.safety.model import Gate
from haleward.safety.policy import Policies, ProgressionPolicy

WHOLE = -1  # the exercise index of a proposal for the whole programme


def obstacles_for(
    evidence: Evidence, record: Record, prescription: Prescription, *, policies: Policies, today: date
) -> tuple[Proposal, ...]:
    """A symptom, a shut gate, a pause, a stopped check, lasting soreness, a mismatch, a medicine, an expired range.

    Any one of them means that nothing is raised. Worst first.
    """
    found = (
        _symptom(evidence, today),
        _gate(prescription.gate, today),
        _gap(evidence, policies, today),
        _stopped(evidence, today),
        _sore(evidence, policies, today),
        _mismatch(evidence, prescription.intensity, policies.progression, today),
        _medicine(record, policies, today) or _expired(prescription.intensity, today),
    )
    return tuple(proposal for proposal in found if proposal is not None)


def whole(kind: ProposalKind, reason: str, rule_id: str, today: date, *session_ids: str) -> Proposal:
    """A proposal for the whole programme; it changes no dose by itself."""
    name = rule_id.removeprefix("progression.")
    otherwise = words("else_medicine_hold" if name == "medicine" else f"else_{name}")
    return Proposal(kind, "", WHOLE, "", None, None, reason, rule_id, today, session_ids, otherwise=otherwise)


def _symptom(evidence: Evidence, today: date) -> Proposal | None:
    log = evidence.with_symptom
    if log is None:
        return None
    text = words("prop_down_symptom", symptom=listed(log.symptoms), date=log.started_at.date())
    return whole("review", text, "progression.symptom", today, log.session_id)


def _gate(gate: Gate, today: date) -> Proposal | None:
    if gate.outcome != "not_today":
        return None
    rules = listed(tuple(rule.rule_id for rule in gate.fired if rule.state == "fired"))
    return whole("hold", words("prog_gate", rule_ids=rules), "progression.gate", today)


def _gap(evidence: Evidence, policies: Policies, today: date) -> Proposal | None:
    """A pause that asks for the same dose again or for a reassessment; between the two each exercise steps back."""
    days, policy = evidence.gap_days, policies.progression
    if days > policy.gap_reassess_days:
        text = words("prog_gap_reassess", gap_days=days, limit=policy.gap_reassess_days)
        return whole("review", text, "progression.gap_reassess_days", today)
    if policy.gap_repeat_days < days <= policy.gap_step_back_days:
        text = words("prog_gap_repeat", gap_days=days, limit=policy.gap_repeat_days)
        return whole("hold", text, "progression.gap_repeat_days", today)
    return None


def _stopped(evidence: Evidence, today: date) -> Proposal | None:
    log = evidence.stopped
    if log is None:
        return None
    text = words("prog_stopped", date=log.started_at.date())
    return whole("hold", text, "progression.stopped_check", today, log.session_id)


def _medicine(record: Record, policies: Policies, today: date) -> Proposal | None:
    """A medicine that changes the pulse was changed, and the resting heart rate has not been taken since."""
    changed_on = medicine_changed_on(record, policies=policies, today=today)
    reading = record.resting_heart_rate
    if changed_on is None or (reading is not None and reading.taken_on >= changed_on):
        return None
    names = [m.name for m in epoch_medicines(record, policy=policies.intensity) if m.since == changed_on]
    text = words("prop_hold_medicine", medicine=listed(tuple(names)), date=changed_on)
    return whole("hold", text, "progression.medicine", today)


def _expired(intensity: Intensity, today: date) -> Proposal | None:
    """The heart-rate range ran out: the resting rate was counted too long ago, or before a change of medicine."""
    if intensity.not_usable_reason not in (words("hr_rest_old"), words("hr_medicine_changed")):
        return None
    text = words("prog_range_expired", reason=intensity.not_usable_reason)
    return whole("hold", text, "progression.range_expired", today)


def _sore(evidence: Evidence, policies: Policies, today: date) -> Proposal | None:
    """Soreness for longer than normal, until a later session says that it is within it: a nurse looks at it."""
    limit = policies.progression.sore_days
    for log in reversed(evidence.open_reports):
        if log.sore_days is None:
            continue
        if log.sore_days <= limit:
            return None
        text = words("prog_sore_concern", sore_days=log.sore_days, date=log.started_at.date(), limit=limit)
        return whole("review", text, "progression.sore_days", today, log.session_id)
    return None


def _mismatch(evidence: Evidence, intensity: Intensity, policy: ProgressionPolicy, today: date) -> Proposal | None:
    """Effort and heart rate of the last session that has both do not fit: neither of them is believed unasked.

    Light with a heart rate over the range, or hard with one below its middle. Without a range nothing is compared.
    """
    low, high = intensity.low_bpm, intensity.high_bpm
    log = next((log for log in reversed(evidence.logs) if log.heart_rate_bpm is not None), None)
    if log is None or log.heart_rate_bpm is None or low is None or high is None:
        return None
    given = [s.effort for s in log.sets if s.effort is not None]
    effort = max([*given, *([log.whole_effort] if log.whole_effort is not None else [])], default=None)
    if effort is None:
        return None
    light, hard, rate = policy.mismatch_effort_light, policy.mismatch_effort_hard, log.heart_rate_bpm
    too_light = light is not None and effort <= light and rate > high
    too_hard = hard is not None and effort >= hard and rate < (low + high) / 2
    if not (too_light or too_hard):
        return None
    text = words("prop_hold_mismatch", effort=effort, hr_value=rate)
    return whole("review", text, "progression.mismatch", today, log.session_id)
