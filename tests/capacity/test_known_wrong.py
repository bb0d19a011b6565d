"""Examples known to be wrong in print are documented, not matched: our value is the arithmetic's."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.physiology import test_check_tables as shared

ROWS = shared.table("known_wrong")
PAGE = (Path(__file__).parents[2] / "docs" / "known_wrong_examples.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["case"])
def test_our_value_is_as_computed(row: dict[str, str]) -> None:
    shared.assert_matches(row, shared.result(row["function"], json.loads(row["inputs"])))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["case"])
def test_the_page_gives_both_values_and_the_reason(row: dict[str, str]) -> None:
    lines = [line for line in PAGE.splitlines() if line.startswith(f"| `{row['case']}` |")]
    assert len(lines) == 1
    cells = [cell.strip() for cell in lines[0].split("|")]
    assert cells[3].startswith(row["expected"])
    assert cells[4] == row["printed"]
    assert cells[5] == row["why"]


def test_the_page_has_no_example_without_a_row() -> None:
    named = {line.split("`")[1] for line in PAGE.splitlines() if line.startswith("| `")}
    assert named == {row["case"] for row in ROWS}
