"""The sentences of this room for staff, from data/tables/safety_wording.csv."""

from __future__ import annotations

from collections.abc import Iterable

from haleward.physiology.tables import texts
from haleward.safety.inputs import default_inputs


def words(key: str, **values: str) -> str:
    """The text of ``key`` with its placeholders filled."""
    return texts("safety_wording")[key].format(**values)


def labels(names: Iterable[str], *, between: str = ", ") -> str:
    """Input names as staff read them."""
    return between.join(default_inputs()[name].label for name in names)
