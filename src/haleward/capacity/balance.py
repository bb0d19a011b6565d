"""The four-stage balance test: side by side, semi-tandem, tandem, one leg; stopped at the first stance not held."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from haleward.capacity.function_tests import STANCE, findings_for
from haleward.physiology.finding import Finding
from haleward.physiology.tables import rows, settings, texts
from haleward.units import shown
from haleward.worksheet import NotComputed

Stance = Literal["side_by_side", "semi_tandem", "tandem", "one_leg"]
STANCES: tuple[Stance, ...] = ("side_by_side", "semi_tandem", "tandem", "one_leg")


@dataclass(frozen=True)
class FourStage:
    """How far the test came: stances held (0 to 4), the first not held with its seconds, and what it means."""

    stages_held: int
    stopped_at: Stance | None
    stopped_after_s: float | None
    text: str
    findings: tuple[Finding, ...]


def four_stage_balance(
    *,
    side_by_side_s: float | None,
    semi_tandem_s: float | None,
    tandem_s: float | None,
    one_leg_s: float | None,
) -> FourStage | NotComputed:
    """The stage reached, each stance held for ten seconds, without aid and with open eyes.

    A stance after the first one not held is neither asked for nor used. Raises :class:`OutOfRange` for an impossible
    time. Source: CDC STEADI (source seen).
    """
    wording, enough_s = texts("function_wording"), settings("field_test_settings")["stance_held_s"]
    held = 0
    for stance, seconds in zip(STANCES, (side_by_side_s, semi_tandem_s, tandem_s, one_leg_s), strict=True):
        if seconds is None:
            ask = wording[f"ask_{stance}"]
            return NotComputed("Four-stage balance test", wording["four_stage_incomplete"], (ask,))
        STANCE.check(seconds)
        if seconds < enough_s:
            return _stopped(held, stance, seconds)
        held += 1
    text = wording["four_stage_result"].format(held=held, stopped=wording["four_stage_all"])
    return FourStage(held, None, None, text, findings_for("tandem_s", enough_s))


def _stopped(held: int, stance: Stance, seconds: float) -> FourStage:
    wording = texts("function_wording")
    name = stance.replace("_", " ")
    stopped = wording["four_stage_stopped"].format(stance=name, seconds=shown(seconds, "s"))
    text = wording["four_stage_result"].format(held=held, stopped=stopped)
    return FourStage(held, stance, seconds, text, _tandem_findings(stance, seconds))


def _tandem_findings(stance: Stance, seconds: float) -> tuple[Finding, ...]:
    """The published cut-off is of the tandem stance; a test that ended before it did not hold it either."""
    if stance == "one_leg":
        return findings_for("tandem_s", settings("field_test_settings")["stance_held_s"])
    if stance == "tandem":
        return findings_for("tandem_s", seconds)
    row = next(row for row in rows("function_cutoffs") if row["test"] == "tandem_s")
    meaning = texts("function_wording")["tandem_not_reached"].format(limit=row["value"])
    result = f"{stance.replace('_', ' ')} {shown(seconds, 's')}"
    return (Finding("tandem_s", result, meaning, True, f"{row['source']} [{row['trust']}]"),)
