"""Bands of one number: the interval in which a branch of a condition holds, and what else must hold with it."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import ceil, floor, inf
from typing import Any

from haleward.safety.analysis.branches import branches, comparisons
from haleward.safety.analysis.space import spans
from haleward.safety.conditions import COMPARISONS, Condition
from haleward.safety.inputs import default_inputs


@dataclass(frozen=True)
class Scale:
    """What a band is measured on: an input, or an input against another (``times`` it)."""

    input: str
    other: str = ""
    times: float = 1.0

    @property
    def label(self) -> str:
        """The scale in words."""
        inputs = default_inputs()
        if not self.other:
            return inputs[self.input].label
        return f"{inputs[self.input].label} against {inputs[self.other].label}"

    @property
    def whole(self) -> bool:
        """Whether only whole numbers occur."""
        return not self.other and spans()[self.input].whole


@dataclass(frozen=True)
class Band:
    """The interval of one owner on one scale, and the other comparisons (``context``) that must hold as well."""

    owner: str
    scale: Scale
    low: float
    low_in: bool
    high: float
    high_in: bool
    context: frozenset[str]

    @property
    def closed(self) -> bool:
        """Whether it has a limit on both sides."""
        return self.low > -inf and self.high < inf

    @property
    def width(self) -> float:
        """From limit to limit."""
        return self.high - self.low

    def within(self, other: Band) -> bool:
        """Whether every number of this band lies in ``other``."""
        low = self.low > other.low or (self.low == other.low and (other.low_in or not self.low_in))
        high = self.high < other.high or (self.high == other.high and (other.high_in or not self.high_in))
        return low and high

    def meets(self, other: Band) -> bool:
        """Whether some number lies in both."""
        low, low_in = max((self.low, not self.low_in), (other.low, not other.low_in))
        high, high_out = min((self.high, self.high_in), (other.high, other.high_in))
        return not empty(low, not low_in, high, high_out, whole=self.scale.whole)


def bands_of(owner: str, condition: Condition) -> Iterator[Band]:
    """Every band of a condition: one for each number that each of its branches limits."""
    for branch in branches(condition):
        leaves = comparisons(branch)
        scales = dict.fromkeys(scale for leaf in leaves if (scale := _scale(leaf)) is not None)
        for scale in scales:
            own = [leaf for leaf in leaves if _scale(leaf) == scale]
            rest = frozenset(json.dumps(leaf, sort_keys=True) for leaf in leaves if leaf not in own)
            yield _band(owner, scale, own, rest)


def empty(low: float, low_in: bool, high: float, high_in: bool, *, whole: bool) -> bool:
    """Whether no number (no whole one, if ``whole``) lies between two limits."""
    if whole and inf not in (abs(low), abs(high)):
        first = ceil(low) if low_in or ceil(low) > low else ceil(low) + 1
        last = floor(high) if high_in or floor(high) < high else floor(high) - 1
        return first > last
    return low > high or (low == high and not (low_in and high_in))


def _scale(leaf: Condition) -> Scale | None:
    """The scale of a comparison; ``None`` for one that compares no number, or with several others."""
    if "input" not in leaf or default_inputs()[leaf["input"]].kind != "number":
        return None
    limits = [leaf[test] for test in COMPARISONS if test in leaf]
    if "is" in leaf:
        return Scale(leaf["input"]) if not limits else None
    found = {_against(leaf["input"], limit) for limit in limits}
    return found.pop() if len(found) == 1 else None


def _against(name: str, limit: Any) -> Scale:
    if isinstance(limit, Mapping):
        return Scale(name, limit["input"], float(limit.get("times", 1)))
    return Scale(name)


def _band(owner: str, scale: Scale, own: Iterable[Condition], rest: frozenset[str]) -> Band:
    low, low_in, high, high_in = -inf, False, inf, False
    for leaf in own:
        for test in (*COMPARISONS, "is"):
            if test not in leaf:
                continue
            at = _number(leaf[test])
            if test in ("over", "at_least", "is") and at >= low:
                low_in = test != "over" and (at > low or low_in or low == -inf)
                low = at
            if test in ("under", "at_most", "is") and at <= high:
                high_in = test != "under" and (at < high or high_in or high == inf)
                high = at
    return Band(owner, scale, low, low_in, high, high_in, rest)


def _number(limit: Any) -> float:
    return float(limit.get("plus", 0)) if isinstance(limit, Mapping) else float(limit)
