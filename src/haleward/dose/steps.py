"""One step up or down from a dose. Each step changes one field; none passes a limit."""

from __future__ import annotations

from dataclasses import dataclass, replace

from haleward.dose.loads import SAME_KG, as_mass_kg, load_text, same_load
from haleward.dose.log import ProposalKind
from haleward.dose.model import Dose, Load
from haleward.dose.options import Option
from haleward.dose.words import words
from haleward.record import Posture
from haleward.safety.policy import DosePolicy, ProgressionPolicy


@dataclass(frozen=True)
class StepUp:
    """The next dose up, or why there is none (``after`` None)."""

    kind: ProposalKind
    after: Dose | None
    reason: str = ""
    rule_id: str = ""


def step_up(
    dose: Dose, posture: Posture, option: Option, *, dosing: DosePolicy, progressing: ProgressionPolicy
) -> StepUp:
    """Repetitions (or seconds of a hold) first, then the next load of the same kit on this person's ladder."""
    if dose.hold_s > 0:
        seconds = min(dose.hold_s + progressing.hold_step_s, dosing.hold_high_s)
        if seconds > dose.hold_s:
            return StepUp("raise_hold", replace(dose, hold_s=seconds), rule_id="progression.hold_step_s")
        return _top(dose)
    repetitions = min(dose.repetitions + progressing.repetition_step, dosing.repetitions_high)
    if repetitions > dose.repetitions:
        return StepUp(
            "raise_repetitions", replace(dose, repetitions=repetitions), rule_id="progression.repetition_step"
        )
    return _load_up(dose, posture, option, progressing)


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


def _load_up(dose: Dose, posture: Posture, option: Option, progressing: ProgressionPolicy) -> StepUp:
    above = [
        other
        for other in _loads(posture, option)
        if as_mass_kg(other) > as_mass_kg(dose.load) + SAME_KG
        and (other.kit == dose.load.kit or dose.load.kit == "own_weight")
        and (not dose.load.band or other.band == dose.load.band)
    ]
    if not above:
        return _top(dose)
    heavier = min(above, key=as_mass_kg)
    step_kg = as_mass_kg(heavier) - as_mass_kg(dose.load)
    if option.small_muscle and step_kg > progressing.small_muscle_step_kg + SAME_KG:
        text = words("prog_small_step", load_text=load_text(heavier), step=progressing.small_muscle_step_kg)
        return StepUp("hold", None, text, "progression.small_muscle_step_kg")
    return StepUp("raise_load", replace(dose, load=heavier), rule_id="progression.effort_at_most")


def _top(dose: Dose) -> StepUp:
    return StepUp("hold", None, words("prog_top", load_text=load_text(dose.load)), "progression.limits")


def _fewer_sets(dose: Dose) -> Dose | None:
    return replace(dose, sets=dose.sets - 1) if dose.sets > 1 else None


def _loads(posture: Posture, option: Option) -> list[Load]:
    return [choice.load for choice in option.choices if choice.posture == posture]
