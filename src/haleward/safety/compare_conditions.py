"""Whether a changed condition is true for more people, for fewer, or neither can be told from its form."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Literal

from haleward.safety.conditions import COMPARISONS, Condition

Way = Literal["same", "wider", "narrower", "other"]
_FLIPPED: dict[Way, Way] = {"same": "same", "wider": "narrower", "narrower": "wider", "other": "other"}
_RAISED: dict[str, Way] = {"over": "narrower", "at_least": "narrower", "under": "wider", "at_most": "wider"}


def way_of(old: Condition, new: Condition) -> Way:
    """``wider``: true whenever the old one was, and sometimes more. ``other`` when the form alone does not tell."""
    if old == new:
        return "same"
    for group in ("all", "any"):
        if group in old or group in new:
            return _parts(group, old.get(group, [old]), new.get(group, [new]))
    if "not" in old and "not" in new:
        return _FLIPPED[way_of(old["not"], new["not"])]
    if "not" in old or "not" in new or old.get("input") != new.get("input"):
        return "other"
    return _leaf(old, new)


def _parts(group: str, old: Sequence[Condition], new: Sequence[Condition]) -> Way:
    if len(old) == len(new):
        return _together([way_of(one, other) for one, other in zip(old, new, strict=True)])
    more = "narrower" if group == "all" else "wider"
    if all(part in new for part in old):
        return "wider" if more == "wider" else "narrower"
    if all(part in old for part in new):
        return "narrower" if more == "wider" else "wider"
    return "other"


def _leaf(old: Condition, new: Condition) -> Way:
    ways = [_test(test, old.get(test), new.get(test)) for test in (*COMPARISONS, "is", "one_of", "known")]
    return _together(ways)


def _test(test: str, old: Any, new: Any) -> Way:
    if old == new:
        return "same"
    if old is None or new is None:  # a test more asks more, a test less asks less
        return "narrower" if old is None else "wider"
    if test in COMPARISONS:
        return _limit(test, old, new)
    if test == "one_of":
        if set(old) <= set(new):
            return "wider"
        return "narrower" if set(new) <= set(old) else "other"
    return "other"


def _limit(test: str, old: Any, new: Any) -> Way:
    """A limit that moved; one that follows another input only by its margin."""
    if isinstance(old, Mapping) or isinstance(new, Mapping):
        if not (isinstance(old, Mapping) and isinstance(new, Mapping)) or old.get("input") != new.get("input"):
            return "other"
        if old.get("times", 1) != new.get("times", 1):
            return "other"
        old, new = old.get("plus", 0), new.get("plus", 0)
    return "same" if old == new else _RAISED[test] if new > old else _FLIPPED[_RAISED[test]]


def _together(ways: Sequence[Way]) -> Way:
    found = {way for way in ways if way != "same"}
    if not found:
        return "same"
    return found.pop() if len(found) == 1 else "other"
