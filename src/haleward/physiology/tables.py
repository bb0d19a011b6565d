"""The tables of figures in ``data/tables``, read once: each row a dictionary of text by column name."""

from __future__ import annotations

import csv
import functools
from importlib import resources

from haleward.errors import HalewardError


@functools.cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """All rows of ``data/tables/<name>.csv``. Raises :class:`HalewardError` if there is no such table."""
    file = resources.files("haleward").joinpath("data", "tables", f"{name}.csv")
    if not file.is_file():
        raise HalewardError(f"There is no table {name!r} among the data tables.")
    return tuple(csv.DictReader(file.read_text(encoding="utf-8").splitlines()))


@functools.cache
def settings(name: str) -> dict[str, float]:
    """The numbers of a table with the columns ``key`` and ``value``."""
    return {row["key"]: float(row["value"]) for row in rows(name)}


@functools.cache
def texts(name: str) -> dict[str, str]:
    """The sentences of a table with the columns ``key`` and ``text``."""
    return {row["key"]: row["text"] for row in rows(name)}
