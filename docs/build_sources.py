"""Write docs/sources.md: every source and what uses it, gathered from the code and the data.

    python docs/build_sources.py

The formulas say their source where they are registered, the protocol beside each rule, the movements and tables in
their own columns. A test fails when the written page differs from what this would write.
"""

import csv
import importlib
import pkgutil
import tomllib
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import haleward
from haleward.formula import REGISTRY

DATA = Path(haleward.__file__).parent / "data"
PAGE = Path(__file__).with_name("sources.md")
# The rooms that register formulas.
FORMULA_ROOMS = ("physiology", "capacity")
HEAD = """# Sources

Written by `python docs/build_sources.py`; do not edit. The words in brackets say how far a formula was checked. In the
last column of the protocol's table: V read at the source, S read on a secondary page, M from memory and unverified.
"""


def page() -> str:
    """The whole page."""
    parts = [HEAD, *formula_lines(), *protocol_lines(), *movement_lines(), *table_lines()]
    return "\n".join(parts).rstrip() + "\n"


def formula_lines() -> Iterator[str]:
    """Each source of a formula with the formulas that use it."""
    for room in FORMULA_ROOMS:
        package = importlib.import_module(f"haleward.{room}")
        for module in pkgutil.iter_modules(package.__path__):
            importlib.import_module(f"haleward.{room}.{module.name}")
    users = defaultdict(list)
    for name, formula in REGISTRY.items():
        users[formula.cited].append(name)
    yield "## Formulas\n\n| source | formulas |\n|---|---|"
    for source in sorted(users):
        yield f"| {cell(source)} | {names(users[source])} |"


def protocol_lines() -> Iterator[str]:
    """Each source of the protocols with the rules that cite it, then the sources written out in full."""
    cited: dict[str, list[str]] = defaultdict(list)
    written: dict[str, list[str]] = defaultdict(list)
    for path in sorted((DATA / "protocols").glob("*.toml")):
        for rule, source in citations(tomllib.loads(path.read_text(encoding="utf-8")), path.name):
            (cited if len(source) == 3 else written)[source].append(rule)
    with (DATA / "tables" / "sources.csv").open(encoding="utf-8", newline="") as file:
        known = {row["id"]: row for row in csv.DictReader(file)}
    unknown = sorted(set(cited) - set(known))
    if unknown:
        raise SystemExit(f"data/tables/sources.csv lacks {', '.join(unknown)}, which the protocol cites.")
    yield "\n## Protocol rules\n\n| id | source | rules | how far checked |\n|---|---|---|---|"
    for key in sorted(cited):
        yield f"| {key} | {cell(known[key]['source'])} | {names(cited[key])} | {cell(known[key]['verification'])} |"
    yield "\n| source as written beside the policy | where |\n|---|---|"
    for source in sorted(written):
        yield f"| {cell(source)} | {names(written[source])} |"


def citations(value: Any, place: str) -> Iterator[tuple[str, str]]:
    """Each (rule, source) under ``value``: a table's ``source`` or ``sources``, named by its id or its place."""
    if isinstance(value, list):
        for number, item in enumerate(value, 1):
            yield from citations(item, f"{place} {number}")
    elif isinstance(value, dict):
        name = next((value[key] for key in ("id", "key", "name", "wording") if key in value), place)
        sources = value.get("sources", [value["source"]] if "source" in value else [])
        yield from ((str(name), str(source)) for source in sources)
        for key, item in value.items():
            yield from citations(item, f"{place} {key}")


def movement_lines() -> Iterator[str]:
    """The sources of the movements and of their energy figures."""
    users = defaultdict(list)
    for path in sorted((DATA / "movements").glob("*.toml")):
        movement = tomllib.loads(path.read_text(encoding="utf-8"))
        users[movement["source"]].append(path.stem)
        if "met_source" in movement:
            users["energy: " + movement["met_source"]].append(path.stem)
    yield "\n## Movements\n\n| source | movements |\n|---|---|"
    for source in sorted(users):
        yield f"| {cell(source)} | {names(users[source])} |"


def table_lines() -> Iterator[str]:
    """The sources named in the rows of the data tables."""
    yield "\n## Tables\n\n| table | sources |\n|---|---|"
    for path in sorted((DATA / "tables").glob("*.csv")):
        if path.name == "sources.csv":
            continue
        with path.open(encoding="utf-8", newline="") as file:
            found = sorted({row["source"] for row in csv.DictReader(file) if row.get("source")})
        if found:
            yield f"| {path.name} | {cell('; '.join(found))} |"


def names(users: list[str]) -> str:
    """Names as code, sorted, each once."""
    return ", ".join(f"`{name}`" for name in sorted(set(users)))


def cell(text: str) -> str:
    """Text that keeps to one cell of a table."""
    return " ".join(text.split()).replace("|", "\\|")


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
