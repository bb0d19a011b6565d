"""The hazard log: every entry is complete, and every control names tests that exist."""

import ast
import re

import pytest

from tests.architecture.tree import ROOT

LOG = (ROOT / "docs" / "hazards.md").read_text(encoding="utf-8")
ENTRIES = dict(re.findall(r"^## (H\d+ .+?)\n(.*?)(?=^## |\Z)", LOG, re.MULTILINE | re.DOTALL))
PARTS = ("Cause", "Effect", "Control", "Residual")
NAMED = re.compile(r"^  - `([\w/]+\.py)::(test_\w+)`$", re.MULTILINE)


def names_in(path: str) -> set[str]:
    """The names of the tests in one file."""
    tree = ast.parse((ROOT / path).read_text(encoding="utf-8"))
    return {node.name for node in tree.body if isinstance(node, ast.FunctionDef)}


@pytest.mark.parametrize("title", ENTRIES)
def test_a_hazard_has_cause_effect_control_test_and_residual(title: str) -> None:
    for part in PARTS:
        found = re.search(rf"^- \*\*{part}\.\*\* (.+)$", ENTRIES[title], re.MULTILINE)
        assert found, f"{title}: {part} is missing"
        assert found[1].endswith("."), f"{title}: {part} is not a sentence"
    assert NAMED.findall(ENTRIES[title]), f"{title}: no test is named"


@pytest.mark.parametrize("title", ENTRIES)
def test_each_test_that_a_hazard_names_exists(title: str) -> None:
    lines = re.findall(r"^  - .+$", ENTRIES[title], re.MULTILINE)
    named = NAMED.findall(ENTRIES[title])
    assert len(named) == len(lines), f"{title}: a test is not written as `file::function`"
    for path, name in named:
        assert (ROOT / path).is_file(), f"{title}: there is no file {path}"
        assert name in names_in(path), f"{title}: {path} has no test {name}"


def test_hazards_are_numbered_without_a_gap_and_there_are_enough() -> None:
    numbers = [int(title[1:3]) for title in ENTRIES]
    assert numbers == list(range(1, len(numbers) + 1))
    assert len(numbers) >= 25
