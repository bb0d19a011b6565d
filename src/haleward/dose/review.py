"""One exercise against its logs: swap, step back, ease, hold or raise, with the rule behind it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from haleward.dose.balance import best_of
from haleward.dose.evidence import Evidence, hard_sessions, showing
from haleward.dose.loads import load_text
from haleward.dose.log import Proposal, ProposalKind, SessionLog
from haleward.dose.model import Dose, Exercise, Prescription, Programme
from haleward.dose.options import Option, Options
from haleward.dose.programme import exercise_for
from haleward.dose.steps import lighter_load, step_down, step_up, usable
from haleward.dose.words import words
from haleward.movement.library import Library
from haleward.safety.policy import Policies


@dataclass(frozen=True)
class Line:
    """One exercise of a programme with all that its next step depends on besides the logs."""

    programme: Programme
    part_key: str
    index: int
    exercise: Exercise
    prescription: Prescription
    options: Options
    policies: Policies
    library: Library

    @property
    def title(self) -> str:
        """The movement's name; its id when the library no longer has it."""
        movement = self.library.movements.get(self.exercise.movement_id)
        return movement.name if movement else self.exercise.movement_id

    def proposal(
        self,
        kind: ProposalKind,
        reason: str,
        rule_id: str,
        *,
        after: Dose | None = None,
        replacement: Exercise | None = None,
        sessions: tuple[SessionLog, ...] = (),
    ) -> Proposal:
        """A proposal for this exercise."""
        return Proposal(
            kind=kind,
            part_key=self.part_key,
            exercise_index=self.index,
            movement_id=self.exercise.movement_id,
            before=self.exercise.dose,
            after=after,
            reason=reason,
            rule_id=rule_id,
            made_on=self.prescription.made_on,
            evidence=tuple(log.session_id for log in sessions),
            replacement=replacement,
        )


def propose_line(line: Line, evidence: Evidence) -> tuple[Proposal, float]:
    """The next step of one exercise, and the highest effort it is based on (0 when no effort counts)."""
    option = line.options.find(line.exercise.movement_id)
    if option is None:
        left = line.options.why_not(line.exercise.movement_id)
        cause = left.reason if left else words("check_unknown", movement_id=line.exercise.movement_id)
        return _swap(line, None, cause), 0.0
    return _not_usable(line, option) or _easier(line, option, evidence) or _next(line, option, evidence)


def _not_usable(line: Line, option: Option) -> tuple[Proposal, float] | None:
    """The posture or the load is no longer among what the person may use: go lighter, or swap."""
    exercise, dose = line.exercise, line.exercise.dose
    if exercise.posture not in option.postures:
        posture = words(f"posture_{exercise.posture}")
        available = ", ".join(words(f"posture_{one}") for one in option.postures)
        cause = words("err_posture", movement_title=option.title, posture=posture, available=available)
        return _swap(line, option, cause), 0.0
    if usable(dose.load, exercise.posture, option):
        return None
    lighter = lighter_load(dose.load, exercise.posture, option)
    there = tuple(choice.load for choice in option.choices if choice.posture == exercise.posture)
    if lighter is None:
        cause = words(
            "check_load_limit",
            movement_title=option.title,
            load_text=load_text(dose.load),
            kit_list=", ".join(load_text(load) for load in there),
        )
        return _swap(line, option, cause), 0.0
    text = words("prog_load_gone", load_text=load_text(lighter), before_text=load_text(dose.load))
    return line.proposal("ease", text, "progression.limits", after=replace(dose, load=lighter)), 0.0


def _easier(line: Line, option: Option, evidence: Evidence) -> tuple[Proposal, float] | None:
    """A long pause, effort over the range, or soreness that lasts: one step down."""
    policy = line.policies.progression
    sessions = evidence.of_part(line.part_key)
    if policy.gap_step_back_days < evidence.gap_days <= policy.gap_reassess_days:
        text = words("prop_down_gap", gap_days=evidence.gap_days, restart_level=words("prog_restart"))
        return _down(line, option, "step_back", text, "progression.gap_step_back_days", ()), 0.0
    recent = sessions[-policy.hard_of_sessions :]
    hard = hard_sessions(
        recent,
        exercise_index=line.index,
        movement_id=line.exercise.movement_id,
        effort_high=line.programme.effort_high,
    )
    if len(hard) >= policy.hard_sessions:
        values = {"effort_high": line.programme.effort_high, "session_count": len(hard), "of_count": len(recent)}
        text = words("prop_down_effort", **values)
        return _down(line, option, "ease", text, "progression.hard_sessions", hard), 0.0
    last = sessions[-1:]
    if last and last[0].sore_days is not None and last[0].sore_days > policy.sore_days:
        text = words("prop_down_sore", sore_days=last[0].sore_days, movement_title=option.title)
        return _down(line, option, "ease", text, "progression.sore_days", last), 0.0
    return None


def _next(line: Line, option: Option, evidence: Evidence) -> tuple[Proposal, float]:
    """Hold with the reason, or the next step up."""
    policy = line.policies.progression
    sessions = evidence.counting(line.part_key)[-policy.sessions_needed :]
    count = len(sessions)
    if count < policy.sessions_needed:
        text = words("prop_hold_thin", session_count=count, needed_count=policy.sessions_needed)
        return line.proposal("hold", text, "progression.sessions_needed", sessions=sessions), 0.0
    shown = showing(sessions, exercise_index=line.index, movement_id=line.exercise.movement_id, dose=line.exercise.dose)
    effort = shown.highest_effort
    if shown.efforts_missing or effort is None:
        text = words("prop_hold_effort", missing_count=shown.efforts_missing, session_count=count)
        return line.proposal("hold", text, "progression.effort_missing", sessions=sessions), 0.0
    if shown.felt_hard_on is not None:
        text = words("prog_felt_hard", date=shown.felt_hard_on)
        return line.proposal("hold", text, "progression.felt_hard", sessions=sessions), effort
    if not shown.all_done:
        text = words("prog_not_done", session_count=count)
        return line.proposal("hold", text, "progression.all_sets_done", sessions=sessions), effort
    if effort > policy.effort_at_most:
        text = words("prog_effort_high", effort=effort, session_count=count, limit=policy.effort_at_most)
        return line.proposal("hold", text, "progression.effort_at_most", sessions=sessions), effort
    return _up(line, option, sessions, shown.watched), effort


def _up(line: Line, option: Option, sessions: tuple[SessionLog, ...], watched: bool) -> Proposal:
    policy = line.policies.progression
    step = step_up(line.exercise.dose, line.exercise.posture, option, dosing=line.policies.dose, progressing=policy)
    if step.after is None:
        return line.proposal("hold", step.reason, step.rule_id, sessions=sessions)
    if step.kind == "raise_load" and not (watched or policy.self_report_raises_load):
        text = words("prop_hold_self_report")
        return line.proposal("hold", text, "progression.self_report_raises_load", sessions=sessions)
    key = {"raise_repetitions": "prop_up_reps", "raise_hold": "prog_up_hold", "raise_load": "prop_up_load"}[step.kind]
    values: dict[str, object] = {"effort": policy.effort_at_most, "session_count": len(sessions)}
    if step.kind == "raise_load":
        values["kit_name"] = load_text(step.after.load)
    return line.proposal(step.kind, words(key, **values), step.rule_id, after=step.after, sessions=sessions)


def _down(
    line: Line, option: Option, kind: ProposalKind, reason: str, rule_id: str, sessions: tuple[SessionLog, ...]
) -> Proposal:
    after = step_down(
        line.exercise.dose,
        line.exercise.posture,
        option,
        dosing=line.policies.dose,
        hold_step_s=line.policies.progression.hold_step_s,
    )
    if after is None:
        text = words("prog_lowest", movement_title=option.title, cause=reason)
        return line.proposal("review", text, rule_id, sessions=sessions)
    return line.proposal(kind, reason, rule_id, after=after, sessions=sessions)


def _swap(line: Line, option: Option | None, cause: str) -> Proposal:
    """The same movement in a form that fits, else the best other one of the region that is not in the programme."""
    have = {exercise.movement_id for part in line.programme.parts for exercise in part.exercises}
    policy = line.policies.dose
    other = option or best_of(line.options, line.exercise.region, have, policy)
    if other is None:
        region = words(f"region_{line.exercise.region}").lower()
        text = words("prog_no_swap", movement_title=line.title, region=region, cause=cause)
        return line.proposal("review", text, "progression.swap")
    text = words("prog_swap", movement_title=line.title, other_title=other.title, cause=cause)
    placement = line.prescription.placement
    new = exercise_for(other, other.start, placement, library=line.library, policy=policy, why=(text,))
    return line.proposal("swap", text, "progression.swap", replacement=new)
