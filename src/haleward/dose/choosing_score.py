"""What a set of movements is worth: the stated sum that choosing makes as large as it can.

Every number is a row of ``data/tables/choosing.csv``; docs/choosing.md says in words what each stands for.
Restrictions, placement, ceilings, kit and space are no part of the sum: only movements that satisfy them all can be
chosen at all.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from haleward.dose.options import Option
from haleward.physiology.tables import rows, settings
from haleward.safety.policy import DosePolicy

TOO_COMMON = frozenset(("and", "back", "for", "from", "get", "her", "his", "into", "off", "out", "the", "with"))
SHORTEST_WORD = 3


@dataclass(frozen=True)
class Wanted:
    """What this person's choice is scored by, beside the options themselves."""

    policy: DosePolicy
    balance_emphasis: bool = False
    goal: str = ""
    kept: frozenset[str] = frozenset()  # movements of the last signed programme that went well

    @property
    def regions(self) -> tuple[str, ...]:
        """The protocol's regions, most useful first; balance comes second when the placement asks for it."""
        regions = self.policy.required_regions
        if not self.balance_emphasis or "balance" not in regions:
            return regions
        others = tuple(region for region in regions if region != "balance")
        return (*others[:1], "balance", *others[1:])


def weights() -> Mapping[str, float]:
    """The points of each term."""
    return settings("choosing")


def score(chosen: tuple[Option, ...], wanted: Wanted) -> float:
    """The points of a set of movements: the plain sum, term by term."""
    points = weights()
    total = sum(movement_points(option, wanted) for option in chosen)
    for place, region in enumerate(wanted.regions):
        here = tuple(option for option in chosen if option.region == region)
        total += region_points(here, place)
    return total + whole_points(
        arms=sum(option.upper for option in chosen),
        count=len(chosen),
        functional=sum(option.category == "functional" for option in chosen),
        kit_kinds=len({option.start.load.kit for option in chosen} - {"own_weight"}),
        least=wanted.policy.functional_least,
        points=points,
    )


def movement_points(option: Option, wanted: Wanted) -> float:
    """What one movement brings by itself."""
    points, preferred = weights(), wanted.policy.preferred_movements
    total = points["light_work"] if option.light_work else points["movement"]
    if option.movement_id in preferred:
        total += max(points["preferred_first"] - points["preferred_step"] * preferred.index(option.movement_id), 0)
    total += points["functional"] * (option.category == "functional")
    total += points["small_muscle"] * option.small_muscle
    total += points["goal"] * bool(goal_words(wanted.goal, option.purpose))
    return total + points["kept"] * (option.movement_id in wanted.kept)


def region_points(here: tuple[Option, ...], place: int) -> float:
    """What the movements of one region bring together: the region covered, less what they repeat."""
    if not here:
        return 0.0
    points = weights()
    covered = points["region_first"] - points["region_step"] * place
    repeats = points["repeat"] * sum(range(len(here)))
    patterns = Counter(option.pattern for option in here)
    return covered - repeats - points["same_pattern"] * sum(count - 1 for count in patterns.values())


def whole_points(
    *, arms: int, count: int, functional: int, kit_kinds: int, least: int, points: Mapping[str, float]
) -> float:
    """What is taken off the whole set: too few functional movements, arms and legs uneven, many kinds of kit."""
    short = points["functional_short"] * max(least - functional, 0)
    uneven = points["upper_lower"] * abs(2 * arms - count)
    return -short - uneven - points["kit_kind"] * max(kit_kinds - 1, 0)


@cache
def goal_words(goal: str, purpose: str) -> tuple[str, ...]:
    """The person's own words that a movement's purpose answers, in the order they were written.

    Words are compared by their stem and by ``data/tables/goal_words.csv`` ("grandson" is answered by "a child").
    """
    means = _stands_for()
    purposes = {_stem(word) for word in _words(purpose)}
    found = [word for word in _words(goal) if ({_stem(word)} | means.get(_stem(word), set[str]())) & purposes]
    return tuple(dict.fromkeys(found))


@cache
def _stands_for() -> dict[str, set[str]]:
    means: dict[str, set[str]] = {}
    for row in rows("goal_words"):
        means.setdefault(_stem(row["word"]), set()).add(_stem(row["stands_for"]))
    return means


def _words(text: str) -> list[str]:
    return [
        word for word in re.findall(r"[^\W\d_]+", text.lower()) if len(word) >= SHORTEST_WORD and word not in TOO_COMMON
    ]


def _stem(word: str) -> str:
    for ending in ("ing", "es", "s"):
        if word.endswith(ending) and len(word) - len(ending) >= SHORTEST_WORD:
            return word.removesuffix(ending)
    return word
