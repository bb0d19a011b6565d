"""Worksheets and decisions as plain lines of text, for the terminal and for worksheet.txt."""

from __future__ import annotations

from collections.abc import Iterable

from haleward.dose.model import Exercise, Prescription, Programme
from haleward.safety.inputs import default_inputs
from haleward.safety.model import FiredRule, Gate
from haleward.wording import Wording
from haleward.worksheet import Input, NotComputed, Step, Worksheet

GATE_KEYS = {"go_ahead": "gate_go", "check_first": "gate_check", "not_today": "gate_no"}


def worksheet_lines(worksheet: Worksheet) -> list[str]:
    """Title and result, then each step with its inputs and source, then the cautions."""
    lines = [f"{worksheet.title}: {worksheet.result}"]
    for step in worksheet.steps:
        lines.extend(_step_lines(step))
    lines.extend(f"  Caution: {caution}" for caution in worksheet.cautions)
    return lines


def gate_lines(gate: Gate, wording: Wording) -> list[str]:
    """The outcome in the wording's own words, each rule that fired or could not be assessed, and what is missing."""
    lines = [wording.text(GATE_KEYS[gate.outcome], {})]
    lines.extend(rule_line(rule) for rule in gate.fired)
    if not gate.fired:
        complete = gate.outcome == "go_ahead" and not gate.missing
        lines.append(f"  {wording.template('note_no_rule_complete' if complete else 'note_no_rule')}")
    if gate.missing:
        values = {"missing_count": str(len(gate.missing)), "missing_list": ", ".join(map(_label, gate.missing))}
        lines.append(wording.text("gate_check_missing", values))
    return lines


def rule_line(rule: FiredRule) -> str:
    """One rule with its inputs: what it says, what it saw, what it lacked."""
    seen = ", ".join(f"{_label(name)}: {value}" for name, value in rule.inputs)
    parts = (
        "" if rule.state == "fired" else "Not assessed.",
        f"{rule.text.rstrip('.')}.",
        f"Recorded: {seen}." if seen else "",
        f"Not known: {', '.join(map(_label, rule.missing))}." if rule.missing else "",
    )
    return f"  {rule.rule_id} ({rule.level.replace('_', ' ')}): {' '.join(filter(None, parts))}"


def prescription_lines(prescription: Prescription, wording: Wording) -> list[str]:
    """Everything computed for the person, in the order of care."""
    blocks = [
        gate_lines(prescription.gate, wording),
        _capacity_lines(prescription),
        worksheet_lines(prescription.risk.worksheet),
        worksheet_lines(prescription.intensity.worksheet),
        worksheet_lines(prescription.placement.worksheet),
    ]
    return _spaced(blocks)


def programme_lines(programme: Programme, titles: dict[str, str]) -> list[str]:
    """Each part with its movements and reasons, the walking, and what was left out and why."""
    blocks: list[list[str]] = []
    for part in programme.parts:
        lines = [f"Part {part.key}: {', '.join(part.days) or 'days not chosen'}"]
        for exercise in part.exercises:
            lines.extend(_exercise_lines(exercise, titles))
        blocks.append(lines)
    walk = programme.walking
    walking = f"Walking: {walk.bouts} x {walk.bout_minutes} minutes on {', '.join(walk.days) or 'days not chosen'}"
    blocks.append([walking, *(f"  {reason}" for reason in walk.reasons)])
    blocks.append(["Left out", *(f"  {out.reason}" for out in programme.left_out)])
    return _spaced(blocks)


def _capacity_lines(prescription: Prescription) -> list[str]:
    capacity = prescription.capacity
    if isinstance(capacity, NotComputed):
        return [
            f"{capacity.what}: not computed. {capacity.reason}",
            *(f"  Ask: {question}" for question in capacity.ask),
        ]
    return worksheet_lines(capacity.worksheet)


def _exercise_lines(exercise: Exercise, titles: dict[str, str]) -> list[str]:
    dose = exercise.dose
    amount = f"{dose.sets} x {dose.repetitions}" if not dose.hold_s else f"{dose.sets} x hold {dose.hold_s:g} s"
    load = f", {dose.load.mass_kg:g} kg" if dose.load.mass_kg else ""
    title = titles.get(exercise.movement_id, exercise.movement_id)
    head = f"  {title} ({exercise.posture.replace('_', ' ')}): {amount}{load}, rest {dose.rest_s} s"
    return [head, *(f"    {reason}" for reason in exercise.reasons)]


def _step_lines(step: Step) -> list[str]:
    result = f"{step.result:.4g}" if isinstance(step.result, float) else str(step.result)
    unit = "" if step.unit in ("", "1") else f" {step.unit}"
    rule = f" ({step.rule_id})" if step.rule_id else ""
    lines = [f"  {step.title}: {result}{unit}{_range(step)}{rule}"]
    if step.formula:
        lines.append(f"    {step.formula}")
    for given in step.inputs:
        value = f"{given.value:g}" if isinstance(given.value, float) else str(given.value)
        origin = f"  ({given.origin})" if given.origin else ""
        lines.append(f"    {given.name}: {value}{f' {given.unit}' if given.unit else ''}{_range(given)}{origin}")
    if step.source:
        lines.append(f"    Source: {step.source}")
    return lines


def _range(line: Input | Step) -> str:
    """The likely range of a value whose error is known."""
    return "" if line.low is None or line.high is None else f", likely {line.low:.4g} to {line.high:.4g}"


def _spaced(blocks: Iterable[list[str]]) -> list[str]:
    lines: list[str] = []
    for block in blocks:
        lines.extend([*block, ""])
    return lines[:-1]


def _label(name: str) -> str:
    """A safety input in words, with the name that a person's file uses."""
    known = default_inputs().get(name)
    return f"{known.label} ({name})" if known else name
