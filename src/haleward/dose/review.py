"""One exercise against its logs: what is true of it, and the proposal that follows from the decision."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from haleward.dose.balance import best_of
from haleward.dose.evidence import Evidence
from haleward.dose.loads import SAME_KG, as_mass_kg, load_text
from haleward.dose.log import Proposal
from haleward.dose.model import Dose, Exercise, Prescription, Programme
from haleward.dose.options import Choice, Option, Options
from haleward.dose.programme import exercise_for
from haleward.dose.progress_events import events_for
from haleward.dose.progress_machine import Row, Signal
from haleward.dose.progress_signals import Counted, Seen, easing_signals, holding_signals
from haleward.dose.progress_told import Finding, otherwise, used
from haleward.dose.steps import StepUp, lighter_load, step_down, step_up, usable
from haleward.dose.words import words
from haleward.movement.library import Library
from haleward.record import Record
from haleward.safety.policy import Policies


@dataclass(frozen=True)
class Line:
    """One exercise of a programme with all that its next step depends on besides the logs."""

    programme: Programme
    part_key: str
    index: int
    exercise: Exercise
    record: Record
    prescription: Prescription
    options: Options  # of the programme's movements
    policies: Policies
    library: Library
    whole: Callable[[], Options]  # every movement, computed when another one is to be swapped in

    @property
    def title(self) -> str:
        """The movement's name; its id when the library no longer has it."""
        movement = self.library.movements.get(self.exercise.movement_id)
        return movement.name if movement else self.exercise.movement_id

    @property
    def option(self) -> Option | None:
        """The movement as this person may use it now."""
        return self.options.find(self.exercise.movement_id)


@dataclass(frozen=True)
class Review:
    """What is true of one exercise, and the step up if it comes to that."""

    line: Line
    findings: dict[Signal, Finding]
    counted: Counted
    step: StepUp | None
    done: int  # sessions at the present dose

    @property
    def title(self) -> str:
        """The movement's name."""
        return self.line.title

    @property
    def place(self) -> str:
        """The line of the programme, by part and number."""
        return f"{self.line.part_key}/{self.line.index}"

    @property
    def part_key(self) -> str:
        """The part of the programme it stands in."""
        return self.line.part_key

    @property
    def effort(self) -> float:
        """The highest effort that counts; 0 when none does."""
        return self.counted.effort or 0.0

    def proposal(self, row: Row, more: dict[Signal, Finding]) -> Proposal:
        """The proposal that follows from ``row``; ``more`` are the findings on the whole programme."""
        findings = self.findings | more
        finding = findings[row.signal] if row.signal is not None else None
        sessions = finding.sessions if finding is not None else self.counted.sessions
        found = self._changed(row, finding)
        return replace(
            found,
            evidence=tuple(log.session_id for log in sessions),
            used=used(sessions),
            otherwise=otherwise(row, findings, effort_at_most=self.line.policies.progression.effort_at_most),
        )

    def _changed(self, row: Row, finding: Finding | None) -> Proposal:
        line = self.line
        plain = Proposal(
            kind="hold",
            part_key=line.part_key,
            exercise_index=line.index,
            movement_id=line.exercise.movement_id,
            before=line.exercise.dose,
            after=None,
            reason=finding.text if finding else "",
            rule_id=(finding.rule_id if finding else "") or row.rule_id,
            made_on=line.prescription.made_on,
        )
        if finding is None:
            return _raised(plain, line, self.step, self.counted)
        if row.verdict == "swap":
            return _swapped(plain, line)
        if row.signal == "load_gone" and line.option is not None:
            lighter = lighter_load(line.exercise.dose.load, line.exercise.posture, line.option)
            return replace(plain, kind="ease", after=replace(line.exercise.dose, load=lighter)) if lighter else plain
        if row.verdict in ("ease", "step_back"):
            return eased(line, replace(plain, kind="step_back" if row.verdict == "step_back" else "ease"))
        return plain


def review_of(line: Line, evidence: Evidence) -> Review:
    """Everything that is true of one exercise now."""
    policy = line.policies.progression
    own = evidence.of_line(line.part_key, line.index)
    seen = Seen(
        title=line.title,
        movement_id=line.exercise.movement_id,
        index=line.index,
        dose=line.exercise.dose,
        effort_high=line.programme.effort_high,
        effort_at_most=policy.effort_at_most,
        line=own,
        evidence=evidence,
        events=events_for(line.exercise, own, evidence, line.record, policies=line.policies, library=line.library),
    )
    easing = {**_gone(line), **easing_signals(seen, policy)}
    holding, counted, step = _finding_load(line, seen) or _usual(line, seen)
    return Review(line, easing | holding, counted, step, len(own.sessions))


def _usual(line: Line, seen: Seen) -> tuple[dict[Signal, Finding], Counted, StepUp | None]:
    holding, counted = holding_signals(seen, line.policies.progression)
    step, stopped = _step(line, counted)
    return holding | stopped, counted, step


def _finding_load(line: Line, seen: Seen) -> tuple[dict[Signal, Finding], Counted, StepUp | None] | None:
    """The next load after fewer sessions, while it is so light that the right one is not found; else ``None``."""
    policy = line.policies.progression
    needed, first = policy.finding_sessions, policy.load_first_effort_at_most
    if needed is None or first is None:
        return None
    holding, counted = holding_signals(seen, policy, needed=needed)
    if holding or not counted.watched or counted.effort is None or counted.effort > first:
        return None
    step, stopped = _step(line, counted)
    return (holding, counted, step) if step is not None and step.kind == "raise_load" and not stopped else None


def eased(line: Line, plain: Proposal) -> Proposal:
    """One step down, or a review when the exercise is at its easiest."""
    option, dose = line.option, line.exercise.dose
    after = None
    if option is not None:
        hold_step_s = line.policies.progression.hold_step_s
        after = step_down(dose, line.exercise.posture, option, dosing=line.policies.dose, hold_step_s=hold_step_s)
    if after is None:
        text = words("prog_lowest", movement_title=line.title, cause=plain.reason)
        return replace(plain, kind="review", reason=text)
    return replace(plain, after=after)


def _gone(line: Line) -> dict[Signal, Finding]:
    """The movement, the posture or the load is no longer among what the person may use."""
    exercise, option = line.exercise, line.option
    if option is None:
        left = line.options.why_not(exercise.movement_id)
        return {"movement_gone": Finding(left.reason if left else words("check_unknown", movement_id=line.title))}
    if exercise.posture not in option.postures:
        posture = words(f"posture_{exercise.posture}")
        available = ", ".join(words(f"posture_{one}") for one in option.postures)
        cause = words("err_posture", movement_title=option.title, posture=posture, available=available)
        return {"posture_gone": Finding(cause)}
    if usable(exercise.dose.load, exercise.posture, option):
        return {}
    lighter = lighter_load(exercise.dose.load, exercise.posture, option)
    load = load_text(exercise.dose.load)
    if lighter is not None:
        text = words("prog_load_gone", load_text=load_text(lighter), before_text=load)
        return {"load_gone": Finding(text)}
    there = tuple(load_text(choice.load) for choice in option.choices if choice.posture == exercise.posture)
    cause = words("check_load_limit", movement_title=option.title, load_text=load, kit_list=", ".join(there))
    return {"posture_gone": Finding(cause)}


def _step(line: Line, counted: Counted) -> tuple[StepUp | None, dict[Signal, Finding]]:
    """The next step up, and what of the step itself stands against it."""
    policy, option = line.policies.progression, line.option
    if option is None:
        return None, {}
    step = step_up(
        line.exercise.dose,
        line.exercise.posture,
        option,
        dosing=line.policies.dose,
        progressing=policy,
        effort=counted.effort,
        watched=counted.watched or policy.self_report_raises_load,
    )
    if step.after is None:
        small = step.rule_id == "progression.small_muscle_step_kg"
        signal: Signal = "top" if step.most_kg is None else "small_step" if small else "large_step"
        remedy = {} if step.most_kg is None else {"step": step.most_kg}
        return None, {signal: Finding(step.reason, sessions=counted.sessions, remedy=remedy)}
    if step.kind == "raise_posture" and _in_posture(line, step) is None:
        text = words("prog_top", load_text=load_text(line.exercise.dose.load))
        return None, {"top": Finding(text, sessions=counted.sessions)}
    if step.kind in ("raise_load", "raise_posture") and not (counted.watched or policy.self_report_raises_load):
        return step, {"self_report": Finding(words("prop_hold_self_report"), sessions=counted.sessions)}
    return step, {}


def _raised(plain: Proposal, line: Line, step: StepUp | None, counted: Counted) -> Proposal:
    assert step is not None  # without a step the line is at its top, and the row says so
    assert step.after is not None
    count, most = len(counted.sessions), line.policies.progression.effort_at_most
    values: dict[str, object] = {"effort": most, "session_count": count}
    found = replace(plain, kind=step.kind, rule_id=step.rule_id, after=step.after)
    if step.kind == "raise_repetitions":
        return replace(found, reason=words("prop_up_reps", **values))
    if step.kind == "raise_hold":
        return replace(found, reason=words("prog_up_hold", **values))
    if step.kind == "raise_set":
        text = words("prop_up_set", session_count=count, sore_days=line.policies.progression.sore_days)
        return replace(found, reason=text)
    if step.kind == "raise_load":
        values["kit_name"] = load_text(step.after.load)
        if step.rule_id == "progression.load_first_effort_at_most":
            values["effort"] = line.policies.progression.load_first_effort_at_most
            return replace(found, reason=words("prog_up_load_first", **values) + _again(line, step))
        return replace(found, reason=words("prop_up_load", **values) + _again(line, step))
    new = _in_posture(line, step)
    assert new is not None  # _step has refused a posture without a form
    told = {"posture_from": words(f"posture_{line.exercise.posture}"), "posture_to": words(f"posture_{new.posture}")}
    text = words("prop_up_posture", session_count=count, **told)
    return replace(found, after=None, replacement=replace(new, reasons=(*new.reasons, text)), reason=text)


def _again(line: Line, step: StepUp) -> str:
    """The sentence on repetitions that start again under a new load."""
    assert step.after is not None
    if step.after.repetitions == line.exercise.dose.repetitions:
        return ""
    return " " + words("prog_reps_again", repetitions=step.after.repetitions)


def _in_posture(line: Line, step: StepUp) -> Exercise | None:
    """The exercise in its new posture, with that posture's tempo and sides; ``None`` when it turns into a hold."""
    option, dose = line.option, step.after
    assert option is not None
    assert dose is not None
    there = [c for c in option.choices if c.posture == step.posture and c.load == dose.load]
    choice: Choice | None = there[0] if there else None
    if choice is None:
        return None
    new = exercise_for(option, choice, line.prescription.placement, library=line.library, policy=line.policies.dose)
    if (new.dose.hold_s > 0) != (dose.hold_s > 0):
        return None
    kept = replace(
        new.dose, sets=dose.sets, repetitions=dose.repetitions, rest_s=dose.rest_s, hold_s=dose.hold_s, load=dose.load
    )
    return replace(new, dose=kept)


def _swapped(plain: Proposal, line: Line) -> Proposal:
    """The same movement in a form that fits, else the best other one of the region that is not in the programme."""
    cause = plain.reason
    have = {exercise.movement_id for part in line.programme.parts for exercise in part.exercises}
    policy = line.policies.dose
    other = line.option or best_of(line.whole(), line.exercise.region, have, policy)
    if other is None:
        region = words(f"region_{line.exercise.region}").lower()
        text = words("prog_no_swap", movement_title=line.title, region=region, cause=cause)
        return replace(plain, kind="review", reason=text)
    text = words("prog_swap", movement_title=line.title, other_title=other.title, cause=cause)
    placement = line.prescription.placement
    new = exercise_for(other, _lighter_start(line, other), placement, library=line.library, policy=policy, why=(text,))
    return replace(plain, kind="swap", reason=text, replacement=_no_more(new, line.exercise.dose))


def _lighter_start(line: Line, other: Option) -> Choice:
    """Where to start: of the same movement, the usable form that is as near below the present load as can be."""
    if other is not line.option:
        return other.start
    most = as_mass_kg(line.exercise.dose.load) + SAME_KG
    there = [c for c in other.choices if c.posture == other.start.posture and as_mass_kg(c.load) <= most]
    return max(there, key=lambda choice: as_mass_kg(choice.load), default=other.start)


def _no_more(new: Exercise, before: Dose) -> Exercise:
    """The new exercise with no more sets and repetitions than the person did before."""
    dose = replace(new.dose, sets=min(new.dose.sets, before.sets))
    if dose.hold_s == 0 and before.hold_s == 0:
        dose = replace(dose, repetitions=min(dose.repetitions, before.repetitions))
    return replace(new, dose=dose)
