"""The protocol, library, wording and numbers that are in force for one service."""

from __future__ import annotations

from dataclasses import dataclass

from haleward.movement.library import Library, default_library
from haleward.safety.conditions import to_sentence
from haleward.safety.protocol import Protocol, default_protocol
from haleward.web.team.models import Service as ServiceRow
from haleward.wording import Service, Wording, default_wording


def protocol_of(service: ServiceRow) -> Protocol:
    """The protocol of this service's jurisdiction."""
    return default_protocol(jurisdiction=service.jurisdiction)


def library() -> Library:
    """The movement library."""
    return default_library()


def wording() -> Wording:
    """The wording tables."""
    return default_wording()


def numbers_of(service: ServiceRow) -> Service:
    """The service's name and numbers for the wording's placeholders."""
    return Service(name=service.name, values=service.values)


@dataclass(frozen=True)
class RuleLine:
    """One rule as the protocol page shows it."""

    rule_id: str
    sentence: str
    level: str
    urgency: str
    text: str
    sources: str
    trust: str


def protocol_sections(protocol: Protocol) -> list[tuple[str, list[RuleLine]]]:
    """The rules in force, stage by stage, as sentences."""
    stages: dict[str, list[RuleLine]] = {}
    for rule in protocol.rules:
        line = RuleLine(
            rule.id,
            to_sentence(rule.condition),
            rule.level,
            rule.urgency,
            rule.text,
            ", ".join(rule.sources),
            rule.trust,
        )
        stages.setdefault(rule.stage, []).append(line)
    return list(stages.items())
