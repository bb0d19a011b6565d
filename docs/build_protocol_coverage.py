"""Write docs/protocol_coverage.md: where each row of the safety reference stands in the default protocol.

    python docs/build_protocol_coverage.py

The rows are those of tests/checks/protocol_coverage.csv. A test follows each one into the protocol, and fails when the
written page differs from what this would write.
"""

import csv
from collections.abc import Iterator
from itertools import groupby
from pathlib import Path

ROWS = Path(__file__).parents[1] / "tests" / "checks" / "protocol_coverage.csv"
PAGE = Path(__file__).with_name("protocol_coverage.md")
TITLES = {
    "rules": "Rules",
    "stratification": "Risk items",
    "protocol_settings": "Settings",
    "contraindications": "Contraindications",
    "stop": "Signs to stop",
    "triage": "Reported at home",
    "devices": "Devices",
    "groups": "Special groups",
    "glucose": "Glucose bands, in the order of the reference",
    "resistance_timing": "When resistance work may start",
    "sternotomy_limits": "Limits after a breastbone operation, in the order of the reference",
    "checks": "Questions before a session",
    "staffing": "Staff and place, in the order of the reference",
    "drugs": "Medicines",
}
HEAD = """# Where the reference stands in the default protocol

Written by `python docs/build_protocol_coverage.py` from `tests/checks/protocol_coverage.csv`; do not edit. The default
protocol is `src/haleward/data/protocols/default.toml`. A test follows each entry there; what is not carried says why.
"""


def page() -> str:
    """The whole page."""
    with ROWS.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    parts = [HEAD, "| table | rows | carried | not carried |", "|---|---|---|---|"]
    tables = {name: list(group) for name, group in groupby(rows, key=lambda row: row["table"])}
    for name, some in tables.items():
        carried = sum(1 for row in some if row["where"])
        parts.append(f"| {TITLES[name]} | {len(some)} | {carried} | {len(some) - carried} |")
    for name, some in tables.items():
        parts.extend(_table(TITLES[name], some))
    return "\n".join(parts) + "\n"


def _table(title: str, rows: list[dict[str, str]]) -> Iterator[str]:
    yield f"\n## {title}\n\n| id | what | in the protocol | note |\n|---|---|---|---|"
    for row in rows:
        where = ", ".join(place.replace(":", " ") for place in row["where"].split()) or "not carried"
        yield "| " + " | ".join(cell(one) for one in (row["id"], row["what"], where, row["note"])) + " |"


def cell(text: str) -> str:
    """Text that may stand in a cell of a table."""
    return text.replace("|", "/").strip()


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
