"""What a person can report: how soon it is seen, against the rules it stands for and against its own wording."""

from __future__ import annotations

from collections.abc import Iterator

from haleward.safety.analysis.finding import Finding
from haleward.safety.analysis.space import Space
from haleward.safety.own_words import wording_for
from haleward.safety.parts import CONCERN_LEVELS, Symptom
from haleward.safety.protocol import Protocol


def symptom_findings(protocol: Protocol) -> Iterator[Finding]:
    """Symptoms that are there twice, are triaged more mildly than their rule, or show no line for the person."""
    rules = {rule.id: rule for rule in protocol.rules}
    seen: dict[str, Symptom] = {}
    for symptom in protocol.concerns.symptoms:
        place = ("symptom", symptom.key)
        label = " ".join(symptom.label.lower().split())
        if not label:
            said = f"Symptom {symptom.key} has no label, so nobody can report it. Write what the person would say."
            yield Finding("no-words", (symptom.key,), place, said)
        elif label in seen:
            other = seen[label]
            said = f'Symptoms {other.key} and {symptom.key} are the same words, "{symptom.label}"'
            said += f", at {_soon(other)} and {_soon(symptom)}. Keep one of them."
            yield Finding("contradiction", (symptom.key, other.key), place, said)
        seen.setdefault(label, symptom)
        for rule_id in symptom.ids:
            rule = rules.get(rule_id)
            if rule is not None and _milder(symptom.level, rule.urgency):
                said = f"Symptom {symptom.key} is seen {_soon(symptom)}, but its rule {rule_id} says"
                said += f" {rule.urgency.replace('_', ' ')}. Make the symptom at least as urgent as the rule."
                yield Finding("contradiction", (symptom.key, rule_id), place, said)
    yield from _unknown_reports(protocol)
    yield from _topics(protocol)


def _milder(level: str, urgency: str) -> bool:
    """Whether a symptom's level waits longer than a rule's urgency; a rule without urgency says nothing."""
    order: list[str] = [*CONCERN_LEVELS]
    return urgency in order and order.index(level) > order.index(urgency)


def _unknown_reports(protocol: Protocol) -> Iterator[Finding]:
    if protocol.concerns.unknown_level in ("next_working_day", "self_care"):
        level = protocol.concerns.unknown_level.replace("_", " ")
        said = f"concerns.unknown_level is {level}: what is not in the list could wait although nobody has judged it."
        said += " It must be same_day or emergency."
        yield Finding("policy", ("concerns.unknown_level",), ("concerns", "unknown_level"), said)


def _topics(protocol: Protocol) -> Iterator[Finding]:
    """Topics without a line for the person."""
    wording = wording_for(protocol)
    told = [
        *(("rule", rule.id, rule.topic) for rule in protocol.rules if rule.topic),
        *(("symptom", one.key, topic) for one in protocol.concerns.symptoms for topic in _topics_of(one)),
        *(("check", check.wording, check.topic) for check in protocol.checks),
    ]
    for section, key, topic in told:
        if not wording.has_audience(topic, "person"):
            said = f'{section.capitalize()} {key} shows the topic "{topic}", which has no line for the person.'
            yield Finding("no-words", (key, topic), (section, key), f"{said} Choose a topic that has one.")


def topic_condition_findings(protocol: Protocol, space: Space) -> Iterator[Finding]:
    """Topics that can never replace the usual one."""
    for symptom in protocol.concerns.symptoms:
        for one in symptom.topic_when:
            if not space.can_be(one.when):
                said = f'Symptom {symptom.key}: the topic "{one.topic}" can never be shown, since its condition can'
                yield Finding(
                    "unreachable", (symptom.key, one.topic), ("symptom", symptom.key), f"{said} never be true."
                )


def _topics_of(symptom: Symptom) -> tuple[str, ...]:
    return (symptom.topic, *(one.topic for one in symptom.topic_when))


def _soon(symptom: Symptom) -> str:
    return symptom.level.replace("_", " ")
