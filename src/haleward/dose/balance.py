"""The best movement of one region: real work before light, the protocol's first choices, large muscles before small."""

from __future__ import annotations

from haleward.dose.options import Option, Options
from haleward.safety.policy import DosePolicy

CATEGORY_ORDER = ("functional", "resistance", "balance", "mobility")


def best_of(options: Options, region: str, have: set[str], policy: DosePolicy) -> Option | None:
    """The best movement of a region that is not among ``have``; ``None`` when there is none."""
    found = [o for o in options.eligible if o.region == region and o.movement_id not in have]
    return min(found, key=lambda option: _rank(option, policy), default=None)


def _rank(option: Option, policy: DosePolicy) -> tuple[bool, int, bool, int, str]:
    """Lower is better: real work before light, the protocol's first choices, large muscles before small."""
    preferred = policy.preferred_movements
    place = preferred.index(option.movement_id) if option.movement_id in preferred else len(preferred)
    category = CATEGORY_ORDER.index(option.category) if option.category in CATEGORY_ORDER else len(CATEGORY_ORDER)
    return option.light_work, place, option.small_muscle, category, option.movement_id
