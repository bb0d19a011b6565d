"""``haleward calc``: any registered formula by name, with its likely range, its working and its source."""

from __future__ import annotations

from argparse import Namespace
from itertools import groupby
from typing import Any

from haleward import capacity, physiology  # importing the rooms registers their formulas
from haleward.cli.output import say, say_json
from haleward.cli.worksheets import worksheet_lines
from haleward.errors import HalewardError
from haleward.formula import REGISTRY, Choice, Formula, Range, calculate, find, parse_arguments
from haleward.plain import to_plain
from haleward.worksheet import Figure, Worksheet

ROOMS = (physiology, capacity)


def run(options: Namespace) -> int:
    """List the formulas, or compute one."""
    if options.list:
        if options.name:
            raise HalewardError("Give either --list or a formula, not both.")
        return _list(as_json=options.json)
    if not options.name:
        raise HalewardError("Name a formula; haleward calc --list shows them all.")
    worksheet = calculate(options.name, parse_arguments(options.values))
    if options.json:
        say_json(_computed(find(options.name), worksheet))
    else:
        say(*worksheet_lines(worksheet))
    return 0


def by_subject() -> list[Formula]:
    """All formulas in the order of the list: by room, subject and name."""
    return sorted(REGISTRY.values(), key=lambda one: (one.room, one.subject, one.name))


def _list(*, as_json: bool) -> int:
    if as_json:
        say_json([_described(one) for one in by_subject()])
        return 0
    for (room, subject), group in groupby(by_subject(), key=lambda one: (one.room, one.subject)):
        say(f"{room.capitalize()}, {subject}")
        for one in group:
            say(f"  {one.name}", f"      {one.title}{'' if one.unit == '1' else f', in {one.unit}'}")
            say(*(f"      {key}: {limits.described()}" for key, limits in one.ranges.items()))
        say("")
    say(f"{len(REGISTRY)} formulas. haleward calc NAME key=value ... computes one; --json is for programs.")
    return 0


def _computed(chosen: Formula, worksheet: Worksheet) -> dict[str, Any]:
    """One result, flat: the number with its unit and likely range first, then the worksheet that leads to it."""
    figure = worksheet.figure or Figure(float(worksheet.steps[-1].result), chosen.unit)
    return {
        "name": chosen.name,
        "value": figure.value,
        "unit": figure.unit,
        "low": figure.low,
        "high": figure.high,
        "source": chosen.source,
        "trust": chosen.trust,
        **to_plain(worksheet),
    }


def _described(one: Formula) -> dict[str, Any]:
    return {
        "name": one.name,
        "room": one.room,
        "subject": one.subject,
        "title": one.title,
        "equation": one.equation,
        "unit": one.unit,
        "inputs": {key: _input(limits) for key, limits in one.ranges.items()},
        "source": one.source,
        "trust": one.trust,
        "error": one.error,
        "standard_error": one.standard_error,
        "population": one.population,
    }


def _input(limits: Range | Choice) -> dict[str, Any]:
    said: dict[str, Any] = {"label": limits.label, "unit": limits.unit, "range": limits.described()}
    if isinstance(limits, Choice):
        return {**said, "options": list(limits.options)}
    return {
        **said,
        "low": limits.low,
        "high": limits.high,
        "stated_low": limits.stated_low,
        "stated_high": limits.stated_high,
        "whole": limits.whole,
    }
