"""What must hold for the proposals of any day, said a second time and independently of the engine."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import asdict

from haleward.dose.evidence import exercised
from haleward.dose.loads import as_mass_kg
from haleward.dose.log import Proposal, SessionLog
from haleward.dose.model import Dose, Prescription, Programme, Walking
from haleward.dose.words import words
from haleward.safety.protocol import Protocol


def faults_of(
    found: tuple[Proposal, ...],
    plan: Programme,
    logs: tuple[SessionLog, ...],
    prescription: Prescription,
    *,
    settled: Collection[str],
    protocol: Protocol,
) -> Iterator[str]:
    """One sentence for each property that a set of proposals breaks."""
    raises = [one for one in found if one.kind.startswith("raise_")]
    scope = (protocol.policies.progression.one_raise_in or ("programme",))[0]
    places = {"programme": lambda _: "", "session": lambda one: one.part_key}
    at = [places.get(scope, lambda one: f"{one.part_key}/{one.exercise_index}")(one) for one in raises]
    if len(set(at)) < len(at):
        yield f"two raises in one {scope}"
    if raises and any(one.kind != "hold" and not one.kind.startswith("raise_") for one in found):
        yield "a raise beside something that eases or is to be looked at"
    for one in found:
        if not (one.reason and one.rule_id and one.otherwise):
            yield f"{one.rule_id}: no reason, or nothing that would have changed it"
    for up in raises:
        yield from _raise_faults(up, plan, logs, prescription, settled, protocol)
    for down in (one for one in found if one.kind in ("ease", "step_back")):
        yield from _down_faults(down)


def _raise_faults(
    up: Proposal,
    plan: Programme,
    logs: tuple[SessionLog, ...],
    prescription: Prescription,
    settled: Collection[str],
    protocol: Protocol,
) -> Iterator[str]:
    policy, today = protocol.policies.progression, prescription.made_on
    used = [log for log in logs if log.session_id in up.evidence]
    sets = [s for log in used for s in log.sets if up.exercise_index < 0 or s.movement_id == up.movement_id]
    if any(log.symptoms for log in used) or any(log.symptoms and log.session_id not in settled for log in logs):
        yield "a raise after a symptom"
    if prescription.gate.outcome == "not_today":
        yield "a raise while the gate says not today"
    if prescription.intensity.not_usable_reason in (words("hr_rest_old"), words("hr_medicine_changed")):
        yield "a raise on an expired range"
    needed, most = policy.sessions_needed, policy.effort_at_most
    if up.rule_id == "progression.load_first_effort_at_most":  # the load is being found
        needed, most = policy.finding_sessions or needed, policy.load_first_effort_at_most or most
    if len(used) < needed or not sets or any(s.effort is None for s in sets):
        yield "a raise on thin data"
    if any(s.effort is not None and s.effort > most for s in sets):
        yield "a raise after effort over the limit"
    if (today - max(log.started_at.date() for log in logs if exercised(log))).days > policy.gap_repeat_days:
        yield "a raise after a pause"
    if up.kind in ("raise_load", "raise_posture") and not any(log.origin == "staff" for log in used):
        yield "a raise of load that nobody saw"
    if up.before is not None and up.after is not None and len(raised_fields(up.before, up.after)) != 1:
        yield f"not one thing raised: {raised_fields(up.before, up.after)}"
    if up.walking_before is not None and up.walking_after is not None:
        if len(walk_changes(up.walking_before, up.walking_after)) != 1:
            yield f"not one thing raised in walking: {walk_changes(up.walking_before, up.walking_after)}"
        walk = up.walking_after
        if walk.bouts * walk.bout_minutes > (policy.walking_minutes_most or 0):
            yield "walking over its minutes"
        if len(walk.days) > protocol.policies.dose.walking_days_most:
            yield "walking on too many days"


def _down_faults(down: Proposal) -> Iterator[str]:
    if down.before is not None and down.after is not None and raised_fields(down.before, down.after):
        yield "an ease that raises"
    if down.walking_before is not None and down.walking_after is not None:
        before, after = down.walking_before, down.walking_after
        if weekly(after) > weekly(before) or (after.pace_km_per_h or 0) > (before.pace_km_per_h or 0):
            yield "an ease of walking that raises"


def raised_fields(before: Dose, after: Dose) -> tuple[str, ...]:
    """The fields of a dose that are more than before."""
    first, second = ({**asdict(dose), "load": as_mass_kg(dose.load)} for dose in (before, after))
    return tuple(name for name in first if second[name] > first[name] + 1e-9)


def walk_changes(before: Walking, after: Walking) -> tuple[str, ...]:
    """What differs between two walks: minutes a bout, the joining of bouts, days, pace."""
    found = []
    if after.bouts != before.bouts:
        found.append("join")
    elif after.bout_minutes != before.bout_minutes:
        found.append("minutes")
    found += ["days"] if after.days != before.days else []
    found += ["pace"] if after.pace_km_per_h != before.pace_km_per_h else []
    return tuple(found)


def weekly(walking: Walking) -> int:
    """Minutes a week."""
    return walking.bouts * walking.bout_minutes * len(walking.days)
