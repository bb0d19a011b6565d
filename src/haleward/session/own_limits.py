"""Limits that are stricter for one person than for everybody, for what is printed before anybody knows the day."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from haleward.record import Record
from haleward.safety.conditions import evaluate
from haleward.safety.facts import facts_of
from haleward.safety.protocol import Protocol

ALONE = "sugar_low_alone"  # the setting whose rules bar exercising alone


def values_not_to_start(
    record: Record, values: Mapping[str, str], *, protocol: Protocol, today: date
) -> Mapping[str, str]:
    """``values`` for the list of what bars a start: under a glucose that bars this person alone, nobody starts.

    It holds for a person whose medicines can lower glucose, unless they are known never to exercise alone; a protocol
    without the setting changes nothing.
    """
    setting, facts = protocol.settings.get(ALONE), facts_of(record, today=today)
    if setting is None or facts.get("insulin_or_su") is not True:
        return values
    asked = {**facts, "glucose_mmol": setting.value[0] / 2}  # any reading under the limit
    barred = any(rule.id in setting.same_in and evaluate(rule.condition, asked) is not False for rule in protocol.rules)
    return {**values, "sugar_low": setting.text} if barred else values
