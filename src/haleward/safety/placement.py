"""Placement: the posture a person starts in. The most supported posture any rule gives; then P8 and P9 on top.

Missing tests never place anyone free-standing, and without a chair rise nobody is placed standing at all: the protocol
lists what each posture needs, and ``ask`` names the tests that would settle the placement.
"""

from __future__ import annotations

from haleward.record import POSTURES, Posture, Record
from haleward.safety.conditions import Facts
from haleward.safety.inputs import default_inputs
from haleward.safety.model import Placement
from haleward.safety.parts import PlacementRule, PlacementRules
from haleward.safety.protocol import Protocol
from haleward.safety.rules import state_of, used_inputs
from haleward.safety.words import labels, words
from haleward.worksheet import Input, Step, Worksheet

_POSTURE_OF: dict[str, Posture] = {"seated": "seated", "hand_supported": "hand_supported"}


def place(record: Record, facts: Facts, protocol: Protocol) -> Placement:
    """Where this person starts, by the protocol's placement rules; ``facts`` are :func:`facts_of` the record."""
    rules = protocol.placement
    fired = [rule for rule in rules.rules if state_of(rule.condition, facts) == "fired"]
    effects = {rule.effect for rule in fired}
    missing_for = {
        "hand_supported": _unknown(rules.supported_needs, facts),
        "standing": _unknown(rules.standing_needs, facts),
        "narrow": _unknown(rules.narrow_base_needs, facts),
    }
    posture = _most_supported([*(_POSTURE_OF[effect] for effect in effects if effect in _POSTURE_OF), "standing"])
    posture = _most_supported([posture, _allowed(missing_for)])
    if "one_level_down" in effects:
        posture = POSTURES[max(0, POSTURES.index(posture) - 1)]
    guarded = effects & {"narrow_base_supported", "wide_base_standing"} or missing_for["narrow"]
    narrow = _most_supported([posture, "hand_supported"]) if guarded else posture
    ask = (
        ()
        if posture == "seated" and not missing_for["hand_supported"]
        else tuple(dict.fromkeys((*missing_for["standing"], *missing_for["narrow"])))
    )
    return Placement(
        posture=posture,
        narrow_base_posture=narrow,
        balance_emphasis="balance_emphasis" in effects,
        basis=_basis(posture, fired, missing_for, rules),
        fired_rule_ids=tuple(rule.id for rule in fired),
        worksheet=_worksheet(record, posture, narrow, ask, facts, protocol),
        ask=ask,
    )


def _allowed(missing_for: dict[str, tuple[str, ...]]) -> Posture:
    """The freest posture that the known tests allow."""
    if missing_for["hand_supported"]:
        return "seated"
    return "hand_supported" if missing_for["standing"] else "standing"


def _most_supported(postures: list[Posture]) -> Posture:
    return min(postures, key=POSTURES.index)


def _unknown(names: tuple[str, ...], facts: Facts) -> tuple[str, ...]:
    return tuple(name for name in names if facts.get(name) is None)


def _basis(
    posture: Posture, fired: list[PlacementRule], missing_for: dict[str, tuple[str, ...]], rules: PlacementRules
) -> str:
    """Why this posture, each reason with S (published) or C (common practice)."""
    reasons = [f"{rule.id}: {rule.wording} ({rule.basis})" for rule in fired]
    missing = missing_for["hand_supported"] or missing_for["standing"]
    if missing and not any(rule.effect == "seated" for rule in fired):
        posture_name = words(f"posture_{posture}")
        reasons.append(words("placement_not_tested", labels=labels(missing, between=" and "), posture=posture_name))
    if not reasons:
        reasons.append(words("placement_least_pair", labels=labels(rules.standing_needs, between=" and ")))
    return " ".join(reasons)


def _worksheet(
    record: Record, posture: Posture, narrow: Posture, ask: tuple[str, ...], facts: Facts, protocol: Protocol
) -> Worksheet:
    inputs = default_inputs()
    tested = record.tests.tested_on
    origin = f"tested {tested.day} {tested:%B %Y}" if tested else ""
    steps = tuple(
        Step(
            title=f"{rule.id}, basis {rule.basis}",
            formula=rule.wording,
            inputs=tuple(
                Input(inputs[name].label, value, inputs[name].unit if inputs[name].kind == "number" else "", origin)
                for name, value in used_inputs(rule.condition, facts)
            ),
            result=words(f"placement_{state_of(rule.condition, facts)}"),
            source=f"{', '.join(rule.sources)} ({rule.trust})",
            rule_id=rule.id,
        )
        for rule in protocol.placement.rules
    )
    cautions = [words("placement_confirm", source=protocol.placement.source)]
    if ask:
        cautions.append(words("placement_test_next", labels=labels(ask)))
    result = words(f"posture_{posture}")
    if narrow != posture:
        result = words("placement_narrow", posture=result, narrow=words(f"posture_{narrow}"))
    return Worksheet(title="Placement", result=result, steps=steps, cautions=tuple(cautions))
