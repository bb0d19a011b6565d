"""The comparison of speeds compares equal results, and says when a time was scaled up."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from bench.formulas import CASES, Case, Timing, by_arrays, compared, people, told

from haleward.errors import HalewardError


def plain_rows(columns: dict[str, Any]) -> Callable[[Callable[[Any], float], int], list[float]]:
    """Rows without pandas, the same in what a function sees."""
    return lambda run, count: [run({key: column[n] for key, column in columns.items()}) for n in range(count)]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.formula)
def test_both_sides_give_the_same_results(case: Case) -> None:
    columns = people(60, seed=2)
    timing = compared(case, columns, plain_rows(columns), 40)
    assert (timing.people, timing.rows) == (60, 40)
    assert len(by_arrays(case, columns)[0]) == 60


def test_a_side_that_differs_stops_the_comparison() -> None:
    columns = people(5, seed=2)
    wrong = replace(CASES[0], by_row=lambda row: CASES[0].by_row(row) + (row["age_y"] == columns["age_y"][3]))
    with pytest.raises(HalewardError, match=r"row 3 is .* by rows\. Nothing is timed\."):
        compared(wrong, columns, plain_rows(columns), 5)


def test_fewer_rows_are_scaled_up_and_the_line_says_so() -> None:
    timing = Timing("x", people=1000, rows=100, arrays_s=0.5, rows_s=2)
    assert (timing.by_rows_s, timing.ratio) == (20, 40)
    assert told(timing) == (
        "x: arrays 0.500 s, rows 20.0 s (scaled up from 100 rows), 40 times as long; 100 results compared, all equal"
    )
    assert "scaled" not in told(replace(timing, rows=1000))


def test_the_same_seed_makes_the_same_people() -> None:
    assert all(np.array_equal(people(9, seed=5)[key], column) for key, column in people(9, seed=5).items())
