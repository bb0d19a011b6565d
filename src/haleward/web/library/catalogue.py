"""The movements as a list to search: by words, region, kit, posture, and what a condition leaves of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from haleward.dose.cautions import CAUTION_KINDS, Allowance, allowance
from haleward.movement.library import Library
from haleward.movement.loads import KIT_KINDS, KitKind
from haleward.movement.model import Movement
from haleward.physiology.tables import texts
from haleward.record import POSTURES, Posture
from haleward.render.looks import LOOKS
from haleward.wording import Wording

REGIONS = ("pull", "push", "reach", "stand_up", "hip", "knee", "calf", "trunk", "balance", "aerobic")
CHOICES: Mapping[str, tuple[str, ...]] = {
    "region": REGIONS,
    "posture": POSTURES,
    "kit": KIT_KINDS,
    "caution": CAUTION_KINDS,
}


@dataclass(frozen=True)
class Sought:
    """What the list is narrowed to; an empty text narrows nothing."""

    words: str = ""
    region: str = ""
    posture: str = ""
    kit: str = ""
    caution: str = ""


@dataclass(frozen=True)
class Found:
    """One movement of the list, in the posture and with the kit it is shown in."""

    movement: Movement
    title: str
    purpose: str
    alt: str
    posture: Posture
    kit: KitKind
    look: str
    postures: tuple[Posture, ...]
    region_words: str
    note: str = ""  # what the condition asked for changes


@dataclass(frozen=True)
class Choice:
    """One choice of a filter with the number of movements it would leave."""

    value: str
    words: str
    count: int
    chosen: bool


@dataclass(frozen=True)
class Catalogue:
    """The library with its words. ``light_kg`` is what the protocol calls a light load."""

    library: Library
    wording: Wording
    light_kg: float

    def found(self, sought: Sought) -> tuple[Found, ...]:
        """The movements that fit, by region and title."""
        rows = (self._found(movement, sought) for movement in self.library.movements.values())
        return tuple(sorted((row for row in rows if row is not None), key=_order))

    def choices(self, sought: Sought) -> dict[str, tuple[Choice, ...]]:
        """Each filter's choices; their counts keep the other filters as they are."""
        return {name: tuple(self._choice(sought, name, value) for value in values) for name, values in CHOICES.items()}

    def _choice(self, sought: Sought, name: str, value: str) -> Choice:
        count = len(self.found(replace(sought, **{name: value})))
        return Choice(value, texts("library_words")[f"{name}_{value}"], count, getattr(sought, name) == value)

    def _found(self, movement: Movement, sought: Sought) -> Found | None:
        left = self._left(movement, sought.caution)
        if not left.allowed or sought.region not in ("", movement.region) or not self._holds(movement, sought.words):
            return None
        wanted = POSTURES if sought.posture == "" else tuple(one for one in POSTURES if one == sought.posture)
        for posture in (one for one in wanted if one in left.postures and one in movement.postures):
            kits = [kit for kit in movement.postures[posture].kits if sought.kit in ("", kit) and _fits(kit, left)]
            if kits:
                return self._shown(movement, posture, kits[0], left)
        return None

    def _shown(self, movement: Movement, posture: Posture, kit: KitKind, left: Allowance) -> Found:
        words = self.wording.movement(movement.id, posture)
        return Found(
            movement=movement,
            title=words.title,
            purpose=words.purpose_one_line,
            alt=words.alt_text_start,
            posture=posture,
            kit=kit,
            look=look_of(self.library, movement.id),
            postures=tuple(movement.postures),
            region_words=texts("library_words")[f"region_{movement.region}"],
            note=left_words(left),
        )

    def _left(self, movement: Movement, caution: str) -> Allowance:
        if not caution:
            return Allowance(allowed=True)
        return allowance(movement.cautions.get(caution, ""), light_load_most_kg=self.light_kg)

    def _holds(self, movement: Movement, sought: str) -> bool:
        return all(word in self._texts[movement.id] for word in map(_stem, sought.lower().split()))

    @cached_property
    def _texts(self) -> dict[str, str]:
        return {movement.id: _text(movement, self.wording) for movement in self.library.movements.values()}


def left_words(left: Allowance) -> str:
    """What a condition leaves of a movement, in words; nothing when it changes nothing."""
    parts = []
    if left.load_most_kg is not None:
        parts.append("without load" if left.load_most_kg == 0 else f"at most {left.load_most_kg:g} kg")
    if len(left.postures) < len(POSTURES):
        parts.append(" or ".join(one.replace("_", "-") for one in left.postures))
    if left.note:
        parts.append(left.note)
    return "; ".join(parts)


def look_of(library: Library, movement_id: str) -> str:
    """The figure that shows a movement when no person is asked for: the looks take turns over the library."""
    plain = [key for key, look in LOOKS.items() if not look.on_choice]
    return plain[list(library.movements).index(movement_id) % len(plain)]


def _fits(kit: KitKind, left: Allowance) -> bool:
    return kit in left.kits and (left.load_most_kg != 0 or kit == "own_weight")


def _order(row: Found) -> tuple[int, str]:
    return REGIONS.index(row.movement.region), row.title


def _stem(word: str) -> str:
    """A word without its plural ending, so that "stairs" finds "stair"."""
    return word.removesuffix("s") if len(word) > 3 else word


def _text(movement: Movement, wording: Wording) -> str:
    """Everything a movement can be found by."""
    parts = [movement.name, movement.purpose, movement.pattern, *movement.prime_movers]
    parts.append(texts("library_words")[f"region_{movement.region}"])
    for posture in movement.postures:
        words = wording.movement(movement.id, posture)
        parts += [words.title, words.purpose_one_line, words.why_told_in_rest]
    return " ".join(parts).lower()
