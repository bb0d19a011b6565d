"""The sections made of rules: entry, the gate with its questions, stop rules, resistance work."""

from __future__ import annotations

from haleward.physiology.tables import rows
from haleward.safety.conditions import to_sentence
from haleward.safety.inputs import default_inputs
from haleward.safety.own_words import numbers_for, wording_for
from haleward.safety.parts import Check, Need, Rule
from haleward.safety.protocol import Protocol
from haleward.safety.words import words_of
from haleward.web.protocol.document import Line, Part, Section
from haleward.wording import placeholders


def _of_stage(protocol: Protocol, stage: str) -> list[Rule]:
    return [rule for rule in protocol.rules if rule.stage == stage]


def _stages(protocol: Protocol, *stages: str) -> tuple[Part, ...]:
    return tuple(Part(words_of("stage")[stage], tuple(map(_rule, _of_stage(protocol, stage)))) for stage in stages)


def _rule(rule: Rule) -> Line:
    return Line((rule.id,), to_sentence(rule.condition), rule.text, rule.level, rule.urgency, rule.sources, rule.trust)


def entry(protocol: Protocol) -> Section:
    """Who may start."""
    rules = Part("Rules", tuple(map(_rule, _of_stage(protocol, "entry"))))
    return Section(
        "entry",
        words_of("stage")["entry"],
        "Who may start, and what stands against it. The strictest rule that fires wins.",
        (rules, _needs(protocol, "entry", "What must be known before go ahead")),
    )


def gate(protocol: Protocol) -> Section:
    """May this person exercise today."""
    questions = Part("The day’s questions", tuple(_question(check, protocol) for check in protocol.checks))
    return Section(
        "gate",
        "Gate before each session",
        "May this person exercise today? What is missing never counts as normal.",
        (
            *_stages(protocol, "session", "environment", "home", "groups"),
            questions,
            _needs(protocol, "hall", "What must be known with staff"),
            _needs(protocol, "home", "What must be known at home"),
        ),
    )


def stop(protocol: Protocol) -> Section:
    """During and after a session."""
    return Section("stop", "Stop rules", "When to stop, ease off or call.", _stages(protocol, "during", "after"))


def resistance(protocol: Protocol) -> Section:
    """Work against resistance."""
    rules = Part("", tuple(map(_rule, _of_stage(protocol, "resistance"))))
    about = "When work against resistance may start, and what limits it."
    return Section("resistance", words_of("stage")["resistance"], about, (rules,))


def _needs(protocol: Protocol, gate: str, title: str) -> Part:
    needs = protocol.gates[gate].needs  # type: ignore[index]
    return Part(title, tuple(_need(need, gate) for need in needs))


def _need(need: Need, gate: str) -> Line:
    label = default_inputs()[need.input].label
    when = f"{label[:1].upper()}{label[1:]}"
    then = "Always asked." if need.when is None else f"Asked when: {_lower(to_sentence(need.when))}"
    return Line((f"{gate}.{need.input}",), when, then, shown_id=False)


def _lower(sentence: str) -> str:
    return f"{sentence[:1].lower()}{sentence[1:]}"


def _question(check: Check, protocol: Protocol) -> Line:
    text = _read_out(wording_for(protocol).template(check.wording), protocol)
    when = (
        "Always asked" if check.ask_when is None else f"Asked when: {_lower(to_sentence(check.ask_when)).rstrip('.')}"
    )
    places = " and ".join({"hall": "with staff", "home": "at home"}[place] for place in check.places)
    return Line(
        (f"check.{check.wording}",),
        text,
        f"{when}; {places}.",
        sources=(check.source,),
        trust=check.trust,
        shown_id=False,
    )


def _read_out(template: str, protocol: Protocol) -> str:
    """A line with the numbers of the protocol in it; what each service fills in stands as what it is."""
    service = {row["key"]: f"({row['meaning']})" for row in rows("service")}
    given = {**protocol.wording_values, **numbers_for(protocol, {})}
    return template.format_map({name: given.get(name) or service[name] for name in placeholders(template)})
