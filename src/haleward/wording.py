"""Every sentence a person reads or hears, by key, with its placeholders filled from record, protocol and service.

The sentences are data (``data/wording/*.csv``): no clinical wording lives in code. A placeholder without a value is an
error, never a gap: on screen the caller leaves the row out, in print the row blocks the print.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Literal

from haleward.errors import HalewardError

WORDING_FOLDER = Path(__file__).parent / "data" / "wording"
STAND_INS = Path(__file__).parent / "data" / "tables" / "stand_ins.csv"
EMERGENCY_ROW = "banner_lead"  # stands in when a topic's own first row names a number the service has not given

_PLACEHOLDER = re.compile(r"\{(\w+)\}")
_COUNTED = re.compile(r"(\{(\w+)\} (?:minute|second|day|week))s\b")  # of one of them the noun loses its s
_ONES = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
]
_TENS = ("", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")


@dataclass(frozen=True)
class Service:
    """The service's own names and numbers by placeholder (``emergency_number``, ``nurse_line``, ``team_phone``...)."""

    name: str
    values: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class MovementWording:
    """The words for one movement in one posture; an empty text means "does not apply here".

    ``effort_phase`` says which way the work goes: ``to_end`` works from the start pose to the end pose (``move_out``
    is said first); ``to_start`` goes down first (``move_back``) and works back up (``move_out``).
    """

    movement_id: str
    posture: str
    title: str
    purpose_one_line: str
    why_told_in_rest: str
    why_told_in_rest_2: str
    setup_1: str
    setup_2: str
    setup_3: str
    setup_4: str
    effort_phase: Literal["to_end", "to_start"]
    move_out: str
    move_back: str
    hold: str
    breathing: str
    kit_hand_weight: str
    kit_bottle: str
    kit_band: str
    kit_own_weight: str
    kit_ankle_weight: str
    kit_other: str
    band_setup: str
    make_it_easier: str
    make_it_harder: str
    common_fault_fix_1: str
    common_fault_fix_2: str
    stop_if: str
    alt_text_start: str
    alt_text_end: str
    low_vision_words: str

    @property
    def setup(self) -> tuple[str, ...]:
        """The set-up lines in order, without the empty ones."""
        return tuple(line for line in (self.setup_1, self.setup_2, self.setup_3, self.setup_4) if line)

    @property
    def faults(self) -> tuple[str, ...]:
        """The common faults, each with its mend."""
        return tuple(line for line in (self.common_fault_fix_1, self.common_fault_fix_2) if line)

    def kit_line(self, kit: str) -> str:
        """What to hold or wear for ``kit`` (own_weight, hand_weight, bottle, band, ankle_weight); "" if it cannot."""
        return {
            "own_weight": self.kit_own_weight,
            "hand_weight": self.kit_hand_weight,
            "bottle": self.kit_bottle,
            "band": self.kit_band,
            "ankle_weight": self.kit_ankle_weight,
        }[kit]


@dataclass(frozen=True)
class SafetyLine:
    """One line of a safety topic. ``level`` says how soon: emergency, same day, next working day, self care."""

    key: str
    level: str
    text: str


@dataclass(frozen=True)
class _SafetyRow:
    key: str
    audience: str
    level: str
    order: int


class Wording:
    """All tables of one wording folder, read once."""

    language = "en-GB"
    direction: Literal["ltr", "rtl"] = "ltr"
    draft_line = ""  # what every page says that is made from a translation nobody has reviewed

    def __init__(
        self,
        *,
        texts: Mapping[str, str],
        movements: Mapping[tuple[str, str], MovementWording],
        safety_rows: Mapping[str, tuple[_SafetyRow, ...]],
    ) -> None:
        self._texts = MappingProxyType(dict(texts))
        self._movements = MappingProxyType(dict(movements))
        self._safety_rows = MappingProxyType(dict(safety_rows))

    @property
    def topics(self) -> tuple[str, ...]:
        """The safety topics, in the order of the table."""
        return tuple(self._safety_rows)

    @property
    def keys(self) -> tuple[str, ...]:
        """The key of every text but the movements'."""
        return tuple(self._texts)

    def has_key(self, key: str) -> bool:
        """Whether there is a text with this key."""
        return key in self._texts

    def template(self, key: str) -> str:
        """The text of ``key`` with its placeholders as written."""
        if key not in self._texts:
            raise HalewardError(f'There is no wording with the key "{key}"; the keys are those of data/wording.')
        return self._texts[key]

    def with_texts(self, texts: Mapping[str, str]) -> Wording:
        """The same tables with some lines in other words; a key that no line has is refused."""
        for key in texts:
            self.template(key)
        return Wording(texts={**self._texts, **texts}, movements=self._movements, safety_rows=self._safety_rows)

    def missing(self, key: str, values: Mapping[str, str]) -> tuple[str, ...]:
        """The placeholders of ``key`` that have no value, in order of use."""
        return tuple(name for name in placeholders(self.template(key)) if not values.get(name))

    def has_values(self, key: str, values: Mapping[str, str]) -> bool:
        """Whether every placeholder of ``key`` has a value."""
        return not self.missing(key, values)

    def text(self, key: str, values: Mapping[str, str]) -> str:
        """The sentence for ``key``. Raises :class:`HalewardError` if a placeholder has no value."""
        missing = self.missing(key, values)
        if missing:
            raise HalewardError(
                f'The wording "{key}" needs {" and ".join(missing)}; fill this in the service settings or the record.'
            )
        one = _COUNTED.sub(lambda match: match[1] if values[match[2]] == "1" else match[0], self.template(key))
        return _PLACEHOLDER.sub(lambda match: values[match.group(1)], one)

    def movement(self, movement_id: str, posture: str) -> MovementWording:
        """The words for a movement in a posture."""
        found = self._movements.get((movement_id, posture))
        if found is None:
            raise HalewardError(f'There are no words for the movement "{movement_id}" in the posture "{posture}".')
        return found

    def has_movement(self, movement_id: str, posture: str) -> bool:
        """Whether there are words for this movement in this posture."""
        return (movement_id, posture) in self._movements

    def has_audience(self, topic: str, audience: str) -> bool:
        """Whether the safety topic has lines for this audience (person or carer)."""
        return any(row.audience == audience for row in self._safety_rows.get(topic, ()))

    def safety(
        self,
        topic: str,
        *,
        audience: str = "person",
        values: Mapping[str, str],
        strict: bool = False,
        may_lack: Collection[str] = (),
    ) -> tuple[SafetyLine, ...]:
        """The lines of a safety topic in order; the first is always an emergency line.

        On screen a line of care that the service has not given is named by the one that stands in for it
        (``tables/stand_ins.csv``), and rows with a placeholder still unfilled are left out; with ``strict`` (print)
        they raise, except those that lack one of ``may_lack`` (a limit that this person does not have). If a topic's
        own first row cannot be filled, the general emergency line takes its place; without an emergency number nothing
        safe can be shown and :class:`HalewardError` is raised.
        """
        if topic not in self._safety_rows:
            raise HalewardError(f'There is no safety topic "{topic}"; the topics are: {", ".join(self.topics)}.')
        rows = [row for row in self._safety_rows[topic] if row.audience == audience]
        if not rows:
            raise HalewardError(f'The safety topic "{topic}" has no lines for the audience "{audience}".')
        if not strict:
            values = _with_stand_ins(values)
        kept = [row for row in rows if self._shown(row.key, values, strict=strict, may_lack=may_lack)]
        lines = [SafetyLine(row.key, row.level, self.text(row.key, values)) for row in kept]
        if not kept or kept[0] is not rows[0]:
            lines.insert(0, SafetyLine(EMERGENCY_ROW, "emergency", self.text(EMERGENCY_ROW, values)))
        return tuple(lines)

    def _shown(self, key: str, values: Mapping[str, str], *, strict: bool, may_lack: Collection[str]) -> bool:
        missing = self.missing(key, values)
        return not missing or (strict and not set(missing) & set(may_lack))


def placeholders(text: str) -> tuple[str, ...]:
    """The names in braces of a text, each once, in order of use."""
    return tuple(dict.fromkeys(_PLACEHOLDER.findall(text)))


def spoken(number: float) -> str:
    """A number from 0 to 999, at most one decimal, in words: 12 is "twelve", 1.5 is "one point five"."""
    if not 0 <= number < 1000:
        raise HalewardError(f"{number} cannot be spoken; only numbers from 0 to 999 can.")
    tenths = round(number * 10)
    whole, tenth = divmod(tenths, 10)
    return _spoken_whole(whole) + (f" point {_ONES[tenth]}" if tenth else "")


def load_wording(folder: Path) -> Wording:
    """Read every table of ``folder``. A key used twice is an error that names both files."""
    texts: dict[str, str] = {}
    origin: dict[str, str] = {}
    for path in sorted(folder.glob("*.csv")):
        rows = _rows(path)
        if not rows or "key" not in rows[0] or "text" not in rows[0]:
            continue
        for row in rows:
            key = row["key"]
            if key in origin:
                raise HalewardError(f'The wording key "{key}" stands in {origin[key]} and again in {path.name}.')
            origin[key], texts[key] = path.name, row["text"]
    movements = {
        (row["movement_id"], row["posture"]): MovementWording(**row)  # type: ignore[arg-type]
        for row in _rows(folder / "movements.csv")
    }
    return Wording(texts=texts, movements=movements, safety_rows=_safety_rows(folder / "safety.csv"))


@cache
def default_wording() -> Wording:
    """The wording that ships with the product."""
    return load_wording(WORDING_FOLDER)


@cache
def _stand_ins() -> tuple[tuple[str, str], ...]:
    return tuple((row["placeholder"], row["stand_in"]) for row in _rows(STAND_INS))


def _with_stand_ins(values: Mapping[str, str]) -> Mapping[str, str]:
    lacking = {name: values[other] for name, other in _stand_ins() if not values.get(name) and values.get(other)}
    return {**values, **lacking}


def _rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _safety_rows(path: Path) -> dict[str, tuple[_SafetyRow, ...]]:
    topics: dict[str, list[_SafetyRow]] = {}
    for row in _rows(path):
        found = _SafetyRow(row["key"], row["audience"], row["level"], int(row["order"]))
        topics.setdefault(row["topic"], []).append(found)
    return {topic: tuple(sorted(rows, key=lambda row: row.order)) for topic, rows in topics.items()}


def _spoken_whole(number: int) -> str:
    if number < 20:
        return _ONES[number]
    if number < 100:
        tens, ones = divmod(number, 10)
        return _TENS[tens] + (f" {_ONES[ones]}" if ones else "")
    hundreds, rest = divmod(number, 100)
    return f"{_ONES[hundreds]} hundred" + (f" and {_spoken_whole(rest)}" if rest else "")
