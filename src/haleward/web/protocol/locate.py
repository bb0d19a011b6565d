"""Which entry of a form a fault or a finding is about."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from haleward.safety.analysis import Finding
from haleward.safety.edits import Sections, editable
from haleward.safety.edits_view import parsed, row_name, rows_of
from haleward.strict_toml.lines import key_lines


@dataclass(frozen=True)
class Told:
    """One sentence about the draft, and the entry (and its group) where it can be put right; "" when there is none."""

    sentence: str
    group: str = ""
    entry: str = ""
    serious: bool = True
    name: str = ""  # by which a finding is accepted


def told_faults(text: str, faults: Iterable[str]) -> tuple[Told, ...]:
    """The reader's faults, each with the entry on its line."""
    places, groups = _entries_by_line(text), _groups(editable(text))
    found = []
    for fault in faults:
        line = re.search(r"\bline (\d+)", fault)
        entry = next((path for start, path in reversed(places) if line and start <= int(line[1])), "")
        found.append(Told(fault, groups.get(entry, ""), entry if entry in groups else ""))
    return tuple(found)


def told_findings(text: str, findings: Iterable[Finding]) -> tuple[Told, ...]:
    """What the analysis found, each with the entry it is about."""
    groups = _groups(editable(text))
    found = []
    for finding in findings:
        entry = next((path for path in _possible(finding.place) if path in groups), "")
        found.append(Told(finding.sentence, groups.get(entry, ""), entry, finding.serious, finding.name))
    return tuple(found)


def _possible(place: tuple[str, ...]) -> list[str]:
    """The paths a place may mean: a row's own, one of a setting with its jurisdiction, or the section's."""
    if len(place) < 2:
        return list(place)
    whole = "/".join(place[:2])
    return [whole, *(f"{whole}@{where}" for where in ("ALL", "UK", "US", "EU")), place[0]]


def _groups(sections: Sections) -> dict[str, str]:
    return {entry.path: group.key for group in sections.groups for entry in group.entries}


def _entries_by_line(text: str) -> list[tuple[int, str]]:
    """The line on which each row or section begins, in order."""
    values = parsed(text)
    starts = {path: line for path, line in key_lines(text).items() if len(path) <= 2}
    found = [(line, _entry_path(values, path)) for path, line in starts.items()]
    return sorted(found)


def _entry_path(values: Mapping[str, object], path: tuple[str | int, ...]) -> str:
    section = str(path[0])
    if len(path) == 2 and isinstance(path[1], int):
        rows = list(rows_of(values, section))
        return f"{section}/{row_name(section, rows[path[1]])}" if path[1] < len(rows) else section
    if section == "gates" and len(path) == 2:
        return f"gates/{path[1]}"
    return section
