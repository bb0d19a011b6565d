"""Every key of a TOML text has its line, past long values and quoted names."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from haleward.strict_toml.lines import key_lines, line_of

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.mark.parametrize("name", ["morag.toml", "alwyn.toml", "ines.toml"])
def test_every_key_of_an_example_has_its_line(name: str) -> None:
    text = (EXAMPLES / name).read_text(encoding="utf-8")
    lines, rows = key_lines(text), text.splitlines()

    def walk(value: object, path: tuple[str | int, ...]) -> None:
        if isinstance(value, dict):
            for key, inner in value.items():
                walk(inner, (*path, key))
        elif isinstance(value, list) and value and isinstance(value[0], dict):
            for number, inner in enumerate(value):
                walk(inner, (*path, number))
        else:
            assert rows[line_of(lines, path) - 1].startswith(f"{path[-1]} = ")

    walk(tomllib.loads(text), ())


def test_lines_are_found_past_long_values() -> None:
    text = 'a = """\n[no]\nb = 1\n"""\nc = [\n  1, # ]\n  2,\n]\n[t."x y"]\nd.e = { f = 1 }\n[[t.z]]\ng = \'#\'\n'
    lines = key_lines(text)
    assert lines == {
        ("a",): 1,
        ("c",): 5,
        ("t", "x y"): 9,
        ("t", "x y", "d", "e"): 10,
        ("t", "z", 0): 11,
        ("t", "z", 0, "g"): 12,
    }
    assert line_of(lines, ("t", "x y", "d", "e", "f")) == 10
    assert line_of(lines, ("nowhere",)) is None
