"""``haleward calc``: any registered formula by name, with its working and source."""

from __future__ import annotations

from argparse import Namespace

from haleward import capacity, physiology  # importing the rooms registers their formulas
from haleward.cli.output import say, say_json
from haleward.cli.worksheets import worksheet_lines
from haleward.errors import HalewardError
from haleward.formula import REGISTRY, Formula, calculate, parse_arguments
from haleward.plain import to_plain

ROOMS = (physiology, capacity)


def run(options: Namespace) -> int:
    """List the formulas, or compute one."""
    if options.list:
        if options.name:
            raise HalewardError("Give either --list or a formula, not both.")
        return _list(as_json=options.json)
    if not options.name:
        raise HalewardError("Name a formula, for example: haleward calc --list shows them all.")
    worksheet = calculate(options.name, parse_arguments(options.values))
    if options.json:
        say_json(to_plain(worksheet))
    else:
        say(*worksheet_lines(worksheet))
    return 0


def _list(*, as_json: bool) -> int:
    known = [REGISTRY[name] for name in sorted(REGISTRY)]
    if as_json:
        say_json([_described(formula) for formula in known])
        return 0
    for formula in known:
        say(
            f"{formula.name}  [{formula.unit}]  {formula.title}", f"    {' '.join(f'{key}=' for key in formula.ranges)}"
        )
    return 0


def _described(formula: Formula) -> dict[str, object]:
    return {
        "name": formula.name,
        "title": formula.title,
        "equation": formula.equation,
        "unit": formula.unit,
        "inputs": {key: {"unit": limits.unit, "range": limits.described()} for key, limits in formula.ranges.items()},
        "source": formula.source,
        "trust": formula.trust,
        "error": formula.error,
        "population": formula.population,
    }
