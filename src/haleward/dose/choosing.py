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


@dataclass(frozen=True)
class Counts:
    """What the whole set is judged by."""

    movements: int = 0
    arms: int = 0
    functional: int = 0  # as far as the protocol asks for
    kits: frozenset[str] = frozenset()

    def plus(self, here: tuple[Option, ...], least: int) -> Counts:
        """With the movements of one more region."""
        return Counts(
            self.movements + len(here),
            self.arms + sum(option.upper for option in here),
            min(self.functional + sum(option.category == "functional" for option in here), least),
            self.kits | ({option.start.load.kit for option in here} - {"own_weight"}),
        )


_Set = tuple[float, tuple[str, ...], tuple[Option, ...]]  # points taken as less, ids, options: smaller is better


def best_set(options: Options, wanted: Wanted, *, most: int) -> tuple[Option, ...]:
    """The set of at most ``most`` movements with the most points, in the protocol's order of regions."""
    least = wanted.policy.functional_least
    best: dict[Counts, _Set] = {Counts(): (0.0, (), ())}
    for place, region in enumerate(wanted.regions):
        groups = _groups(options, region, place, wanted)
        longer: dict[Counts, _Set] = {}
        for counts, (less, ids, chosen) in best.items():
            for less_here, ids_here, here in groups:
                if counts.movements + len(here) > most:
                    continue
                found = (less + less_here, ids + ids_here, chosen + here)
                key = counts.plus(here, least)
                if key not in longer or found[:2] < longer[key][:2]:
                    longer[key] = found
        best = longer
    return min((_whole(counts, found, least) for counts, found in best.items()), key=lambda one: one[:2])[2]


def _groups(options: Options, region: str, place: int, wanted: Wanted) -> list[_Set]:
    """Every useful group of movements of one region; of those with the same counts only the best."""
    there = sorted((o for o in options.eligible if o.region == region), key=lambda option: option.movement_id)
    own = {option.movement_id: movement_points(option, wanted) for option in there}
    found: dict[Counts, _Set] = {}
    for size in range(int(weights()["most_of_a_region"]) + 1):
        for here in combinations(there, size):
            less = -region_points(here, place) - sum(own[option.movement_id] for option in here)
            group = (less, tuple(option.movement_id for option in here), here)
            key = Counts().plus(here, wanted.policy.functional_least)
            if key not in found or group[:2] < found[key][:2]:
                found[key] = group
    return list(found.values())


def _whole(counts: Counts, found: _Set, least: int) -> _Set:
    less, ids, chosen = found
    points = whole_points(
        arms=counts.arms,
        count=counts.movements,
        functional=counts.functional,
        kit_kinds=len(counts.kits),
        least=least,
        points=weights(),
    )
    return less - points, ids, chosen


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
