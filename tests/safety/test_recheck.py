"""A reading taken again after rest: the second decides then and not before; a worse or missing one never clears."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.safety.gate import session_gate
from haleward.safety.protocol import default_protocol
from haleward.safety.recheck import Taken, decide, standing_at, strictness
from tests.safety.people import ENTRY, HALL

PROTOCOL = default_protocol()
NOON = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
REST = int(min(PROTOCOL.settings["recheck_minutes"].value))
SUGAR_REST = int(min(PROTOCOL.settings["sugar_recheck"].value))
DAY = {name: value for name, value in HALL.items() if name not in ENTRY}


def gate_of(answers):
    return session_gate({**ENTRY, **answers}, PROTOCOL)


def taken(minute, **readings):
    answers = {name: value for name, value in {**DAY, **readings}.items() if value is not None}
    return Taken(NOON + timedelta(minutes=minute), answers)


def outcome(*checks):
    *earlier, now = checks
    return decide(now, earlier, gate_of=gate_of, protocol=PROTOCOL).outcome


@pytest.mark.parametrize(
    ("first", "second", "rest"),
    [
        ({"sbp_rest": 190}, {"sbp_rest": 150}, REST),
        ({"dbp_rest": 104}, {"dbp_rest": 84}, REST),
        ({"hr_rest": 112}, {"hr_rest": 88}, REST),
        ({"glucose_mmol": 3.6}, {"glucose_mmol": 5.6}, SUGAR_REST),
    ],
)
def test_the_second_reading_decides_when_the_rest_is_over_and_not_a_minute_sooner(first, second, rest):
    assert outcome(taken(0, **first)) == "not_today"
    assert outcome(taken(0, **first), taken(rest - 1, **second)) == "not_today"
    assert outcome(taken(0, **first), taken(rest, **second)) == "go_ahead"
    assert outcome(taken(0, **first), taken(rest, **first)) == "not_today"


def test_a_reading_left_out_does_not_undo_the_one_that_stopped():
    assert outcome(taken(0, sbp_rest=190), taken(60, sbp_rest=None, dbp_rest=None)) == "not_today"


def test_a_reading_that_did_not_stop_may_be_taken_again_at_once():
    assert outcome(taken(0, sbp_rest=128), taken(1, sbp_rest=126)) == "go_ahead"
    assert outcome(taken(0, sbp_rest=128), taken(1, sbp_rest=186)) == "not_today"


def test_other_readings_are_not_held_by_the_one_that_waits():
    waiting = standing_at([taken(0, sbp_rest=190, hr_rest=70)], protocol=PROTOCOL)
    assert [one.inputs for one in waiting] == [("sbp_rest", "dbp_rest")]
    assert waiting[0].again_from == NOON + timedelta(minutes=REST)
    assert standing_at([taken(0, sbp_rest=190), taken(REST, sbp_rest=150)], protocol=PROTOCOL) == ()


@given(st.lists(st.tuples(st.integers(0, 9), st.sampled_from([None, 120, 185, 200])), min_size=1, max_size=4))
def test_before_the_rest_is_over_no_reading_makes_the_outcome_milder(readings):
    checks = [taken(0, sbp_rest=190), *(taken(minute, sbp_rest=value) for minute, value in sorted(readings, key=str))]
    checks.sort(key=lambda one: one.at)
    first = decide(checks[0], [], gate_of=gate_of, protocol=PROTOCOL)
    last = decide(checks[-1], checks[:-1], gate_of=gate_of, protocol=PROTOCOL)
    assert strictness(last) <= strictness(first)
