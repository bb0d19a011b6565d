"""Draft risk level: any high item gives high; every low item gives low; otherwise moderate.

An unmeasured capacity is left out and flagged. Any other item that cannot be answered means low cannot be claimed.
The level says how closely to supervise; the gate outranks it.
"""

from __future__ import annotations

from typing import Literal

from haleward.safety.conditions import Facts
from haleward.safety.inputs import default_inputs
from haleward.safety.model import FiredRule, RiskLevel
from haleward.safety.parts import RiskItem
from haleward.safety.protocol import Protocol
from haleward.safety.rules import missing_inputs, state_of, used_inputs, value_text
from haleward.safety.words import labels, words
from haleward.worksheet import Input, Step, Worksheet

Level = Literal["low", "moderate", "high"]


def risk_level(facts: Facts, protocol: Protocol) -> RiskLevel:
    """The level by the protocol's scheme, with the items that drove it and the inputs that are missing."""
    scheme = protocol.stratification
    states = [(item, _state(item, facts)) for item in scheme.items]
    level = _level(states)
    driving = [_fired(item, facts) for item, state in states if state == "fired" and item.band == level != "low"]
    unknown = [(item, _fired(item, facts)) for item, state in states if state == "unknown"]
    missing = dict.fromkeys(name for _, one in unknown for name in one.missing)
    return RiskLevel(
        level=level,
        items=(*driving, *(one for item, one in unknown if item.band != "low")),
        missing=tuple(missing),
        scheme=scheme.scheme,
        worksheet=Worksheet(
            title="Risk level",
            result=level,
            steps=tuple(_step(item, state, facts, protocol) for item, state in states),
            cautions=_cautions(states, level, tuple(missing), protocol),
        ),
    )


def _state(item: RiskItem, facts: Facts) -> str:
    state = state_of(item.condition, facts)
    return "omitted" if state == "unknown" and item.omit_if_unknown else state


def _level(states: list[tuple[RiskItem, str]]) -> Level:
    if any(item.band == "high" and state == "fired" for item, state in states):
        return "high"
    low_met = all(state in ("fired", "omitted") for item, state in states if item.band == "low")
    rest_excluded = all(state in ("not_fired", "omitted") for item, state in states if item.band != "low")
    return "low" if low_met and rest_excluded else "moderate"


def _fired(item: RiskItem, facts: Facts) -> FiredRule:
    state = state_of(item.condition, facts)
    return FiredRule(
        rule_id=item.id,
        state="fired" if state == "fired" else "unknown",
        level=item.band,
        urgency="none",
        text=f"{item.criterion}.",
        source=", ".join(item.sources),
        trust=item.trust,
        inputs=used_inputs(item.condition, facts),
        missing=missing_inputs(item.condition, facts) if state == "unknown" else (),
    )


def _step(item: RiskItem, state: str, facts: Facts, protocol: Protocol) -> Step:
    inputs = default_inputs()
    return Step(
        title=f"{item.domain}, {item.band}",
        formula=item.criterion,
        inputs=tuple(
            Input(
                inputs[name].label,
                value,
                inputs[name].unit if inputs[name].kind == "number" else "",
                _origin(name, facts),
            )
            for name, value in used_inputs(item.condition, facts)
        ),
        result=words(f"risk_{state}"),
        source=f"{', '.join(item.sources)} ({item.trust}); protocol {protocol.id} {protocol.version}",
        rule_id=item.id,
    )


def _origin(name: str, facts: Facts) -> str:
    basis = facts.get("fc_mets_basis")
    return value_text(basis) if name == "fc_mets" and basis is not None else ""


def _cautions(
    states: list[tuple[RiskItem, str]], level: Level, missing: tuple[str, ...], protocol: Protocol
) -> tuple[str, ...]:
    scheme = protocol.stratification
    settings = "risk_settings_icd" if scheme.icd_counts_as_high else "risk_settings_no_icd"
    found = [words("risk_draft"), words(settings, capacity=scheme.capacity_under_5_mets)]
    if any(state == "omitted" for _, state in states):
        found.append(words("risk_capacity_omitted"))
    if missing:
        key = "risk_incomplete_moderate" if level == "moderate" else "risk_incomplete"
        found.append(words(key, labels=labels(missing)))
    return tuple(found)
