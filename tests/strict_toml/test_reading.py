"""Strict reading: typed keys, no unknown key, and each fault one sentence with its file and line."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.errors import FileFault
from haleward.strict_toml import Table, TomlFile, read_dataclass


def top(text: str) -> Table:
    file = TomlFile.parse(text, name="own.toml")
    return Table(file, (), file.values)


def faults(table: Table) -> tuple[str, ...]:
    with pytest.raises(FileFault) as caught:
        table.file.finish()
    return caught.value.faults


def test_what_is_written_right_is_read_without_a_fault() -> None:
    table = top('a = "x"\nb = true\nc = 2\nd = [1, 2.5]\ne = ["y"]\nf = 2026-03-01\ng = ""\n[h]\n[[i]]\n')
    assert (table.text("a"), table.flag("b"), table.whole("c"), table.number("c")) == ("x", True, 2, 2.0)
    assert (table.numbers("d", 2), table.texts("e")) == ((1.0, 2.5), ("y",))
    assert (table.day("f"), table.day("g")) == (date(2026, 3, 1), None)
    assert (table.table("h").name, len(table.tables("i"))) == ("h", 1)
    table.close()
    table.file.finish()


def test_a_default_stands_for_a_key_that_is_not_written() -> None:
    table = top("")
    assert (table.text("a", ""), table.flag("b", False), table.number("c", 0.0)) == ("", False, 0.0)
    assert (table.texts("d", ()), table.choice("e", ("x", ""), "")) == ((), "")
    table.file.finish()


@pytest.mark.parametrize(
    ("text", "read", "told"),
    [
        ("a = 1", "text", "own.toml, line 1: a is 1; it must be a text in quotes."),
        ("a = 1", "flag", "own.toml, line 1: a is 1; it must be true or false."),
        ("a = true", "number", "own.toml, line 1: a is true; it must be a number."),
        ("a = 0", "whole", "own.toml, line 1: a is 0; it must be a whole number from 1."),
        ("a = [1]", "texts", "own.toml, line 1: a is a list; it must be a list of texts in quotes."),
        ("a = {b = 1}", "text", "own.toml, line 1: a is a table; it must be a text in quotes."),
        ("\na = 2026-03-01", "text", "own.toml, line 2: a is 2026-03-01; it must be a text in quotes."),
        ("b = 1", "text", "own.toml: a is missing; it must be a text in quotes."),
        ("a = 1", "table", "own.toml, line 1: a is 1; it must be a table."),
        ("b = 1", "table", "own.toml: the section [a] is missing."),
        ("b = 1", "tables", "own.toml: there is no [[a]]."),
        ("a = [1]", "tables", "own.toml, line 1: a is a list; it must be written as [[a]], once for each."),
    ],
)
def test_a_fault_says_where_what_and_what_would_be_right(text: str, read: str, told: str) -> None:
    table = top(text)
    getattr(table, read)("a")
    assert faults(table) == (told,)


def test_one_of_many_tables_is_called_by_its_own_name() -> None:
    for rule in top('[[rule]]\nid = "R001"\n\n[[rule]]\nid = "R002"\nlevel = "high"\n').tables("rule"):
        rule.choice("level", ("block", "inform"))
    assert faults(rule) == (
        "own.toml, line 1: rule R001: level is missing; it must be one of block, inform.",
        "own.toml, line 6: rule R002: level is 'high'; it must be one of block, inform.",
    )


def test_an_unknown_key_is_told_with_the_nearest_known_one() -> None:
    table = top("[dose]\nsetts = 2\ncolour = 1\n").table("dose")
    table.has("sets")
    table.close()
    assert faults(table) == (
        'own.toml, line 2: "setts" is not a key of [dose]; did you mean "sets"?',
        'own.toml, line 3: "colour" is not a key of [dose]; the keys read here are sets.',
    )


def test_the_keys_of_a_missing_section_are_not_missed_again() -> None:
    table = top("")
    assert (table.table("dose").text("source"), table.table("dose").tables("step")) == ("", ())
    assert set(faults(table)) == {"own.toml: the section [dose] is missing."}


@dataclass(frozen=True)
class Policy:
    sets: int
    share: float
    scale: Literal["0-10", "6-20"]
    regions: tuple[str, ...]
    strict: bool
    source: str


def test_a_dataclass_is_read_field_by_field_and_no_field_has_a_default() -> None:
    whole = '[p]\nsets = 2\nshare = 0.5\nscale = "0-10"\nregions = ["pull"]\nstrict = true\nsource = "s"\n'
    assert read_dataclass(top(whole).table("p"), Policy) == Policy(2, 0.5, "0-10", ("pull",), True, "s")
    table = top(whole.replace("sets = 2\n", "").replace("0.5", "true").replace("0-10", "0-5")).table("p")
    read_dataclass(table, Policy)
    assert faults(table) == (
        "own.toml, line 1: p.sets is missing; it must be a whole number.",
        "own.toml, line 2: p.share is true; it must be a number.",
        "own.toml, line 3: p.scale is '0-5'; it must be one of 0-10, 6-20.",
    )


def test_a_file_that_is_too_large_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "large.toml"
    path.write_text("#" * 1_000_001, encoding="utf-8")
    with pytest.raises(FileFault, match=r"large\.toml: 1\.0 MB is over the limit of 1 MB"):
        TomlFile.read(path)


@given(st.text(max_size=60) | st.text(alphabet="ab=[]{}\"'#\n .,1-", max_size=60))
def test_no_text_gives_anything_but_values_or_sentences(text: str) -> None:
    with suppress(FileFault):
        table = top(text)
        for read in (table.text, table.flag, table.number, table.whole, table.texts, table.day, table.table):
            read("a")
        table.tables("b")
        table.close()
        table.file.finish()
