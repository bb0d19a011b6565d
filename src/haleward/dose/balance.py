"""Choose movements that cover the body, spread them over two parts, and put each part in order."""

from __future__ import annotations

from dataclasses import dataclass

from haleward.dose.model import LeftOut
from haleward.dose.options import Option, Options
from haleward.dose.words import words
from haleward.safety.policy import DosePolicy

CATEGORY_ORDER = ("functional", "resistance", "balance", "mobility")


@dataclass(frozen=True)
class Picked:
    """A chosen option and the sentence that says why it was chosen."""

    option: Option
    why: str


@dataclass(frozen=True)
class Selection:
    """The movements of a programme, most useful first, and what is not covered."""

    picked: tuple[Picked, ...]
    gaps: tuple[LeftOut, ...]


def select(options: Options, *, policy: DosePolicy, most_a_part: int, balance_emphasis: bool) -> Selection:
    """Cover the protocol's regions in its order as far as two parts of ``most_a_part`` movements allow.

    Balance comes second when the placement asks for it. At least ``functional_least`` functional movements are kept,
    in place of the least useful region if need be. A region that is not covered is a gap with its reason.
    """
    slots = 2 * most_a_part
    order = _order(policy.required_regions, balance_emphasis)
    picked, gaps = _by_region(options, order, slots, policy, most_a_part)
    picked, dropped = _with_functional(picked, options, slots, policy, balance_emphasis)
    gaps += [_cap_gap(region, most_a_part) for region in dropped]
    picked = _filled(picked, options, order, slots, policy)
    functional = sum(p.option.category == "functional" for p in picked)
    if functional < policy.functional_least:
        gaps.append(LeftOut("", "", words("gap_functional", count=functional, needed=policy.functional_least)))
    return Selection(tuple(picked), tuple(gaps))


def two_parts(picked: tuple[Picked, ...], *, most_a_part: int) -> tuple[tuple[Picked, ...], tuple[Picked, ...]]:
    """Deal the movements out: a region's second movement to the other part, arms and legs shared; then order each."""
    one: list[Picked] = []
    two: list[Picked] = []
    for upper in (False, True):
        for item in (p for p in picked if p.option.upper == upper):
            min((one, two), key=lambda part: _load_of_part(part, item, most_a_part)).append(item)
    return _in_turn(one), _in_turn(two)


def _load_of_part(part: list[Picked], item: Picked, most_a_part: int) -> tuple[bool, int, int, int]:
    same_region = sum(p.option.region == item.option.region for p in part)
    same_kind = sum(p.option.upper == item.option.upper for p in part)
    return len(part) >= most_a_part, same_region, same_kind, len(part)


def _order(regions: tuple[str, ...], balance_emphasis: bool) -> tuple[str, ...]:
    if not balance_emphasis or "balance" not in regions:
        return regions
    others = tuple(region for region in regions if region != "balance")
    return (*others[:1], "balance", *others[1:])


def _by_region(
    options: Options, order: tuple[str, ...], slots: int, policy: DosePolicy, most_a_part: int
) -> tuple[list[Picked], list[LeftOut]]:
    picked: list[Picked] = []
    gaps: list[LeftOut] = []
    for place, region in enumerate(order, start=1):
        best = best_of(options, region, set(), policy)
        if best is None:
            gaps.append(_region_gap(options, region))
        elif len(picked) == slots:
            gaps.append(_cap_gap(region, most_a_part))
        else:
            name = words(f"region_{region}").lower()
            picked.append(Picked(best, words("why_region", movement_title=best.title, region=name, place=_nth(place))))
    return picked, gaps


def _with_functional(
    picked: list[Picked], options: Options, slots: int, policy: DosePolicy, balance_emphasis: bool
) -> tuple[list[Picked], list[str]]:
    """Bring in functional movements until there are enough; returns also the regions that gave way."""
    picked, dropped = list(picked), []
    while sum(p.option.category == "functional" for p in picked) < policy.functional_least:
        have = {p.option.movement_id for p in picked}
        new = _best_functional(options, have, policy)
        gives_way = [
            i
            for i, p in enumerate(picked)
            if p.option.category != "functional" and not (balance_emphasis and p.option.region == "balance")
        ]
        if new is None or (len(picked) == slots and not gives_way):
            break
        if len(picked) == slots:
            same = [i for i in gives_way if picked[i].option.region == new.region]
            gone = picked.pop((same or gives_way)[-1])
            if gone.option.region != new.region:
                dropped.append(gone.option.region)
        why = words("why_functional", movement_title=new.title, needed=policy.functional_least)
        picked.append(Picked(new, why))
    return picked, dropped


def _filled(
    picked: list[Picked], options: Options, order: tuple[str, ...], slots: int, policy: DosePolicy
) -> list[Picked]:
    """Use the places left for second movements, arms or legs, whichever are fewer; light work does not fill places."""
    while len(picked) < slots:
        have = {p.option.movement_id for p in picked}
        found = [best_of(options, region, have, policy) for region in order]
        fit = [option for option in found if option is not None and not option.light_work]
        if not fit:
            break
        best = min(fit, key=lambda option: sum(p.option.upper == option.upper for p in picked))
        name = words(f"region_{best.region}").lower()
        picked = [*picked, Picked(best, words("why_second", movement_title=best.title, region=name))]
    return picked


def best_of(options: Options, region: str, have: set[str], policy: DosePolicy) -> Option | None:
    """The best movement of a region that is not among ``have``; ``None`` when there is none."""
    found = [o for o in options.eligible if o.region == region and o.movement_id not in have]
    return min(found, key=lambda option: _rank(option, policy), default=None)


def _best_functional(options: Options, have: set[str], policy: DosePolicy) -> Option | None:
    found = [o for o in options.eligible if o.category == "functional" and o.movement_id not in have]
    regions = policy.required_regions
    return min(
        (o for o in found if o.region in regions),
        key=lambda option: (regions.index(option.region), _rank(option, policy)),
        default=None,
    )


def _rank(option: Option, policy: DosePolicy) -> tuple[bool, int, bool, int, str]:
    """Lower is better: real work before light, the protocol's first choices, large muscles before small."""
    preferred = policy.preferred_movements
    place = preferred.index(option.movement_id) if option.movement_id in preferred else len(preferred)
    category = CATEGORY_ORDER.index(option.category) if option.category in CATEGORY_ORDER else len(CATEGORY_ORDER)
    return option.light_work, place, option.small_muscle, category, option.movement_id


def _region_gap(options: Options, region: str) -> LeftOut:
    name = words(f"region_{region}")
    against = [left for left in options.left_out if left.region == region]
    if not against:
        return LeftOut("", region, words("gap_region_empty", region=name))
    reasons = " ".join(left.reason for left in against[:2])
    return LeftOut("", region, words("gap_region", region=name, reason=reasons), against[0].rule_id)


def _cap_gap(region: str, most_a_part: int) -> LeftOut:
    text = words("gap_cap", region=words(f"region_{region}"), count=most_a_part)
    return LeftOut("", region, text, "dose.movements_most")


def _in_turn(part: list[Picked]) -> tuple[Picked, ...]:
    """Arms and legs in turn, the larger group first, large muscles before small in each."""
    legs = sorted((p for p in part if not p.option.upper), key=lambda p: p.option.small_muscle)
    arms = sorted((p for p in part if p.option.upper), key=lambda p: p.option.small_muscle)
    first, second = (arms, legs) if len(arms) > len(legs) else (legs, arms)
    return tuple(group[i] for i in range(len(first)) for group in (first, second) if i < len(group))


def _nth(place: int) -> str:
    return {1: "first", 2: "second", 3: "third"}.get(place, f"{place}th")
