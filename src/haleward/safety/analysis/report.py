"""All findings of a protocol, and of a file for every jurisdiction it carries, each with its line."""

from __future__ import annotations

import pathlib
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from typing import Any

from haleward.errors import FileFault
from haleward.safety.analysis.asking import asking_findings, level_uses
from haleward.safety.analysis.bands import band_findings
from haleward.safety.analysis.finding import Finding
from haleward.safety.analysis.head import head_findings
from haleward.safety.analysis.logic import pair_findings, truth_findings
from haleward.safety.analysis.outcomes import gate_findings, placement_findings, risk_findings
from haleward.safety.analysis.policies import policy_findings
from haleward.safety.analysis.sources import source_findings
from haleward.safety.analysis.space import Space
from haleward.safety.analysis.symptoms import symptom_findings, topic_condition_findings
from haleward.safety.analysis.words import (
    level_findings,
    number_findings,
    own_wording_findings,
    placeholder_findings,
    unsayable_findings,
)
from haleward.safety.parts import Jurisdiction
from haleward.safety.protocol import JURISDICTIONS, Protocol, protocol_in
from haleward.strict_toml.file import TomlFile
from haleward.strict_toml.lines import Path, line_of

_KEYS = {"check": "wording", "symptom": "key", "wording": "key", "setting": "name", "number": "name"}
_LISTS = ("rule", "risk_item", "placement_rule", *_KEYS)


@dataclass(frozen=True)
class Checked:
    """A file that could be read: the protocol for its own jurisdiction, and what was found.

    ``accepted`` are the findings that the file accepts by name; they are not among ``findings``.
    """

    protocol: Protocol
    findings: tuple[Finding, ...]
    accepted: tuple[Finding, ...]

    @property
    def serious(self) -> tuple[Finding, ...]:
        """What stands against signing."""
        return tuple(one for one in self.findings if one.serious)


def findings(protocol: Protocol, *, formulas: Collection[str] = (), space: Space | None = None) -> tuple[Finding, ...]:
    """What the analysis finds in ``protocol`` and its file does not accept, in the order of subjects.

    ``formulas`` are the names that a method of the intensity policy may have; without them methods are not looked at.
    A ``space`` kept from an earlier analysis makes this one faster; two threads must not share one.
    """
    names = {one.finding for one in protocol.accepted}
    return tuple(one for one in _all(protocol, formulas, space or Space()) if one.name not in names)


def check_text(
    text: str,
    *,
    name: str,
    jurisdiction: Jurisdiction | None = None,
    formulas: Collection[str] = (),
    space: Space | None = None,
) -> Checked:
    """Read a protocol and analyse it for ``jurisdiction``, else for each one of which it has rules or settings.

    Raises :class:`haleward.errors.FileFault` with every fault that keeps the text from being read.
    """
    return _checked(TomlFile.parse(text, name=name), jurisdiction, formulas, space or Space())


def check_file(path: pathlib.Path, *, formulas: Collection[str] = ()) -> Checked:
    """The same for a file; OSError if it cannot be opened."""
    return _checked(TomlFile.read(path), None, formulas, Space())


def _checked(file: TomlFile, jurisdiction: Jurisdiction | None, formulas: Collection[str], space: Space) -> Checked:
    own = protocol_in(file, jurisdiction)
    elsewhere = {} if jurisdiction else {one: _read_for(one, file) for one in _carried(file.values, own.jurisdiction)}
    protocols = [own, *(one for one in elsewhere.values() if isinstance(one, Protocol))]
    found = _together({one.jurisdiction: _all(one, formulas, space) for one in protocols}, own.jurisdiction)
    placed = [replace(one, line=_line(one.place, file)) for one in found]
    names = {one.finding for one in own.accepted}
    told = [one for one in placed if one.name not in names]
    told += [_unread_for(name, fault) for name, fault in elsewhere.items() if isinstance(fault, FileFault)]
    told += [] if jurisdiction else _unused(own, {one.name for one in placed}, file)
    return Checked(
        protocol=own,
        findings=tuple(sorted(told, key=lambda one: one.line or 0)),
        accepted=tuple(one for one in placed if one.name in names),
    )


def _read_for(jurisdiction: Jurisdiction, file: TomlFile) -> Protocol | FileFault:
    """The same file for another country, for which it need not be readable."""
    try:
        return protocol_in(TomlFile(file.name, file.text, file.values), jurisdiction)
    except FileFault as fault:
        return fault


def _unread_for(jurisdiction: str, fault: FileFault) -> Finding:
    said = f"For {jurisdiction} this file could not be read. The first fault: {fault.faults[0]}"
    return Finding("elsewhere", (jurisdiction,), ("protocol",), said, serious=False, jurisdictions=(jurisdiction,))


def _all(protocol: Protocol, formulas: Collection[str], space: Space) -> tuple[Finding, ...]:
    found = (
        *head_findings(protocol),
        *truth_findings(protocol, space),
        *pair_findings(protocol, space),
        *gate_findings(protocol, space),
        *risk_findings(protocol, space),
        *placement_findings(protocol, space),
        *band_findings(protocol),
        *number_findings(protocol),
        *level_findings(protocol),
        *source_findings(protocol),
        *placeholder_findings(protocol),
        *unsayable_findings(protocol),
        *own_wording_findings(protocol),
        *asking_findings(protocol),
        *level_uses(protocol),
        *symptom_findings(protocol),
        *topic_condition_findings(protocol, space),
        *policy_findings(protocol, formulas=formulas),
    )
    return tuple({one.name: one for one in reversed(found)}.values())[::-1]


def _together(found: Mapping[str, tuple[Finding, ...]], own: str) -> tuple[Finding, ...]:
    """The findings of several jurisdictions, each once. What does not hold for all names those for which it does.

    What does not hold for the file's ``own`` jurisdiction does not stand against signing it there.
    """
    where: dict[str, list[str]] = {}
    first: dict[str, Finding] = {}
    for jurisdiction, some in found.items():
        for one in some:
            where.setdefault(one.name, []).append(jurisdiction)
            first.setdefault(one.name, one)
    return tuple(
        one
        if len(where[name]) == len(found)
        else replace(one, jurisdictions=tuple(where[name]), serious=one.serious and own in where[name])
        for name, one in first.items()
    )


def _carried(values: Mapping[str, Any], own: str) -> tuple[Jurisdiction, ...]:
    """The other jurisdictions for which the file has rules or settings."""
    written = {row.get("jurisdiction") for key in ("rule", "setting") for row in values.get(key, ())}
    return tuple(one for one in JURISDICTIONS if one in written and one != own)


def _unused(protocol: Protocol, names: set[str], file: TomlFile) -> list[Finding]:
    """Accepted findings that are no longer found."""
    unused = []
    for place, one in enumerate(protocol.accepted):
        if one.finding not in names:
            said = f'The file accepts "{one.finding}", which is not found (any more). Take the entry out.'
            line = line_of(file.lines, ("accepted", place))
            unused.append(Finding("unused-acceptance", (one.finding,), ("accepted",), said, serious=False, line=line))
    return unused


def _line(place: tuple[str, ...], file: TomlFile) -> int | None:
    """The line of a place such as ("rule", "R032") or ("dose", "sets")."""
    section, *rest = place
    path: Path = place
    if section in _LISTS and rest:
        rows, key = file.values.get(section, ()), _KEYS.get(section, "id")
        found = [number for number, row in enumerate(rows) if row.get(key) == rest[0]]
        path = (section, found[0]) if found else (section,)
    return line_of(file.lines, path)
