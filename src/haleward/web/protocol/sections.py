"""The sections of the document, in the order of care, made from one loaded protocol."""

from __future__ import annotations

from haleward.safety.protocol import Protocol
from haleward.web.protocol.document import Section
from haleward.web.protocol.sections_levels import placement, risk, triage
from haleward.web.protocol.sections_rules import entry, gate, resistance, stop
from haleward.web.protocol.sections_values import kept, numbers, policy, wording


def sections_of(protocol: Protocol) -> tuple[Section, ...]:
    """The whole protocol, section by section."""
    return (
        entry(protocol),
        risk(protocol),
        gate(protocol),
        stop(protocol),
        resistance(protocol),
        policy(protocol, "intensity", "Intensity", "How hard to walk, and when heart rate is not used."),
        policy(protocol, "dose", "Dose", "What a first programme contains."),
        policy(protocol, "progression", "Progression", "When a next step is proposed. A lead decides each one."),
        placement(protocol),
        triage(protocol),
        *wording(protocol),
        numbers(protocol),
        *kept(protocol),
    )


def anchors_of(protocol: Protocol) -> frozenset[str]:
    """Every id that the document has an anchor for: rules, risk items, placement rules, policies, triage."""
    lines = [line for section in sections_of(protocol) for part in section.parts for line in part.lines]
    keys = [section.key for section in sections_of(protocol)]
    return frozenset([*keys, *(anchor for line in lines for anchor in line.anchors)])
