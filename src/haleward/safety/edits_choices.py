"""The codes that a field of a protocol file may take, where this room knows them."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import get_args

from haleward.formula import REGISTRY
from haleward.physiology import heart_rate as _registers  # noqa: F401 - its formulas must be known
from haleward.physiology.tables import rows
from haleward.record import DeviceKind, DrugClass, EventType, Rhythm
from haleward.safety.edits_fields import Keeps
from haleward.safety.inputs import default_inputs
from haleward.safety.parts import CONCERN_LEVELS, RULE_LEVELS, URGENCIES, Band, Effect, Jurisdiction, Stage
from haleward.safety.policy import NOT_USABLE_FACTS
from haleward.wording import default_wording

_KEEPS: Mapping[str, Keeps] = {
    "dose/required_regions": "order",
    "dose/preferred_movements": "order",
    "dose/frail_regions": "order",
    "progression/raise_order": "order",
    "progression/walking_order": "order",
    "progression/one_raise_in": "one",
}


def keeps_for(section: str, key: str) -> Keeps:
    """What a list of choices is: where the order counts, or one alone, it is said here."""
    return _KEEPS.get(f"{section}/{key}", "set")


@cache
def choice_words_for(section: str, key: str) -> Mapping[str, str]:
    """Words for the choices of ``key`` of ``section``, beside those of data/tables/code_words.csv."""
    if key == "sources":
        return {row["id"]: f"{row['id']}: {row['source']}" for row in rows("sources")}
    return {name: found.label for name, found in default_inputs().items()} if section == "placement" else {}


@cache
def choices_for(section: str, key: str) -> tuple[str, ...]:
    """What ``key`` of ``section`` may be; empty where any value of its kind is allowed or another room knows."""
    if key == "sources":
        return tuple(row["id"] for row in rows("sources"))
    return _choices().get(f"{section}/{key}", ())


@cache
def _choices() -> dict[str, tuple[str, ...]]:
    topics = tuple(default_wording().topics)
    inputs = tuple(default_inputs())
    maximum = tuple(name for name in REGISTRY if name.startswith("maximum_bpm_"))
    where = tuple(get_args(Jurisdiction))
    return {
        "protocol/jurisdiction": tuple(one for one in where if one != "ALL"),
        "rule/level": RULE_LEVELS,
        "rule/urgency": URGENCIES,
        "rule/topic": ("", *topics),
        "rule/stage": get_args(Stage),
        "rule/jurisdiction": where,
        "risk/capacity_under_5_mets": ("high", "moderate"),
        "risk_item/band": get_args(Band),
        "placement/standing_needs": inputs,
        "placement/supported_needs": inputs,
        "placement/narrow_base_needs": inputs,
        "placement_rule/effect": get_args(Effect),
        "concerns/unknown_level": CONCERN_LEVELS,
        "concerns/unknown_topic": topics,
        "symptom/level": CONCERN_LEVELS,
        "symptom/topic": topics,
        "intensity/maximum_method": maximum,
        "intensity/beta_blocker_method": maximum,
        "intensity/prediction_not_with": get_args(DrugClass),
        "intensity/epoch_medicines": get_args(DrugClass),
        "intensity/not_usable_rhythms": get_args(Rhythm),
        "intensity/not_usable_facts": NOT_USABLE_FACTS,
        "intensity/not_usable_events": get_args(EventType),
        "intensity/not_usable_devices": get_args(DeviceKind),
        "intensity/detecting_devices": get_args(DeviceKind),
        "dose/week_moves_for": ("ill", "away", "part_day"),
        "progression/raise_order": ("repetitions", "sets", "load", "posture"),
        "progression/one_raise_in": ("exercise", "session", "programme"),
        "progression/step_back_after": ("illness", "medicine", "restriction"),
        "progression/illness_topics": topics,
        "progression/walking_order": ("minutes", "join", "days", "pace"),
    }
