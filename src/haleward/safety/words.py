"""The sentences of this room for staff, from data/tables/safety_wording.csv."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files

from haleward.safety.inputs import default_inputs


def words(key: str, **values: str) -> str:
    """The text of ``key`` with its placeholders filled."""
    return _texts()[key].format(**values)


def labels(names: Iterable[str], *, between: str = ", ") -> str:
    """Input names as staff read them."""
    return between.join(default_inputs()[name].label for name in names)


@cache
def _texts() -> Mapping[str, str]:
    text = files("haleward").joinpath("data/tables/safety_wording.csv").read_text(encoding="utf-8")
    return {row["key"]: row["text"] for row in csv.DictReader(text.splitlines())}
