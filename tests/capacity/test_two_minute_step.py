"""The two-minute step test against range, independence and warning level; no norm is made up outside 60 to 94."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.capacity.two_minute_step import normal_range, two_minute_step_findings
from haleward.capacity.void import fact_names
from haleward.errors import HalewardError, OutOfRange
from haleward.physiology.finding import Finding
from haleward.worksheet import NotComputed
from tests.formula.arguments import FEW

CLEAR: dict[str, bool | None] = dict.fromkeys(fact_names(), False)


def told(steps: int, age_y: int | None = 72, sex: Any = "female", facts: dict[str, bool | None] = CLEAR) -> Any:
    return two_minute_step_findings(steps=steps, age_y=age_y, sex=sex, facts=facts)


@pytest.mark.parametrize(
    ("steps", "meaning", "flagged"),
    [
        (67, "below the middle half of people of this age and sex (68 to 101 steps)", True),
        (68, "within the middle half of people of this age and sex (68 to 101 steps)", False),
        (101, "within the middle half of people of this age and sex (68 to 101 steps)", False),
        (102, "above the middle half of people of this age and sex (68 to 101 steps)", False),
    ],
)
def test_the_count_is_held_against_the_range(steps: int, meaning: str, flagged: bool) -> None:
    finding = told(steps)[0]
    assert (finding.meaning, finding.flagged) == (meaning, flagged)
    assert finding.result == f"{steps} steps"
    assert finding.source == "Rikli & Jones 1999 and 2013 [seen second-hand]"


def test_a_count_on_which_reprints_differ_says_so() -> None:
    assert told(91, age_y=82)[0].meaning == (
        "at the upper end of the middle half of people of this age and sex: reprints end it at 90 or at 91 steps"
    )
    assert told(92, age_y=82)[0].meaning.startswith("above")
    assert told(91, age_y=82, sex="male")[0].meaning.startswith("within")


@pytest.mark.parametrize(("steps", "flagged"), [(88, True), (89, False)])
def test_the_number_for_independence_counts_from_itself(steps: int, flagged: bool) -> None:
    finding = told(steps)[1]
    assert finding.flagged is flagged
    assert finding.meaning.endswith("staying independent into later life (89 steps)")
    assert finding.meaning.startswith("under" if flagged else "at or over")


@pytest.mark.parametrize(("steps", "flagged"), [(64, True), (65, False)])
def test_the_warning_level_is_marked_as_unverified(steps: int, flagged: bool) -> None:
    finding = told(steps)[2]
    assert finding.flagged is flagged
    assert finding.meaning.startswith("under 65" if flagged else "not under 65")
    assert "from memory, unverified" in finding.source


@pytest.mark.parametrize("age_y", [59, 95])
def test_there_is_no_norm_outside_60_to_94(age_y: int) -> None:
    found = told(70, age_y=age_y)
    assert isinstance(found, NotComputed)
    assert found.reason == f"At {age_y} years this method does not apply: it covers 60 to 94 years."
    with pytest.raises(OutOfRange, match="from 60 to 94 years"):
        normal_range(age_y=age_y, sex="male")


def test_age_and_sex_are_asked_for() -> None:
    assert told(70, age_y=None).ask == ("How old is the person?",)
    assert told(70, sex=None).ask == ("Which sex is recorded for norms?",)
    assert len(told(70, age_y=None, sex=None).ask) == 2


def test_help_voids_the_count_and_unknown_help_is_asked() -> None:
    assert told(70, facts={**CLEAR, "help_given": True}).reason == "Someone helped: the count is not the person's own."
    assert told(70, facts={}).ask == ("Did someone help?",)


@pytest.mark.parametrize("steps", [-1, 251, 70.5])
def test_an_impossible_count_is_refused(steps: Any) -> None:
    with pytest.raises(HalewardError, match="Steps in two minutes"):
        told(steps)


@FEW
@given(steps=st.integers(0, 249), age_y=st.integers(60, 94), sex=st.sampled_from(["female", "male"]))
def test_one_step_more_never_looks_worse(steps: int, age_y: int, sex: Any) -> None:
    fewer, more = told(steps, age_y, sex), told(steps + 1, age_y, sex)
    assert all(isinstance(one, Finding) for one in fewer)
    assert all(after.flagged <= before.flagged for before, after in zip(fewer, more, strict=True))
    low, high = normal_range(age_y=age_y, sex=sex)
    assert 40 <= low < high <= 120
