"""What a programme does not cover: why, and the smallest thing at home that would cover it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from haleward.dose.choosing import Picked
from haleward.dose.choosing_score import Wanted
from haleward.dose.model import LeftOut, Prescription
from haleward.dose.options import Options, options_for
from haleward.dose.words import words
from haleward.movement.library import Library
from haleward.record import Kit, Record
from haleward.safety.facts import facts_of
from haleward.safety.placement import place
from haleward.safety.protocol import Protocol

# What may be asked for or lent, the easiest to come by first; a step is one stair, bottles are two of 500 mL.
TO_HAVE: tuple[tuple[str, Any], ...] = (
    ("clear_wall", True),
    ("bottle", (0.5,)),
    ("worktop", True),
    ("firm_chair", True),
    ("armchair", True),
    ("step_height_m", 0.15),
    ("ankle_weight", (0.5,)),
)
FIELDS = {"bottle": "bottle_pairs_kg", "ankle_weight": "ankle_weight_pairs_kg"}


@dataclass(frozen=True)
class Asked:
    """For whom it is asked what would cover a region."""

    record: Record
    prescription: Prescription
    protocol: Protocol
    library: Library


def gaps_of(
    picked: tuple[Picked, ...], options: Options, wanted: Wanted, *, most_a_part: int, asked: Asked
) -> tuple[LeftOut, ...]:
    """One entry for each region without a movement, and one if functional movements are too few."""
    covered = {item.option.region for item in picked}
    usable = {option.region for option in options.eligible}
    found = []
    for region in wanted.regions:
        if region in covered:
            continue
        if region in usable:
            text = words("gap_cap", region=words(f"region_{region}"), count=most_a_part)
            found.append(LeftOut("", region, text, "dose.movements_most"))
        else:
            found.append(region_gap(options, region, asked))
    functional = sum(item.option.category == "functional" for item in picked)
    needed = wanted.policy.functional_least
    if functional < needed:
        found.append(LeftOut("", "", words("gap_functional", count=functional, needed=needed)))
    return tuple(found)


def region_gap(options: Options, region: str, asked: Asked) -> LeftOut:
    """Why no movement of a region fits this person, and what would cover it."""
    name = words(f"region_{region}")
    against = [left for left in options.left_out if left.region == region and left.movement_id]
    if not against:
        return LeftOut("", region, words("gap_region_empty", region=name))
    reasons = " ".join(left.reason for left in against[:2])
    text = words("gap_region", region=name, reason=reasons)
    return LeftOut("", region, f"{text} {would_cover(region, asked)}", against[0].rule_id)


def would_cover(region: str, asked: Asked) -> str:
    """The one thing more at home that would make a movement of this region usable, in a sentence."""
    inside = Library({m.id: m for m in asked.library.movements.values() if m.region == region})
    for thing, value in TO_HAVE:
        name = FIELDS.get(thing, thing)
        if getattr(asked.record.kit, name):
            continue
        usable = _with(replace(asked.record.kit, **{name: value}), inside, asked)
        if usable is not None:
            return words("gap_would_cover", kit_name=words(f"kit_{thing}"), movement_title=usable)
    return words("gap_nothing_covers")


def _with(kit: Kit, inside: Library, asked: Asked) -> str | None:
    """The title of the first movement that fits with this kit; the posture is placed anew with it."""
    record, made = replace(asked.record, kit=kit), asked.prescription
    facts = facts_of(record, today=made.made_on)
    placed = replace(made, placement=place(record, facts, asked.protocol))
    found = options_for(record, placed, protocol=asked.protocol, library=inside).eligible
    return min((option.title for option in found), default=None)
