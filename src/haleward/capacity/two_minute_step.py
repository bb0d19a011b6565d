"""The two-minute step test: marching on the spot, full steps counted on the right knee, against norms of 60 to 94."""

from __future__ import annotations

from haleward.capacity.void import Facts, why_void
from haleward.formula import Range
from haleward.physiology.finding import Finding, cited
from haleward.physiology.tables import rows, settings, texts
from haleward.record import Sex
from haleward.worksheet import NotComputed

TEST, TITLE = "two_minute_step", "Two-minute step test"
STEPS = Range(0, 250, "steps", "Steps in two minutes", whole=True)


def two_minute_step_findings(
    *, steps: int, age_y: int | None, sex: Sex | None, facts: Facts
) -> tuple[Finding, ...] | NotComputed:
    """The count against the normal range, the number for independence and the warning level.

    No norm under 60 or over 94 years, and none without age or sex: then why. Not for the test of the same name with a
    20 cm step. Raises :class:`HalewardError` for a count that is not possible.
    """
    STEPS.check(steps)
    wording = texts("capacity_wording")
    if age_y is None or sex is None:
        asked = (wording["ask_age"],) * (age_y is None) + (wording["ask_sex_for_norms"],) * (sex is None)
        return NotComputed(TITLE, wording["two_step_incomplete"], asked)
    validity = why_void(TEST, facts, age_y=age_y)
    if not validity.usable:
        return NotComputed(TITLE, validity.why or wording["two_step_unknown"], validity.open_questions)
    row = _norm(age_y, sex)
    return _range(steps, row), _independence(steps, row), _warning(steps)


def normal_range(*, age_y: int, sex: Sex) -> tuple[int, int]:
    """Least and most steps of the middle half of people of this age and sex; the narrower where reprints differ.

    Raises :class:`OutOfRange` for an age without a norm.
    """
    row = _norm(age_y, sex)
    return int(row["range_low"]), int(row["range_high"])


def _norm(age_y: int, sex: Sex) -> dict[str, str]:
    table = [row for row in rows(TEST) if row["sex"] == sex]
    ages = [int(row[key]) for row in table for key in ("age_from", "age_to")]
    Range(min(ages), max(ages), "years", "Age").check(age_y)
    return next(row for row in table if int(row["age_from"]) <= age_y < int(row["age_to"]) + 1)


def _range(steps: int, row: dict[str, str]) -> Finding:
    low, high, other = int(row["range_low"]), int(row["range_high"]), row["other_range_high"]
    if steps < low:
        key = "two_step_below"
    elif steps <= high:
        key = "two_step_within"
    else:
        key = "two_step_between" if other and steps <= int(other) else "two_step_above"
    return _finding(steps, key, steps < low, cited(row), low=str(low), high=str(high), other=other)


def _independence(steps: int, row: dict[str, str]) -> Finding:
    limit = int(row["independence_under"])
    key = "two_step_dependent" if steps < limit else "two_step_independent"
    return _finding(steps, key, steps < limit, cited(row), limit=str(limit))


def _warning(steps: int) -> Finding:
    row = next(row for row in rows("field_test_settings") if row["key"] == "two_minute_warning_steps")
    limit = settings("field_test_settings")["two_minute_warning_steps"]
    key = "two_step_warning" if steps < limit else "two_step_no_warning"
    return _finding(steps, key, steps < limit, cited(row), limit=f"{limit:g}")


def _finding(steps: int, key: str, flagged: bool, source: str, **values: str) -> Finding:
    meaning = texts("capacity_wording")[key].format(**values)
    return Finding(TEST, f"{steps} steps", meaning, flagged, source)
