"""The sentences of this room for staff, from data/tables/safety_wording.csv."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cache

from haleward.formula import REGISTRY
from haleward.physiology.tables import rows, texts
from haleward.safety.inputs import default_inputs


def words(key: str, **values: str) -> str:
    """The text of ``key`` with its placeholders filled."""
    return texts("safety_wording")[key].format(**values)


def labels(names: Iterable[str], *, between: str = ", ") -> str:
    """Input names as staff read them."""
    return between.join(default_inputs()[name].label for name in names)


def code_words(code: str) -> str:
    """A code of a protocol file as staff read it: a formula by its title, else as data/tables/code_words.csv says."""
    if code in REGISTRY:
        title = REGISTRY[code].title
        return f"{title[:1].lower()}{title[1:]}"
    return _code_words().get(code, code.replace("_", " "))


def words_of(kind: str) -> Mapping[str, str]:
    """The words for each code of a kind: ``level`` and ``urgency`` of a rule, ``stage``, ``effect`` of a placement."""
    return _words_by_kind()[kind]


def ended(text: str) -> str:
    """The text without a full stop after a quotation that ends with a stop of its own."""
    return _STOPPED_TWICE.sub(r"\1", text)


def unit_words(unit: str) -> str:
    """A unit as staff read it; "" where the words beside the number say it already."""
    return {"deg C": "°C", "count": "", "1": "", "yes/no": "", "NYHA class": ""}.get(unit, unit)


_STOPPED_TWICE = re.compile(r"([.?!]”)\.(?=\s|$)")


@cache
def _words_by_kind() -> dict[str, dict[str, str]]:
    found: dict[str, dict[str, str]] = {}
    for row in rows("protocol_words"):
        found.setdefault(row["kind"], {})[row["code"]] = row["words"]
    return found


@cache
def _code_words() -> dict[str, str]:
    return {row["code"]: row["words"] for row in rows("code_words")}
