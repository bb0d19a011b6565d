"""Write docs/formulas.md: every registered formula with what a reader of its result must know.

    python docs/build_formulas.py

The page is made from the formulas themselves and the check tables. A test fails when the written page differs from what
this would write.
"""

import csv
from collections import Counter
from collections.abc import Iterator
from itertools import groupby
from pathlib import Path

from haleward import capacity, physiology
from haleward.formula import REGISTRY, Choice, Formula, Range

PAGE = Path(__file__).with_name("formulas.md")
CHECKS = Path(__file__).parents[1] / "tests" / "checks"
ROOMS = (physiology, capacity)  # importing them registers their formulas
HEAD = """# Formulas

Written by `python docs/build_formulas.py`; do not edit. `haleward calc NAME key=value ...` computes any of these, as
does the Reckoner page of the web application. A value outside the range of an input is refused; outside what the source
states the answer comes with a caution. The words in brackets after a source say how far it was checked.

A likely range is one standard error to each side: about two people in three lie inside it.
"""


def page() -> str:
    """The whole page."""
    known = sorted(REGISTRY.values(), key=lambda one: (one.room, one.subject, one.name))
    counts = check_rows()
    parts = [HEAD, f"{len(known)} formulas, {sum(counts[one.name] for one in known)} check rows.\n"]
    for room, in_room in groupby(known, key=lambda one: one.room):
        parts.append(f"## {room.capitalize()}\n")
        for subject, group in groupby(in_room, key=lambda one: one.subject):
            parts.append(f"### {subject.capitalize()}\n")
            for one in group:
                parts.extend(entry(one, counts[one.name]))
    return "\n".join(parts).rstrip() + "\n"


def check_rows() -> Counter[str]:
    """How many rows of the check tables test each formula."""
    counts: Counter[str] = Counter()
    for path in sorted(CHECKS.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            counts.update(
                row["function"].removeprefix("met_of:") for row in csv.DictReader(file) if row.get("function")
            )
    return counts


def entry(one: Formula, rows: int) -> Iterator[str]:
    """One formula: its name, equation and inputs, and what limits it."""
    yield f"#### `{one.name}`\n"
    yield f"{one.title}{'' if one.unit == '1' else f', in {one.unit}'}: {plain(one.equation)}\n"
    yield from (f"- `{key}`: {limits.label}, {allowed(limits)}" for key, limits in one.ranges.items())
    yield f"\nSource: {plain(one.cited)}. {rows} check row{'' if rows == 1 else 's'}.\n"
    if one.error:
        yield f"Error: {plain(one.error)}\n"
    if one.population:
        yield f"Made from: {plain(one.population)}.\n"


def allowed(limits: Range | Choice) -> str:
    """What an input may be, in words."""
    return f"{limits.described()}{', whole' if isinstance(limits, Range) and limits.whole else ''}"


def plain(text: str) -> str:
    """Text that Markdown leaves as it is, on one line."""
    return " ".join(text.split()).replace("*", "\\*").replace("_", "\\_").replace("<", "&lt;")


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
