"""Policies that contradict themselves or the rules.

A low end above its high end, effort outside its scale, a step larger than its room, a margin under a stop rule's.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Any, get_args

from haleward.physiology.tables import rows
from haleward.record import DeviceKind, DrugClass, EventType, Rhythm
from haleward.safety.analysis.finding import Finding
from haleward.safety.conditions import COMPARISONS, leaves
from haleward.safety.policy import NOT_USABLE_FACTS
from haleward.safety.protocol import Protocol

_SCALES = {"0-10": (0.0, 10.0), "6-20": (6.0, 20.0)}
_ORDERED = (  # section, the lower key, the higher key, whether they may be equal
    ("intensity", "effort_low", "effort_high", False),
    ("intensity", "reserve_fraction_low", "reserve_fraction_high", False),
    ("dose", "effort_low", "effort_high", False),
    ("dose", "repetitions_low", "repetitions_high", False),
    ("dose", "repetitions_low", "repetitions", True),
    ("dose", "repetitions", "repetitions_high", True),
    ("dose", "hold_s", "hold_high_s", True),
    ("dose", "rest_low_s", "rest_high_s", False),
    ("dose", "rest_low_s", "rest_s", True),
    ("dose", "rest_s", "rest_high_s", True),
    ("dose", "sets", "sets_most", True),
    ("dose", "new_movements_most", "movements_most", True),
    ("dose", "functional_least", "movements_most", True),
    ("dose", "walking_days_new", "walking_days_most", True),
    ("dose", "walking_bout_minutes_low_capacity", "walking_minutes_low_capacity", True),
    ("dose", "frail_movements_most", "new_movements_most", True),
    ("dose", "frail_walking_bout_minutes", "frail_walking_minutes", True),
    ("dose", "frail_walking_minutes", "walking_minutes_low_capacity", True),
    ("dose", "effort_low", "weak_heart_effort_high", True),
    ("dose", "weak_heart_effort_high", "effort_high", True),
    ("dose", "repetitions", "weak_heart_repetitions_high", True),
    ("progression", "gap_repeat_days", "gap_step_back_days", False),
    ("progression", "gap_step_back_days", "gap_reassess_days", False),
    ("progression", "hard_sessions", "hard_of_sessions", True),
)
_BOUNDS: tuple[tuple[str, str, float, float], ...] = (  # section, key, the least and the most that makes sense
    ("intensity", "reserve_fraction_low", 0, 1),
    ("intensity", "reserve_fraction_high", 0, 1),
    ("intensity", "beta_blocker_subtract_bpm", 0, 60),
    ("intensity", "device_margin_bpm", 1, 60),
    ("intensity", "ischaemia_margin_bpm", 1, 60),
    ("intensity", "smallest_reserve_bpm", 1, 100),
    ("intensity", "reading_valid_days", 1, 366),
    ("dose", "sets", 1, 10),
    ("dose", "repetitions_low", 1, 50),
    ("dose", "movements_most", 1, 20),
    ("dose", "rest_days_between_parts", 0, 6),
    ("dose", "light_load_most_kg", 0, 20),
    ("dose", "walking_days_most", 1, 7),
    ("dose", "walking_minutes", 1, 180),
    ("dose", "walking_fraction_of_peak", 0, 1),
    ("dose", "low_capacity_met", 1, 25),
    ("dose", "frail_movements_most", 1, 20),
    ("dose", "frail_walking_minutes", 1, 60),
    ("dose", "frail_walking_bout_minutes", 1, 60),
    ("dose", "frail_walking_rest_minutes", 0, 60),
    ("dose", "weak_heart_warm_up_more_minutes", 0, 30),
    ("dose", "weak_heart_repetitions_high", 1, 50),
    ("progression", "sessions_needed", 1, 20),
    ("progression", "finding_sessions", 1, 20),
    ("progression", "finding_step_kg", 0.1, 5),
    ("progression", "repetition_step", 1, 20),
    ("progression", "gap_repeat_days", 1, 366),
)
_CODES: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("intensity", "prediction_not_with", get_args(DrugClass)),
    ("intensity", "epoch_medicines", get_args(DrugClass)),
    ("intensity", "not_usable_rhythms", get_args(Rhythm)),
    ("intensity", "not_usable_events", get_args(EventType)),
    ("intensity", "not_usable_facts", NOT_USABLE_FACTS),
    ("intensity", "not_usable_devices", get_args(DeviceKind)),
    ("intensity", "detecting_devices", get_args(DeviceKind)),
    ("progression", "raise_order", ("repetitions", "sets", "load", "posture")),
    ("progression", "one_raise_in", ("exercise", "session", "programme")),
    ("progression", "step_back_after", ("illness", "medicine", "restriction")),
    ("progression", "walking_order", ("minutes", "join", "days", "pace")),
)
_MARGINS = {"icd_detect_bpm": "device_margin_bpm", "ischaemic_threshold_hr": "ischaemia_margin_bpm"}


def policy_findings(protocol: Protocol, *, formulas: Collection[str] = ()) -> Iterator[Finding]:
    """What is wrong within the policies; ``formulas``, if given, are the names a method may have."""
    values: dict[str, Mapping[str, Any]] = {
        "intensity": vars(protocol.policies.intensity),
        "dose": vars(protocol.policies.dose),
        "progression": vars(protocol.policies.progression),
    }
    yield from _order(values)
    yield from _bounds(values, _SCALES[protocol.policies.intensity.effort_scale])
    yield from _steps(values)
    yield from _codes(values)
    yield from _rule_ids(protocol)
    yield from _frail_regions(protocol)
    yield from _margins(protocol)
    for key in ("maximum_method", "beta_blocker_method", "capacity_method", "shuttle_method"):
        if formulas and values["intensity"][key] not in formulas:
            said = f'{_named("intensity", key)} is "{values["intensity"][key]}", which is not a formula'
            yield _policy("intensity", key, f"{said}; haleward calc --list shows their names.")


def _order(values: Mapping[str, Mapping[str, Any]]) -> Iterator[Finding]:
    for section, lower, higher, equal in _ORDERED:
        low, high = values[section][lower], values[section][higher]
        if low is None or high is None:  # a rule that this protocol does not have
            continue
        if low > high or (low == high and not equal):
            must = "must not be over" if equal else "must be under"
            said = f"{_named(section, lower)} is {low:g} and {_named(section, higher)} is {high:g}"
            yield _policy(section, lower, f"{said}; the first {must} the second.")


def _bounds(values: Mapping[str, Mapping[str, Any]], scale: tuple[float, float]) -> Iterator[Finding]:
    efforts = [
        ("intensity", "effort_low"),
        ("intensity", "effort_high"),
        ("dose", "effort_low"),
        ("dose", "effort_high"),
    ]
    of_effort = [(section, key, *scale) for section, key in [*efforts, ("progression", "effort_at_most")]]
    for section, key, least, most in (*_BOUNDS, *of_effort):
        value = values[section][key]
        if value is not None and not least <= value <= most:
            on = f" on the effort scale {scale[0]:g} to {scale[1]:g}" if "effort" in key else ""
            yield _policy(
                section, key, f"{_named(section, key)} is {value:g}; it must be from {least:g} to {most:g}{on}."
            )


def _steps(values: Mapping[str, Mapping[str, Any]]) -> Iterator[Finding]:
    dose, progression = values["dose"], values["progression"]
    for key, room, what in (
        ("repetition_step", dose["repetitions_high"] - dose["repetitions_low"], "the repetitions of a dose"),
        ("hold_step_s", dose["hold_high_s"] - dose["hold_s"], "the holds of a dose"),
    ):
        if progression[key] > room:
            said = f"{_named('progression', key)} is {progression[key]:g}, but {what} leave room for {room:g}"
            yield _policy("progression", key, f"{said}; make the step smaller.")


def _codes(values: Mapping[str, Mapping[str, Any]]) -> Iterator[Finding]:
    for section, key, allowed in _CODES:
        for code in values[section][key] or ():  # None: the rule is not in this protocol
            if code not in allowed:
                said = f'{_named(section, key)} names "{code}", which is not one of {", ".join(allowed)}.'
                yield _policy(section, key, said)


def _rule_ids(protocol: Protocol) -> Iterator[Finding]:
    dose, known = protocol.policies.dose, {rule.id for rule in protocol.rules}
    named = {
        "upper_body_rules": dose.upper_body_rules,
        "sternum_rule": (dose.sternum_rule,),
        "short_bouts_rule": (dose.short_bouts_rule,),
        "frail_rule": (dose.frail_rule,),
        "weak_heart_rule": (dose.weak_heart_rule,),
    }
    for key, ids in named.items():
        for rule_id in ids:
            if rule_id is not None and rule_id not in known:
                yield _policy(
                    "dose",
                    key,
                    f"{_named('dose', key)} names {rule_id}, but there is no such rule for this jurisdiction.",
                )


def _frail_regions(protocol: Protocol) -> Iterator[Finding]:
    """The regions of a frail person are among those of everybody."""
    dose = protocol.policies.dose
    for region in dose.frail_regions or ():
        if region not in dose.required_regions:
            said = (
                f'{_named("dose", "frail_regions")} names "{region}", which is not among the regions a programme needs.'
            )
            yield _policy("dose", "frail_regions", said)


def _margins(protocol: Protocol) -> Iterator[Finding]:
    """A heart-rate range must end below the rate at which a rule stops or eases the session."""
    intensity = vars(protocol.policies.intensity)
    for rule in protocol.rules:
        for leaf in leaves(rule.condition):
            for test in set(COMPARISONS) & set(leaf):
                limit = leaf[test]
                key = _MARGINS.get(limit["input"]) if isinstance(limit, Mapping) else None
                margin = -limit.get("plus", 0) if isinstance(limit, Mapping) else 0
                if key and rule.level == "block" and margin > intensity[key]:
                    said = f"{_named('intensity', key)} is {intensity[key]:g}, but rule {rule.id} stops the session"
                    said += f" {margin:g} beats below that rate; the margin must be at least {margin:g}."
                    yield _policy("intensity", key, said)


def _policy(section: str, key: str, said: str) -> Finding:
    return Finding("policy", (f"{section}.{key}",), (section, key), f"{said[:1].upper()}{said[1:]}")


def _named(section: str, key: str) -> str:
    """A value by its words on the page and its key in the file."""
    label = next((row["label"] for row in rows("protocol_fields") if row["key"] == f"{section}.{key}"), key)
    return f"{label} ({section}.{key})"
