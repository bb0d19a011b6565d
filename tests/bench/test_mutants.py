"""The copy for mutation testing registers the same formulas by plain functions."""

import ast

import pytest
from bench.mutants import main, undecorated

MODULE = '''"""A module."""


@formula(
    title="Half",
    unit="m",
)
def halved(*, x: float) -> float:
    """Half."""
    return x / 2


@cache
def kept() -> int:
    return 1


@formula(title="Same")
def same(*, x: float) -> float:
    return x


LAST = 1
'''


def test_each_formula_is_registered_behind_its_function() -> None:
    made = undecorated(MODULE)
    body = ast.parse(made).body
    assert [type(node).__name__ for node in body] == [
        "Expr",
        "FunctionDef",
        "Assign",
        "FunctionDef",
        "FunctionDef",
        "Assign",
        "Assign",
    ]
    assert 'halved = formula(\n    title="Half",\n    unit="m",\n)(halved)\n' in made
    assert 'same = formula(title="Same")(same)\n' in made
    assert "@cache\ndef kept()" in made
    assert "@formula" not in made


def test_a_missing_folder_is_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([]) == 2
    assert "Give one folder" in capsys.readouterr().err
