"""What recovery, chronotropic index and pressure mean, each by every published limit for the way it was measured."""

from __future__ import annotations

from typing import Literal

from haleward.formula import Range, find
from haleward.physiology.finding import Finding, findings_in, held_against
from haleward.physiology.tables import rows, texts
from haleward.record import Rhythm, Sex
from haleward.worksheet import NotComputed

AfterEffort = Literal["walking", "sitting", "lying"]
TestKind = Literal["maximal", "submaximal"]
RECOVERY = {
    1: ("heart_rate_recovery_bpm", "one_minute_bpm"),
    2: ("heart_rate_recovery_two_minutes_bpm", "two_minute_bpm"),
}


def recovery_findings(
    *, peak_bpm: float, later_bpm: float, minutes: int, posture: AfterEffort | None, test: TestKind
) -> tuple[Finding, ...] | NotComputed:
    """The fall of the heart rate against each limit for this posture, these minutes and this kind of test.

    A limit whose source names no posture applies to each. Without the posture nothing is judged: limits differ by it.
    Raises :class:`OutOfRange` for other minutes than 1 or 2 and impossible rates.
    """
    Range(1, 2, "min", "Minutes after the effort", whole=True).check(minutes)
    wording = texts("physiology_wording")
    if posture is None:
        return NotComputed("Heart-rate recovery", wording["recovery_posture"], (wording["ask_posture"],))
    name, later = RECOVERY[minutes]
    fall = find(name).call(**{"peak_bpm": peak_bpm, later: later_bpm})
    fitting = [
        row
        for row in rows("heart_rate_recovery_cutoffs")
        if (row["minutes"], row["test"]) == (str(minutes), test) and row["posture"] in ("", posture)
    ]
    if not fitting:
        reason = wording["recovery_none"].format(minutes=minutes, test=test, posture=posture)
        return NotComputed("Heart-rate recovery", reason)
    return tuple(held_against(row, test="heart_rate_recovery_bpm", value=fall) for row in fitting)


def chronotropic_finding(*, index: float, beta_blocker: bool | None, rhythm: Rhythm | None) -> Finding | NotComputed:
    """The chronotropic index against the limit with or without a beta-blocker; only in sinus rhythm."""
    Range(-1, 3, "1", "Chronotropic index").check(index)
    wording = texts("physiology_wording")
    if rhythm not in (None, "sinus"):
        reason = wording["chronotropic_rhythm"].format(rhythm=str(rhythm).replace("_", " "))
        return NotComputed("Chronotropic index", reason)
    asked = (wording["ask_rhythm"],) * (rhythm is None) + (wording["ask_beta_blocker"],) * (beta_blocker is None)
    if asked:
        return NotComputed("Chronotropic index", wording["chronotropic_unknown"], asked)
    row = next(row for row in rows("chronotropic_cutoffs") if row["beta_blocker"] == ("yes" if beta_blocker else "no"))
    return held_against(row, test="chronotropic_index", value=index)


def pressure_prompts(test: str, value_mmhg: float, *, sex: Sex | None) -> tuple[Finding, ...]:
    """What a pressure in an exercise test may prompt to look at: never a verdict, its sources are weak.

    ``test`` is "systolic_fall_mmhg" (while the work rises), "systolic_rise_mmhg" (over the whole test),
    "peak_systolic_mmhg" or "peak_diastolic_mmhg". Raises :class:`HalewardError` for another.
    """
    return findings_in("pressure_prompts", test, value_mmhg, sex=sex)
