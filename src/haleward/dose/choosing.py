"""Choose the movements of a programme: the set with the most points that fits into two parts, found exactly.

The sum of :mod:`haleward.dose.choosing_score` depends on a set only through each region's own movements and four
counts of the whole (movements, arm movements, functional movements, kinds of kit). So the best set is built region by
region, keeping for each combination of counts only the best: every other set with those counts can be bettered by the
same movements of the regions that follow. Among equals the first by movement id is taken, so the same input always
gives the same programme.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import NamedTuple

from haleward.dose.choosing_score import Wanted, goal_words, movement_points, region_points, weights, whole_points
from haleward.dose.options import Option, Options
from haleward.dose.words import listed, words


@dataclass(frozen=True)
class Picked:
    """A chosen option and why: the first sentence says what it is for, the others what else spoke for it."""

    option: Option
    why: str
    also: tuple[str, ...] = ()

    @property
    def reasons(self) -> tuple[str, ...]:
        """Every sentence."""
        return (self.why, *self.also)


class Counts(NamedTuple):
    """What the whole set is judged by."""

    movements: int = 0
    arms: int = 0
    functional: int = 0  # as far as the protocol asks for
    kits: frozenset[str] = frozenset()


class Found(NamedTuple):
    """A set of movements: its points taken as a loss (smaller is better), then the ids, which decide between equals."""

    loss: float = 0.0
    ids: tuple[str, ...] = ()
    options: tuple[Option, ...] = ()


def best_set(options: Options, wanted: Wanted, *, most: int) -> tuple[Option, ...]:
    """The set of at most ``most`` movements with the most points, in the protocol's order of regions."""
    least = wanted.policy.functional_least
    best = {Counts(): Found()}
    for place, region in enumerate(wanted.regions):
        longer: dict[Counts, Found] = {}
        groups = _groups(options, region, place, wanted)
        for (movements, arms, functional, kits), (loss, ids, chosen) in best.items():
            for more, (loss_here, ids_here, here) in groups.items():
                if movements + more.movements > most:
                    continue
                together = min(functional + more.functional, least)
                key = Counts(movements + more.movements, arms + more.arms, together, kits | more.kits)
                known, now = longer.get(key), loss + loss_here
                if known is None or (now, ids + ids_here) < known[:2]:
                    longer[key] = Found(now, ids + ids_here, chosen + here)
        best = longer
    return min((_whole(counts, found, least) for counts, found in best.items()), key=lambda one: one[:2]).options


def _groups(options: Options, region: str, place: int, wanted: Wanted) -> dict[Counts, Found]:
    """Every useful group of movements of one region; of those with the same counts only the best."""
    there = sorted((o for o in options.eligible if o.region == region), key=lambda option: option.movement_id)
    own = {option.movement_id: movement_points(option, wanted) for option in there}
    best: dict[Counts, Found] = {}
    for size in range(int(weights()["most_of_a_region"]) + 1):
        for here in combinations(there, size):
            loss = -region_points(here, place) - sum(own[option.movement_id] for option in here)
            found = Found(loss, tuple(option.movement_id for option in here), here)
            key = _counts(here, wanted.policy.functional_least)
            if key not in best or found[:2] < best[key][:2]:
                best[key] = found
    return best


def _counts(here: tuple[Option, ...], least: int) -> Counts:
    return Counts(
        len(here),
        sum(option.upper for option in here),
        min(sum(option.category == "functional" for option in here), least),
        frozenset(option.start.load.kit for option in here) - {"own_weight"},
    )


def _whole(counts: Counts, found: Found, least: int) -> Found:
    points = whole_points(
        arms=counts.arms,
        count=counts.movements,
        functional=counts.functional,
        kit_kinds=len(counts.kits),
        least=least,
        points=weights(),
    )
    return found._replace(loss=found.loss - points)


def with_reasons(chosen: tuple[Option, ...], wanted: Wanted) -> tuple[Picked, ...]:
    """The chosen movements, each with its reasons; the first movement of each region before every second one."""
    ahead: list[Picked] = []
    behind: list[Picked] = []
    functional = sum(option.category == "functional" for option in chosen)
    for place, region in enumerate(wanted.regions, start=1):
        here = [option for option in chosen if option.region == region]
        here.sort(key=lambda option: (-movement_points(option, wanted), option.movement_id))
        for first, option in ((option is here[0], option) for option in here):
            needed = option.category == "functional" and functional <= wanted.policy.functional_least
            why = _why(option, place, first=first, needed=needed, wanted=wanted)
            (ahead if first else behind).append(Picked(option, why, _also(option, wanted, needed and first)))
    return (*ahead, *behind)


def _why(option: Option, place: int, *, first: bool, needed: bool, wanted: Wanted) -> str:
    region = words(f"region_{option.region}").lower()
    if first:
        return words("why_region", movement_title=option.title, region=region, place=_nth(place))
    if needed:
        return words("why_functional", movement_title=option.title, needed=wanted.policy.functional_least)
    return words("why_second", movement_title=option.title, region=region)


def _also(option: Option, wanted: Wanted, functional: bool) -> tuple[str, ...]:
    found = []
    if functional:
        found.append(words("why_functional", movement_title=option.title, needed=wanted.policy.functional_least))
    named = goal_words(wanted.goal, option.purpose)
    if named:
        said = listed(tuple(f'"{word}"' for word in named))
        found.append(words("why_goal", named=said, purpose=option.purpose))
    if option.movement_id in wanted.kept:
        found.append(words("why_kept"))
    return tuple(found)


def _nth(place: int) -> str:
    return {1: "first", 2: "second", 3: "third"}.get(place, f"{place}th")
