"""For whom a change of protocol can matter at all: everybody else need not be computed.

Each mask is cautious: it may name people for whom nothing changes in the end, and never leaves out one for whom
something does.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import fields
from typing import TypeVar

import numpy as np

from haleward.dose.gentle import gentle_rules
from haleward.dose.guards import DEVICE_ARM_WEEKS
from haleward.dose.preview_people import CAPACITY, Crowd
from haleward.dose.rules import OVERHEAD, REFUSING, resistance_rules
from haleward.record import Record
from haleward.safety.conditions import Condition, Facts, inputs_of, leaves
from haleward.safety.parts import PlacementRule, RiskItem, Rule
from haleward.safety.policy import IntensityPolicy
from haleward.safety.protocol import Protocol
from haleward.safety.vector import Columns, Flags, Truth, evaluate_all

Row = TypeVar("Row", Rule, PlacementRule)
Items = list[tuple[RiskItem, Truth]]
OF_THE_MOVEMENT = ("ext_load_kg", OVERHEAD)  # inputs that each movement answers for itself
# Limits of a dose that a lead may set; a first programme starts inside them and does not read them.
NOT_IN_A_DRAFT = frozenset(
    {"source", "sets_most", "repetitions_low", "repetitions_high", "hold_high_s", "rest_low_s", "rest_high_s"}
    | {"weak_heart_repetitions_high"}
)


def none_of(crowd: Crowd) -> Flags:
    """Nobody."""
    return np.zeros(len(crowd.columns), np.bool_)


def risk_mask(old: Protocol, new: Protocol, before: Crowd, after: Crowd, *, with_capacity: bool) -> Flags:
    """Whose risk level can differ: what settles it as high, or rules it out as low, stands under one protocol only.

    ``with_capacity`` says whether these facts hold the capacity of each walk. Without it, items that read it are left
    aside; both protocols must then say the same of them.
    """
    was = _risk_truths(old, before, with_capacity=with_capacity)
    now = _risk_truths(new, after, with_capacity=with_capacity)
    high, high_too = _settled_high(was, none_of(before)), _settled_high(now, none_of(after))
    not_low, not_low_too = _ruled_out_low(was, none_of(before)), _ruled_out_low(now, none_of(after))
    mask: Flags = (high ^ high_too) | ((not_low ^ not_low_too) & ~(high & high_too))
    return mask


def _risk_truths(protocol: Protocol, crowd: Crowd, *, with_capacity: bool) -> Items:
    items = protocol.stratification.items
    asked = [item for item in items if with_capacity or not CAPACITY & {*inputs_of(item.condition)}]
    return [(item, evaluate_all(item.condition, crowd.columns)) for item in asked]


def _settled_high(items: Items, nobody: Flags) -> Flags:
    """Where a high item is met."""
    met = [nobody, *(truth.true for item, truth in items if item.band == "high")]
    return np.asarray(np.logical_or.reduce(met), dtype=np.bool_)


def _ruled_out_low(items: Items, nobody: Flags) -> Flags:
    """Where some item stands against low."""
    against = [nobody, *(~_neutral(item, truth) for item, truth in items)]
    return np.asarray(np.logical_or.reduce(against), dtype=np.bool_)


def placement_mask(old: Protocol, new: Protocol, before: Crowd, after: Crowd) -> Flags:
    """Whose placement can differ: a rule fires for one protocol only, or a test that is newly needed is missing."""
    mask = none_of(before)
    for was, now in _pairs(old.placement.rules, new.placement.rules):
        if was == now and not _reads_capacity(was, now, before, after):
            continue
        first, second = _state(was, before.columns), _state(now, after.columns)
        fired = [truth.true for truth in (first, second) if truth is not None]
        alike = was is not None and now is not None and was.effect == now.effect
        mask |= fired[0] ^ fired[1] if alike and len(fired) == 2 else np.logical_or.reduce(fired)
    for name in _needed(old) ^ _needed(new):
        mask |= ~before.columns.column(name[1]).known
    return mask


def range_mask(old: Protocol, new: Protocol, records: Sequence[Record], facts: Sequence[Facts]) -> Flags:
    """Whose heart-rate range can differ: those to whom a changed field of the policy applies."""
    was, now = old.policies.intensity, new.policies.intensity
    changed = [item.name for item in fields(IntensityPolicy) if getattr(was, item.name) != getattr(now, item.name)]
    asked = [_APPLIES.get(name, _always) for name in changed]
    return np.fromiter(
        (
            any(applies(record, given, was, now) for applies in asked)
            for record, given in zip(records, facts, strict=True)
        ),
        np.bool_,
        len(records),
    )


def dose_mask(old: Protocol, new: Protocol, crowd: Crowd) -> Flags:
    """Whose first programme can differ by the dose policy or the resistance rules; placement and capacity apart."""
    was, now = vars(old.policies.dose), vars(new.policies.dose)
    weeks = [protocol.settings.get(DEVICE_ARM_WEEKS) for protocol in (old, new)]
    if weeks[0] != weeks[1] or any(was[name] != now[name] for name in was if name not in NOT_IN_A_DRAFT):
        return np.ones(len(crowd.columns), np.bool_)
    mask = none_of(crowd)
    blank = Columns(crowd.facts, blank=OF_THE_MOVEMENT)
    rules = (_rules_of_a_dose(old), _rules_of_a_dose(new))
    for before, after in _pairs(*rules):
        if _rules_alike(before, after):
            continue
        for columns in (crowd.columns, blank):
            mask |= ~_resistance_settled(before, after, columns)
    return mask


def _rules_of_a_dose(protocol: Protocol) -> tuple[Rule, ...]:
    """The resistance rules, the rule that asks for short bouts of walking, and those under which people start small."""
    bouts = tuple(rule for rule in protocol.rules if rule.id == protocol.policies.dose.short_bouts_rule)
    return tuple({rule.id: rule for rule in (*resistance_rules(protocol), *bouts, *gentle_rules(protocol))}.values())


def _rules_alike(was: Rule | None, now: Rule | None) -> bool:
    return was is not None and now is not None and (was.condition, was.level) == (now.condition, now.level)


def _resistance_settled(was: Rule | None, now: Rule | None, columns: Columns) -> Flags:
    """Where the rule says the same of every movement under both protocols."""
    found = [rule for rule in (was, now) if rule is not None]
    if any(_asks_whether_known(rule.condition) for rule in found):
        return np.zeros(len(columns), np.bool_)
    truths = [evaluate_all(rule.condition, columns) for rule in found]
    settled: Flags = np.logical_and.reduce([truth.false for truth in truths])
    if was is not None and now is not None and (was.level in REFUSING) == (now.level in REFUSING):
        settled = settled | (truths[0].true & truths[1].true)
    return settled


def _asks_whether_known(condition: Condition) -> bool:
    """Whether it asks if something that a movement answers is known: such an answer is never settled beforehand."""
    return any("known" in leaf and leaf["input"] in OF_THE_MOVEMENT for leaf in leaves(condition))


def _pairs(old: Sequence[Row], new: Sequence[Row]) -> Iterator[tuple[Row | None, Row | None]]:
    """The rows of both by their id; ``None`` where one of the two has none."""
    was: dict[str, Row] = {row.id: row for row in old}
    now: dict[str, Row] = {row.id: row for row in new}
    for row_id in dict.fromkeys([*was, *now]):
        yield was.get(row_id), now.get(row_id)


def _state(row: Row | None, columns: Columns) -> Truth | None:
    return None if row is None else evaluate_all(row.condition, columns)


def _reads_capacity(was: Row | None, now: Row | None, before: Crowd, after: Crowd) -> bool:
    """Whether the same condition may answer differently because capacity was computed by another method."""
    reads = {*(inputs_of(was.condition) if was else ()), *(inputs_of(now.condition) if now else ())}
    return before is not after and bool(CAPACITY & reads)


def _neutral(item: RiskItem, truth: Truth) -> Flags:
    """Where an item does not stand against low: a low one that is met, another one that is not, or one left out."""
    calm = truth.true if item.band == "low" else truth.false
    return calm | truth.unknown if item.omit_if_unknown else calm


def _needed(protocol: Protocol) -> set[tuple[str, str]]:
    """Every test that a posture needs, with the posture."""
    rules = protocol.placement
    needs = {"standing": rules.standing_needs, "supported": rules.supported_needs, "narrow": rules.narrow_base_needs}
    return {(posture, name) for posture, names in needs.items() for name in names}


Applies = Callable[[Record, Facts, IntensityPolicy, IntensityPolicy], bool]


def _never(_record: Record, _facts: Facts, _was: IntensityPolicy, _now: IntensityPolicy) -> bool:
    return False


def _always(_record: Record, _facts: Facts, _was: IntensityPolicy, _now: IntensityPolicy) -> bool:
    return True


def _has_reading(record: Record, _facts: Facts, _was: IntensityPolicy, _now: IntensityPolicy) -> bool:
    return record.resting_heart_rate is not None


def _beta_blocked(record: Record, _facts: Facts, _was: IntensityPolicy, _now: IntensityPolicy) -> bool:
    return record.takes("beta_blocker") is True


def _has_detection(record: Record, facts: Facts, _was: IntensityPolicy, _now: IntensityPolicy) -> bool:
    known = record.device is not None and record.device.lowest_detection_bpm is not None
    return known or facts.get("icd_detect_bpm") is not None


def _has_ischaemia(record: Record, facts: Facts, _was: IntensityPolicy, _now: IntensityPolicy) -> bool:
    return record.ischaemic_threshold_bpm is not None or facts.get("ischaemic_threshold_hr") is not None


def _listed(name: str, codes: Callable[[Record], Iterable[str | None]]) -> Applies:
    """Whether one of the person's codes joined or left the list ``name``."""

    def applies(record: Record, _facts: Facts, was: IntensityPolicy, now: IntensityPolicy) -> bool:
        moved = {*getattr(was, name)} ^ {*getattr(now, name)}
        return any(code in moved for code in codes(record))

    return applies


def _classes(record: Record) -> list[str | None]:
    return [medicine.drug_class for medicine in record.medicines or ()]


def _kind(record: Record) -> list[str | None]:
    return [record.device.kind if record.device else None]


# Whom a field of the intensity policy can concern; a field that is not listed here concerns everybody.
_APPLIES: Mapping[str, Applies] = {
    **dict.fromkeys(("effort_scale", "effort_low", "effort_high", "source"), _never),
    **dict.fromkeys(("capacity_method", "shuttle_method"), _never),
    **dict.fromkeys(("reserve_fraction_low", "reserve_fraction_high", "smallest_reserve_bpm"), _has_reading),
    **dict.fromkeys(("maximum_method", "reading_valid_days"), _has_reading),
    **dict.fromkeys(("beta_blocker_method", "beta_blocker_subtract_bpm"), _beta_blocked),
    "device_margin_bpm": _has_detection,
    "ischaemia_margin_bpm": _has_ischaemia,
    "prediction_not_with": _listed("prediction_not_with", _classes),
    "epoch_medicines": _listed("epoch_medicines", _classes),
    "not_usable_rhythms": _listed("not_usable_rhythms", lambda record: [record.rhythm]),
    "not_usable_events": _listed("not_usable_events", lambda record: [event.kind for event in record.events]),
    "not_usable_devices": _listed("not_usable_devices", _kind),
    "detecting_devices": _listed("detecting_devices", _kind),
}
