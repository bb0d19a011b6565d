"""Numbers and arrays alike: what an argument holds, where in an array a fault lies, and choices made elementwise."""

from __future__ import annotations

from typing import Any, TypeAlias, cast

import numpy as np
from numpy.typing import NDArray

from haleward.errors import Inconsistent

FloatArray: TypeAlias = NDArray[np.float64]
BoolArray: TypeAlias = NDArray[np.bool_]
# A number, a named option, or an array of either.
Argument: TypeAlias = float | FloatArray | str | NDArray[np.str_]


def many(value: object) -> bool:
    """Whether ``value`` is an array (or a list, or a column of a table) and not one number or word."""
    return np.ndim(cast(Any, value)) > 0


def either(holds: bool, yes: float, no: float) -> float:
    """``yes`` where ``holds``, else ``no``: for numbers and, elementwise, for arrays (``either(sex == "male", 5, 0)``).

    The way for a formula to branch, because ``if`` refuses an array.
    """
    if not many(holds):
        return yes if holds else no
    return cast(float, np.where(holds, yes, no))


def require(holds: object, sentence: str, **values: object) -> None:
    """Raise :class:`Inconsistent` with ``sentence`` unless ``holds`` everywhere.

    The sentence is filled with the ``values`` of the first place where it does not hold; an array's message names it.
    """
    wrong = ~np.asarray(holds, dtype=bool)
    if not wrong.any():
        return
    shape = np.broadcast_shapes(wrong.shape, *(np.shape(cast(Any, value)) for value in values.values()))
    wrong = np.broadcast_to(wrong, shape)
    first = {name: np.broadcast_to(np.asarray(value), shape)[wrong].flat[0] for name, value in values.items()}
    said = {name: value if isinstance(value, str) else f"{value:g}" for name, value in first.items()}
    raise Inconsistent(f"{sentence.format(**said).rstrip('.')}{place(wrong)}.")


def place(wrong: BoolArray) -> str:
    """Where the first fault of an array is and how many there are; "" for one number."""
    if not wrong.ndim:
        return ""
    index = tuple(int(part) for part in np.argwhere(wrong)[0])
    count = int(np.count_nonzero(wrong))
    at = index[0] if len(index) == 1 else index
    return f" (at index {at}; {count} of {wrong.size} values {'is' if count == 1 else 'are'} wrong)"
