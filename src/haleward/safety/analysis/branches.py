"""A condition as its branches: ways of being true, each a plain list of comparisons that all hold.

Only for conditions without "not" around a group; a "not" is kept as one comparison that is not looked into.
"""

from __future__ import annotations

from itertools import product

from haleward.safety.conditions import Condition

MOST = 64  # more branches than a person writes; a condition with more is left whole


def branches(condition: Condition) -> tuple[Condition, ...]:
    """The ways in which ``condition`` can be true, each as {"all": [...]} or a single comparison."""
    found = _split(condition)
    if len(found) > MOST:
        return (condition,)
    return tuple(parts[0] if len(parts) == 1 else {"all": list(parts)} for parts in found)


def comparisons(branch: Condition) -> tuple[Condition, ...]:
    """The comparisons of one branch."""
    return tuple(branch["all"]) if "all" in branch else (branch,)


def _split(condition: Condition) -> list[tuple[Condition, ...]]:
    if "any" in condition:
        return [found for part in condition["any"] for found in _split(part)]
    if "all" in condition:
        choices = [_split(part) for part in condition["all"]]
        size = 1
        for choice in choices:
            size *= len(choice)
        if size > MOST:
            return [(condition,)]
        return [tuple(leaf for part in chosen for leaf in part) for chosen in product(*choices)]
    return [(condition,)]
