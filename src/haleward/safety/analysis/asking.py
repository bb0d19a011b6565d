"""Questions and needs: what is asked and never used, and what is used and never asked."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from haleward.safety.analysis.asked import STOPPING, asked_by
from haleward.safety.analysis.finding import Finding
from haleward.safety.analysis.logic import conditions_of
from haleward.safety.analysis.phrases import listed
from haleward.safety.conditions import inputs_of
from haleward.safety.inputs import default_inputs
from haleward.safety.parts import Check
from haleward.safety.protocol import Protocol

# What the product works out itself (haleward.safety.facts, the gate), and from what.
_DERIVED = {
    "weight_gain_kg_3d": ("weight_today_kg", "weight_earlier_kg"),
    "weight_loss_kg_3d": ("weight_today_kg", "weight_earlier_kg"),
    "screening_complete": (),
    "session_complete": (),
}


def asking_findings(protocol: Protocol) -> Iterator[Finding]:
    """Every finding of this subject."""
    yield from _never_asked(protocol)
    yield from _needs_without_question(protocol)
    yield from _repeated_needs(protocol)
    yield from _questions(protocol)


def _never_asked(protocol: Protocol) -> Iterator[Finding]:
    """Rules of a session none of whose inputs anybody is asked for: they can neither fire nor hold the session."""
    at_gate = {name: {rule.id for rule in asked_by(gate, protocol)} for name, gate in protocol.gates.items()}
    asked = {name: _asked(protocol, name) for name in protocol.gates}
    for rule in protocol.rules:
        places = [name for name in at_gate if rule.id in at_gate[name]]
        read = inputs_of(rule.condition)
        if places and not any(asked[place] & {*read} for place in places):
            said = f"Rule {rule.id} reads {listed(read)}, which no question, need or assessment asks for, so it can"
            said += " hardly ever fire. Ask for it at a gate or in a question, or say why not."
            yield Finding("never-asked", (rule.id,), ("rule", rule.id), said)


def _needs_without_question(protocol: Protocol) -> Iterator[Finding]:
    """What a session at home cannot do without, and no question at home asks for."""
    asked = _answered(protocol, "home")
    for need in protocol.gates["home"].needs:
        found = default_inputs()[need.input]
        if found.asked == "day" and need.input not in asked:
            said = f"The home gate needs {need.input}, but no question asks for it at home, so the session would wait"
            said += " for an answer that nobody can give. Add a [[check]] for it, or drop the need."
            yield Finding("need-without-question", (need.input,), ("gates", "home", "needs"), said)


def _repeated_needs(protocol: Protocol) -> Iterator[Finding]:
    for name, gate in protocol.gates.items():
        for one, count in Counter(need.input for need in gate.needs).items():
            if count > 1:
                said = f"The {name} gate needs {one} {count} times; only the last would count. Write it once."
                yield Finding("contradiction", (f"gates.{name}", one), ("gates", name, "needs"), said)


def _questions(protocol: Protocol) -> Iterator[Finding]:
    read = {name for condition in conditions_of(protocol).values() for name in inputs_of(condition)}
    read |= {name for source in _DERIVED.values() for name in source}
    for check in protocol.checks:
        place = ("check", check.wording)
        same = [one for one in check.answers_yes if check.answers_no.get(one) is check.answers_yes[one]]
        for name in same:
            said = (
                f"Question {check.wording} sets {name} to {str(check.answers_yes[name]).lower()} whether the answer is"
            )
            yield Finding(
                "contradiction", (check.wording, name), place, f"{said} yes or no. Give the two different values."
            )
        unread = [name for name in _sets(check) if name not in read]
        if len(unread) == len(_sets(check)):
            said = f"Question {check.wording} sets {listed(tuple(unread)) or 'nothing'}, which no rule reads."
            yield Finding("unread", (check.wording,), place, f"{said} Drop it, or add the rule.", serious=False)


def _asked(protocol: Protocol, place: str) -> set[str]:
    """What is known at a gate when everything is asked: assessment, needs, readings and questions."""
    gate = protocol.gates[place]  # type: ignore[index]
    assessed = {name for name, found in default_inputs().items() if found.asked != "day"}
    return assessed | {need.input for need in gate.needs} | {*gate.readings} | _answered(protocol, place)


def _answered(protocol: Protocol, place: str) -> set[str]:
    answered = {name for check in protocol.checks if place in check.places for name in _sets(check)}
    return answered | {name for name, source in _DERIVED.items() if answered.issuperset(source)}


def _sets(check: Check) -> tuple[str, ...]:
    """The inputs that an answer gives a value."""
    return tuple(dict.fromkeys([*check.answers_yes, *check.answers_no, *([check.input] if check.input else [])]))


def level_uses(protocol: Protocol) -> Iterator[Finding]:
    """A protocol in which nothing stops a session, or nothing that a person reports is an emergency."""
    for stage, what in (("entry", "at entry"), ("session", "on the day"), ("during", "during a session")):
        if not any(rule.stage == stage and rule.level in STOPPING for rule in protocol.rules):
            said = (
                f"No rule stops anything {what}: there is no rule of the stage {stage} that blocks or asks a clinician."
            )
            yield Finding("unused-level", (stage,), ("rule",), f"{said} Add one.")
    for level in ("emergency", "same_day"):
        if not any(symptom.level == level for symptom in protocol.concerns.symptoms):
            said = f"No symptom is of the level {level.replace('_', ' ')}, so nothing reported is ever seen that soon."
            yield Finding("unused-level", (level,), ("symptom",), f"{said} Correct the levels of the symptoms.")
