"""The short warm-up and cool-down of a day with little time."""

from __future__ import annotations

from dataclasses import replace

import pytest

from haleward.safety.protocol import Protocol, default_protocol
from haleward.session.short_day import short_day


def minutes(protocol: Protocol) -> tuple[float, float]:
    return protocol.settings["warm_up_minutes"].value[0], protocol.settings["cool_down_minutes"].value[0]


@pytest.mark.parametrize("jurisdiction", ["UK", "US", "EU"])
def test_four_minutes_of_warm_up_and_three_of_cool_down(jurisdiction: str) -> None:
    usual = default_protocol(jurisdiction)
    short = short_day(usual)
    assert minutes(short) == (4, 3)  # short day: common practice, no source
    assert short.settings["warm_up_minutes"].text == "4"
    assert minutes(usual) == ((15, 10) if jurisdiction == "UK" else (10, 10))
    assert replace(short, settings=usual.settings) == usual


def test_without_the_rule_nothing_changes() -> None:
    protocol = default_protocol()
    dose = replace(protocol.policies.dose, short_frame_minutes=None)
    plain = replace(protocol, policies=replace(protocol.policies, dose=dose))
    assert short_day(plain) is plain
