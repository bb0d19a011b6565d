"""How soon someone must look at what a person reported. Nothing unknown is ever triaged down.

An answer "unsure" goes one level up. A bare topic stands for its usual symptom, taken as unsure. Anything that is not
in the protocol's list, free text included, gets the protocol's level for unknown reports.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from haleward.safety.conditions import Facts, evaluate
from haleward.safety.model import Concern
from haleward.safety.parts import CONCERN_LEVELS, ConcernLevel, Symptom, TopicWhen
from haleward.safety.protocol import Protocol
from haleward.safety.words import words

Reported = Mapping[str, bool | None] | Iterable[str]


def triage(reported: Reported, protocol: Protocol, *, facts: Facts | None = None) -> Concern | None:
    """The most urgent concern among what was reported, with the ids of every one; ``None`` if nothing was.

    ``reported`` holds symptom keys or safety topics; as a mapping, ``True`` means yes, ``None`` unsure, ``False`` no.
    ``facts`` choose between topics, for example with and without a nitrate.
    """
    answers = reported if isinstance(reported, Mapping) else dict.fromkeys(reported, True)
    found = [
        _concern(name, protocol, facts or {}, unsure=answer is None)
        for name, answer in answers.items()
        if answer is not False
    ]
    if not found:
        return None
    worst = min(found, key=lambda one: CONCERN_LEVELS.index(one.level))
    ids = tuple(dict.fromkeys(rule_id for one in found for rule_id in one.rule_ids))
    return Concern(worst.level, worst.topic, ids, worst.how_soon)


def topic_for(topic: str, topic_when: tuple[TopicWhen, ...], facts: Facts) -> str:
    """The topic to show: the first whose condition is true, else the usual one."""
    return next((one.topic for one in topic_when if evaluate(one.when, facts)), topic)


def _concern(name: str, protocol: Protocol, facts: Facts, *, unsure: bool) -> Concern:
    rules = protocol.concerns
    symptom = next((one for one in rules.symptoms if one.key == name), None)
    if symptom is None:
        symptom, unsure = _usual(name, rules.symptoms), True
    if symptom is None:
        return Concern(rules.unknown_level, rules.unknown_topic, (), words(f"how_soon_{rules.unknown_level}"))
    level = _one_up(symptom.level) if unsure else symptom.level
    return Concern(level, topic_for(symptom.topic, symptom.topic_when, facts), symptom.ids, words(f"how_soon_{level}"))


def _usual(topic: str, symptoms: tuple[Symptom, ...]) -> Symptom | None:
    return next((one for one in symptoms if one.usual and topic in _topics(one)), None)


def _topics(symptom: Symptom) -> tuple[str, ...]:
    return (symptom.topic, *(one.topic for one in symptom.topic_when))


def _one_up(level: ConcernLevel) -> ConcernLevel:
    return CONCERN_LEVELS[max(0, CONCERN_LEVELS.index(level) - 1)]
