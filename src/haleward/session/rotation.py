"""Which variant of a line is said next: by rotation, so that a session repeats none while another is left."""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from haleward.errors import HalewardError
from haleward.wording import WORDING_FOLDER, Wording


@dataclass(frozen=True)
class Variant:
    """One line of a family and the circumstances it needs, e.g. ``held_weight``."""

    key: str
    when: frozenset[str]


@cache
def variant_families(path: Path = WORDING_FOLDER / "variants.csv") -> Mapping[str, tuple[Variant, ...]]:
    """The families of data/wording/variants.csv, each in its order."""
    families: dict[str, list[Variant]] = {}
    with path.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            families.setdefault(row["family"], []).append(Variant(row["key"], frozenset(row["when"].split())))
    return {family: tuple(variants) for family, variants in families.items()}


class Rotation:
    """Chooses variants for one session. The same ``start`` and the same calls give the same lines."""

    def __init__(self, wording: Wording, *, start: int) -> None:
        self._wording = wording
        self._start = start
        self._used: Counter[str] = Counter()

    def choices(self, family: str, *, values: Mapping[str, str], when: Collection[str] = ()) -> tuple[str, ...]:
        """The keys that may be said now, least used first, then in turn from the session's start."""
        families = variant_families()
        if family not in families:
            raise HalewardError(f'There is no family of lines "{family}" in data/wording/variants.csv.')
        variants = families[family]
        turn = self._start % len(variants)
        in_turn = variants[turn:] + variants[:turn]
        keys = [v.key for v in in_turn if v.when <= set(when) and self._wording.has_values(v.key, values)]
        return tuple(sorted(keys, key=lambda key: self._used[key]))

    def use(self, key: str) -> str:
        """Note that ``key`` is said, and return it."""
        self._used[key] += 1
        return key

    def next(self, family: str, *, values: Mapping[str, str], when: Collection[str] = ()) -> str:
        """The key to say now; it counts as used."""
        keys = self.choices(family, values=values, when=when)
        if not keys:
            raise HalewardError(f'No line of the family "{family}" has all its values.')
        return self.use(keys[0])
