"""Reads what is a team's own in a protocol file: its numbers, its wording and the findings it has accepted."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import get_args

from haleward.physiology.tables import rows
from haleward.safety.parts import Accepted, Jurisdiction, OwnWording, ServiceNumber
from haleward.safety.read_common import unique
from haleward.strict_toml import Table
from haleward.wording import default_wording, placeholders

_WHERE: tuple[Jurisdiction, ...] = get_args(Jurisdiction)


def read_numbers(top: Table, jurisdiction: Jurisdiction) -> Mapping[str, ServiceNumber]:
    """The service's numbers for ALL and for ``jurisdiction``; those for others are read and checked too."""
    numbers: dict[str, ServiceNumber] = {}
    known = {row["key"] for row in rows("service")}
    for table in top.tables("number", required=False):
        number = _number(table)
        if number.name not in known:
            table.wrong("name", f'"{number.name}" is not a name that wording prints; the names are in service.csv')
        if number.jurisdiction not in ("ALL", jurisdiction):
            continue
        if number.name in numbers:
            table.wrong("name", f"{number.name} is given twice for this jurisdiction")
        numbers[number.name] = number
    return numbers


def _number(table: Table) -> ServiceNumber:
    number = ServiceNumber(
        name=table.text("name"),
        jurisdiction=table.choice("jurisdiction", _WHERE),
        text=table.text("text"),
        needed=table.flag("needed"),
        sources=table.texts("sources"),
        trust=table.text("trust"),
    )
    table.close()
    return number


def read_wording(top: Table, *, provided: Collection[str]) -> tuple[OwnWording, ...]:
    """The protocol's own wording. A line may use the placeholders of the line it replaces and those ``provided``."""
    tables = top.tables("wording", required=False)
    unique(tables, "key")
    return tuple(_wording(table, provided) for table in tables)


def _wording(table: Table, provided: Collection[str]) -> OwnWording:
    own = OwnWording(key=table.text("key"), text=table.text("text"), source=table.text("source"))
    table.close()
    if not default_wording().has_key(own.key):
        table.wrong("key", f'there is no line "{own.key}" that could be worded anew')
        return own
    usual = placeholders(default_wording().template(own.key))
    for name in placeholders(own.text):
        if name not in usual and name not in provided:
            allowed = ", ".join([*(f"{{{one}}}" for one in usual), "the numbers of the protocol and of the service"])
            table.wrong("text", f"nothing gives {{{name}}} a value; this line may use {allowed}")
    if not own.text.strip():
        table.wrong("text", "the text is empty; leave the entry out to keep the usual line")
    return own


def read_accepted(top: Table) -> tuple[Accepted, ...]:
    """The findings that the team keeps, each with its reason."""
    tables = top.tables("accepted", required=False)
    unique(tables, "finding")
    accepted = []
    for table in tables:
        accepted.append(Accepted(finding=table.text("finding"), reason=table.text("reason")))
        if not accepted[-1].reason.strip():
            table.wrong("reason", "a finding is accepted with a reason; write why it is right as it is")
        table.close()
    return tuple(accepted)
