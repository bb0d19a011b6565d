"""Arguments for any registered formula, drawn within its ranges."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from hypothesis import settings
from hypothesis import strategies as st

from haleward.errors import HalewardError
from haleward.formula import Choice, Formula, Range

FEW = settings(max_examples=25, deadline=None)  # for what the check tables also pin by number


def within(limits: Range | Choice) -> st.SearchStrategy[Any]:
    """Any value that the limits allow, both ends among them."""
    if isinstance(limits, Choice):
        return st.sampled_from(limits.options)
    if limits.whole:
        return st.integers(math.ceil(limits.low), math.floor(limits.high))
    return st.floats(limits.low, limits.high)


def beyond(limits: Range | Choice) -> st.SearchStrategy[Any]:
    """Any value that the limits refuse."""
    if isinstance(limits, Choice):
        return st.text(max_size=8).filter(lambda word: word not in limits.options)
    under = st.floats(max_value=math.nextafter(limits.low, -math.inf), allow_nan=False)
    over = st.floats(min_value=math.nextafter(limits.high, math.inf), allow_nan=False)
    return st.one_of(under, over, st.just(math.nan), st.none(), st.booleans(), st.just("7"))


def drawn(data: st.DataObject, known: Formula) -> dict[str, Any]:
    """One set of arguments."""
    return {key: data.draw(within(limits), label=key) for key, limits in known.ranges.items()}


def answer(known: Formula, arguments: Mapping[str, Any]) -> float | None:
    """The result, or ``None`` where the formula refuses the combination."""
    try:
        return known.call(**arguments)
    except HalewardError:
        return None
