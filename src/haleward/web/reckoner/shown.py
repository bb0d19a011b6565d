"""What the pages of the Reckoner show, made ready for the templates."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from haleward.capacity.field_tests import FieldTest, Part, field_tests
from haleward.capacity.field_values import Reckoned, Result
from haleward.formula import REGISTRY, Formula
from haleward.physiology.finding import Finding
from haleward.web.reckoner.clocks import Clock
from haleward.worksheet import NotComputed, Worksheet

# Parts with many rival methods, of which some do not fit.
FOLDED_PARTS = ("capacity_more", "compared")


@dataclass(frozen=True)
class ShownResult:
    """One result as the page shows it. ``number`` stands large; a worksheet opens the working."""

    title: str
    number: str
    text: str
    source: str = ""
    flagged: bool = False
    sheet: Worksheet | None = None
    ask: tuple[str, ...] = ()
    kind: str = "figure"


@dataclass(frozen=True)
class ShownPart:
    """Results that belong together; what does not fit this person is folded away where there are many."""

    key: str
    title: str
    results: tuple[ShownResult, ...]
    folded: tuple[ShownResult, ...] = ()


def grouped_tests() -> Mapping[str, list[FieldTest]]:
    """The tests by group, in the order of the data."""
    groups: dict[str, list[FieldTest]] = defaultdict(list)
    for test in field_tests().values():
        groups[test.group].append(test)
    return dict(groups)


def shown_parts(parts: Iterable[Part]) -> tuple[ShownPart, ...]:
    """The parts of an answer."""
    return tuple(map(_shown_part, parts))


def found_formulas(sought: str) -> Mapping[str, list[Formula]]:
    """The formulas that hold every word of ``sought`` somewhere, by the subject they belong to."""
    words = sought.lower().split()
    groups: dict[str, list[Formula]] = defaultdict(list)
    for known in sorted(REGISTRY.values(), key=lambda one: one.title):
        text = " ".join((known.name, known.title, known.equation, known.source, known.population)).lower()
        if all(word in text for word in words):
            groups[known.subject.replace("vo2", "oxygen uptake")].append(known)
    return dict(sorted(groups.items()))


def configured(clocks: Iterable[Clock]) -> list[tuple[Clock, str]]:
    """Each clock with its data as the page carries them."""
    return [(clock, json.dumps(clock)) for clock in clocks]


def _shown_part(part: Part) -> ShownPart:
    results = tuple(map(_shown, part.results))
    if part.key not in FOLDED_PARTS:
        return ShownPart(part.key, part.title, results)
    open_ones = tuple(one for one in results if one.kind == "open")
    return ShownPart(part.key, part.title, tuple(one for one in results if one.kind != "open"), open_ones)


def _shown(result: Result) -> ShownResult:
    if isinstance(result, Reckoned):
        return ShownResult(result.title, result.text, result.detail, sheet=result.worksheet, ask=result.ask)
    if isinstance(result, Finding):
        return ShownResult(result.test, result.result, result.meaning, result.source, result.flagged, kind="finding")
    assert isinstance(result, NotComputed)  # the last of the three kinds of result
    return ShownResult(result.what, "Not worked out", result.reason, ask=result.ask, kind="open")
