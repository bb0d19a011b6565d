"""One step up or down from a dose. A step raises one thing at most; none passes a limit."""

from __future__ import annotations

from dataclasses import dataclass, replace

from haleward.dose.loads import SAME_KG, as_mass_kg, load_text, same_load
from haleward.dose.log import ProposalKind
from haleward.dose.model import Dose, Load
from haleward.dose.options import Option
from haleward.dose.words import words
from haleward.record import POSTURES, Posture
from haleward.safety.policy import DosePolicy, ProgressionPolicy


@dataclass(frozen=True)
class StepUp:
    """The next dose up, or why there is none (``after`` None)."""

    kind: ProposalKind
    after: Dose | None
    reason: str = ""
    rule_id: str = ""
    posture: Posture | None = None  # the new one of a "raise_posture"
    most_kg: float | None = None  # how much heavier a next load may be, where the one at home is more


def step_up(
    dose: Dose,
    posture: Posture,
    option: Option,
    *,
    dosing: DosePolicy,
    progressing: ProgressionPolicy,
    effort: float | None = None,
    watched: bool = True,
) -> StepUp:
    """The first step with room, in the protocol's order: repetitions or seconds, sets, load, posture.

    The load is the next of the same kit on this person's ladder. It comes first when the ``effort`` was so low that
    the right load is not found yet and staff ``watched`` a session; the step may then be a larger one.
    """
    order = progressing.raise_order or ("repetitions", "load")
    first = progressing.load_first_effort_at_most
    stopped = None
    if "load" in order and first is not None and effort is not None and effort <= first and watched:
        most_kg = progressing.finding_step_kg or progressing.load_step_kg
        found = _load_up(dose, posture, option, dosing, replace(progressing, load_step_kg=most_kg))
        if found is not None and found.kind != "hold":
            return replace(found, rule_id="progression.load_first_effort_at_most")
        stopped, order = found, tuple(one for one in order if one != "load")
    for what in order:
        step = _STEPS[what](dose, posture, option, dosing, progressing)
        if step is not None and step.kind != "hold":
            return step
        stopped = stopped or step
    return stopped or _top(dose)


def step_down(dose: Dose, posture: Posture, option: Option, *, dosing: DosePolicy, hold_step_s: float) -> Dose | None:
    """The way back: repetitions over the start, then load, then repetitions or seconds, then a set; else ``None``."""
    if dose.hold_s > 0:
        seconds = max(dose.hold_s - hold_step_s, dosing.hold_s)
        return replace(dose, hold_s=seconds) if seconds < dose.hold_s else _fewer_sets(dose)
    if dose.repetitions > dosing.repetitions:
        return replace(dose, repetitions=dosing.repetitions)
    lighter = lighter_load(dose.load, posture, option)
    if lighter is not None:
        return replace(dose, load=lighter)
    if dose.repetitions > dosing.repetitions_low:
        return replace(dose, repetitions=dosing.repetitions_low)
    return _fewer_sets(dose)


def lighter_load(load: Load, posture: Posture, option: Option) -> Load | None:
    """The heaviest load under this one that the person may use in this posture, of the same kit or own weight."""
    below = [
        other
        for other in _loads(posture, option)
        if as_mass_kg(other) < as_mass_kg(load) - SAME_KG and other.kit in (load.kit, "own_weight")
    ]
    return max(below, key=as_mass_kg, default=None)


def usable(load: Load, posture: Posture, option: Option) -> bool:
    """Whether the person may use this load in this posture now."""
    return any(same_load(load, other) for other in _loads(posture, option))


def _amount_up(
    dose: Dose, _posture: Posture, _option: Option, dosing: DosePolicy, progressing: ProgressionPolicy
) -> StepUp | None:
    if dose.hold_s > 0:
        seconds = min(dose.hold_s + progressing.hold_step_s, dosing.hold_high_s)
        longer = replace(dose, hold_s=seconds)
        return StepUp("raise_hold", longer, rule_id="progression.hold_step_s") if seconds > dose.hold_s else None
    most = min(progressing.repetitions_before_next or dosing.repetitions_high, dosing.repetitions_high)
    repetitions = min(dose.repetitions + progressing.repetition_step, most)
    if repetitions <= dose.repetitions:
        return None
    return StepUp("raise_repetitions", replace(dose, repetitions=repetitions), rule_id="progression.repetition_step")


def _sets_up(
    dose: Dose, _posture: Posture, _option: Option, dosing: DosePolicy, _progressing: ProgressionPolicy
) -> StepUp | None:
    if dose.sets >= dosing.sets_most:
        return None
    return StepUp("raise_set", replace(dose, sets=dose.sets + 1), rule_id="progression.raise_order")


def _load_up(
    dose: Dose, posture: Posture, option: Option, dosing: DosePolicy, progressing: ProgressionPolicy
) -> StepUp | None:
    above = [
        other
        for other in _loads(posture, option)
        if as_mass_kg(other) > as_mass_kg(dose.load) + SAME_KG
        and (other.kit == dose.load.kit or dose.load.kit == "own_weight")
        and (not dose.load.band or other.band == dose.load.band)
    ]
    if not above or dose.hold_s > 0:
        return None
    heavier = min(above, key=as_mass_kg)
    if progressing.load_step_kg is not None and not option.small_muscle:
        most_kg = as_mass_kg(dose.load) + progressing.load_step_kg + SAME_KG
        heavier = max((load for load in above if as_mass_kg(load) <= most_kg), key=as_mass_kg, default=heavier)
    step_kg = as_mass_kg(heavier) - as_mass_kg(dose.load)
    if option.small_muscle and step_kg > progressing.small_muscle_step_kg + SAME_KG:
        text = words("prog_small_step", load_text=load_text(heavier), step=progressing.small_muscle_step_kg)
        return StepUp("hold", None, text, "progression.small_muscle_step_kg", most_kg=progressing.small_muscle_step_kg)
    most = "load_step_most_kg" if option.upper else "load_step_most_legs_kg"
    limit_kg: float | None = getattr(progressing, most)
    if not option.small_muscle and limit_kg is not None and step_kg > limit_kg + SAME_KG:
        text = words("prog_large_step", load_text=load_text(heavier), step=limit_kg)
        return StepUp("hold", None, text, f"progression.{most}", most_kg=limit_kg)
    after = replace(dose, load=heavier, repetitions=starting_again(dose, dosing, progressing))
    return StepUp("raise_load", after, rule_id="progression.effort_at_most")


def _posture_up(
    dose: Dose, posture: Posture, option: Option, dosing: DosePolicy, progressing: ProgressionPolicy
) -> StepUp | None:
    """The next posture the person is placed for, with the heaviest usable load that is no heavier than this one."""
    for harder in (one for one in POSTURES[POSTURES.index(posture) + 1 :] if one in option.postures):
        loads = [
            load
            for load in _loads(harder, option)
            if as_mass_kg(load) <= as_mass_kg(dose.load) + SAME_KG and load.kit in (dose.load.kit, "own_weight")
        ]
        if loads:
            load = max(loads, key=as_mass_kg)
            after = replace(dose, load=load, repetitions=starting_again(dose, dosing, progressing))
            return StepUp("raise_posture", after, rule_id="progression.raise_order", posture=harder)
    return None


def starting_again(dose: Dose, dosing: DosePolicy, progressing: ProgressionPolicy) -> int:
    """The repetitions under a new load or in a new posture: never more than before, within the protocol's range."""
    start = progressing.repetitions_after_load
    if start is None or dose.hold_s > 0:
        return dose.repetitions
    return min(dose.repetitions, max(start, dosing.repetitions_low))


_STEPS = {"repetitions": _amount_up, "sets": _sets_up, "load": _load_up, "posture": _posture_up}


def _top(dose: Dose) -> StepUp:
    return StepUp("hold", None, words("prog_top", load_text=load_text(dose.load)), "progression.limits")


def _fewer_sets(dose: Dose) -> Dose | None:
    return replace(dose, sets=dose.sets - 1) if dose.sets > 1 else None


def _loads(posture: Posture, option: Option) -> list[Load]:
    return [choice.load for choice in option.choices if choice.posture == posture]
