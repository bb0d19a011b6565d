"""Where things come from: every rule, limit and line of wording names a source and how far it was checked."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from haleward.physiology.tables import rows
from haleward.safety.analysis.finding import Finding
from haleward.safety.protocol import Protocol

_ID = re.compile(r"[A-Z]\d+")  # the form of an id in the list; anything else is a source in a team's own words


@dataclass(frozen=True)
class _Told:
    """One thing of the protocol with what it says of its origin; ``trust`` is ``None`` where none is asked for."""

    section: str
    id: str
    title: str
    sources: tuple[str, ...]
    trust: str | None


def source_findings(protocol: Protocol) -> Iterator[Finding]:
    """What names no source, no trust, or a source that is not in the table."""
    known = {row["id"] for row in rows("sources")}
    for told in _told(protocol):
        place = (told.section, told.id)
        if not [source for source in told.sources if source.strip()]:
            said = f"{told.title} names no source. Name one of the list of sources, or your own local policy."
            yield Finding("without-source", (told.id,), place, said)
        if told.trust is not None and not told.trust.strip():
            said = f"{told.title} does not say how far its source was checked. Write trust, e.g. seen at the source."
            yield Finding("without-trust", (told.id,), place, said)
        for source in told.sources:
            if _ID.fullmatch(source) and source not in known:
                said = (
                    f"{told.title} names the source {source}, which the list of sources does not have. Correct the id,"
                )
                yield Finding("unknown-source", (told.id, source), place, f"{said} or write the source in words.")


def _told(protocol: Protocol) -> Iterator[_Told]:
    for rule in protocol.rules:
        yield _Told("rule", rule.id, f"Rule {rule.id}", rule.sources, rule.trust)
    for item in protocol.stratification.items:
        yield _Told("risk_item", item.id, f"Risk item {item.id}", item.sources, item.trust)
    for placed in protocol.placement.rules:
        yield _Told("placement_rule", placed.id, f"Placement rule {placed.id}", placed.sources, placed.trust)
    for check in protocol.checks:
        yield _Told("check", check.wording, f"Question {check.wording}", (check.source,), check.trust)
    for symptom in protocol.concerns.symptoms:
        yield _Told("symptom", symptom.key, f"Symptom {symptom.key}", symptom.sources, symptom.trust)
    for name, setting in protocol.settings.items():
        yield _Told("setting", name, f"Setting {name}", setting.sources, setting.trust)
    for name, number in protocol.numbers.items():
        if number.text:
            yield _Told("number", name, f"Number {name}", number.sources, number.trust)
    for own in protocol.wording_overrides:
        yield _Told("wording", own.key, f'The wording "{own.key}"', (own.source,), None)
    policies, schemes = protocol.policies, protocol
    for section, source in {
        "intensity": policies.intensity.source,
        "dose": policies.dose.source,
        "progression": policies.progression.source,
        "risk": schemes.stratification.source,
        "placement": schemes.placement.source,
        "concerns": schemes.concerns.source,
    }.items():
        yield _Told(section, "source", f"Section [{section}]", (source,), None)
