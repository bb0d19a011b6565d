"""A million people through array formulas and through plain per-row pandas, timed in one run.

    .venv/bin/python bench/formulas.py [--people N] [--rows N] [--seed N]

Both sides give the same results, which is checked before any time is told.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

import haleward.capacity  # noqa: F401 - registers the formulas
from haleward.errors import HalewardError
from haleward.formula import FloatArray, find

People = Mapping[str, Any]


@dataclass(frozen=True)
class Case:
    """One formula, the columns it takes, and the same sum for one row as a pandas user would write it."""

    formula: str
    columns: Mapping[str, str]
    by_row: Callable[[Any], float]


@dataclass(frozen=True)
class Timing:
    """Seconds for all people by arrays and by rows; ``rows`` were really run by rows, the rest is scaled up."""

    formula: str
    people: int
    rows: int
    arrays_s: float
    rows_s: float

    @property
    def by_rows_s(self) -> float:
        """Seconds by rows for all people."""
        return self.rows_s * self.people / self.rows

    @property
    def ratio(self) -> float:
        """How many times as long the rows take."""
        return self.by_rows_s / self.arrays_s


def _enright(row: Any) -> float:
    cm = row["stature_m"] * 100
    if row["sex"] == "male":
        return float(7.57 * cm - 5.02 * row["age_y"] - 1.76 * row["mass_kg"] - 309)
    return float(2.11 * cm - 2.29 * row["mass_kg"] - 5.78 * row["age_y"] + 667)


CASES = (
    Case(
        "reserve_target_bpm",
        {"resting_bpm": "resting_bpm", "maximum_bpm": "maximum_bpm", "fraction": "fraction"},
        lambda row: float(row["resting_bpm"] + row["fraction"] * (row["maximum_bpm"] - row["resting_bpm"])),
    ),
    Case(
        "six_minute_walk_m_enright_1998",
        {"sex": "sex", "age_y": "age_y", "stature_m": "stature_m", "mass_kg": "mass_kg"},
        _enright,
    ),
    Case(
        "peak_vo2_six_minute_walk_ross_2010",
        {"distance_m": "distance_m"},
        lambda row: float(4.682 + 0.025 * row["distance_m"]),
    ),
    Case(
        "energy_kcal",
        {"energy_met": "energy_met", "mass_kg": "mass_kg", "duration_min": "duration_min"},
        lambda row: float(row["energy_met"] * 3.5 * row["mass_kg"] / 200 * row["duration_min"]),
    ),
)


def people(count: int, *, seed: int) -> dict[str, Any]:
    """``count`` made-up people as columns."""
    chance = np.random.default_rng(seed)
    return {
        "sex": chance.choice(["female", "male"], count),
        "age_y": chance.uniform(40, 80, count),
        "stature_m": chance.uniform(1.45, 1.95, count),
        "mass_kg": chance.uniform(45, 130, count),
        "resting_bpm": chance.uniform(45, 95, count),
        "maximum_bpm": chance.uniform(110, 180, count),
        "fraction": chance.uniform(0.3, 0.8, count),
        "distance_m": chance.uniform(60, 750, count),
        "energy_met": chance.uniform(1.5, 9, count),
        "duration_min": chance.uniform(5, 90, count),
    }


def by_arrays(case: Case, columns: People) -> tuple[FloatArray, float]:
    """The results of all people at once, and the seconds."""
    start = time.perf_counter()
    found = find(case.formula).over(**{argument: columns[name] for argument, name in case.columns.items()})
    return found, time.perf_counter() - start


def compared(
    case: Case, columns: People, apply_rows: Callable[[Callable[[Any], float], int], Any], rows: int
) -> Timing:
    """Both sides timed. ``apply_rows`` runs a function over the first ``rows`` people. Raises if a result differs."""
    together, arrays_s = by_arrays(case, columns)
    start = time.perf_counter()
    one_by_one = np.asarray(apply_rows(case.by_row, rows), dtype=np.float64)
    rows_s = time.perf_counter() - start
    wrong = ~np.isclose(together[:rows], one_by_one, rtol=1e-12, atol=1e-9)
    if wrong.any():
        row = int(np.argmax(wrong))
        raise HalewardError(
            f"{case.formula}: row {row} is {together[row]!r} by arrays and {one_by_one[row]!r} by rows. "
            "Nothing is timed."
        )
    return Timing(case.formula, len(together), rows, arrays_s, rows_s)


def told(timing: Timing) -> str:
    """One line of the report."""
    scaled = "" if timing.rows == timing.people else f" (scaled up from {timing.rows} rows)"
    return (
        f"{timing.formula}: arrays {timing.arrays_s:.3f} s, rows {timing.by_rows_s:.1f} s{scaled}, "
        f"{timing.ratio:.0f} times as long; {timing.rows} results compared, all equal"
    )


def main(words: list[str]) -> int:
    """Run every case and print the times."""
    parser = argparse.ArgumentParser(description="Array formulas against per-row pandas.")
    parser.add_argument("--people", type=int, default=1_000_000)
    parser.add_argument("--rows", type=int, help="rows for the pandas side (all)")
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args(words)
    import pandas as pd  # only here: the set "bench" has it, tests and product do not

    columns = people(options.people, seed=options.seed)
    frame = pd.DataFrame(columns)
    rows = min(options.rows or options.people, options.people)
    timings = [compared(case, columns, lambda run, n: frame.head(n).apply(run, axis=1), rows) for case in CASES]
    sys.stdout.writelines(f"{told(timing)}\n" for timing in timings)
    arrays_s, rows_s = sum(one.arrays_s for one in timings), sum(one.by_rows_s for one in timings)
    sys.stdout.write(
        f"All {len(timings)} formulas, {options.people} people: arrays {arrays_s:.2f} s, rows {rows_s:.1f} s, "
        f"{rows_s / arrays_s:.0f} times as long.\n"
    )
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
