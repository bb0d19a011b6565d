"""The checks of a draft: what the reader and the analysis find, and which numbers nobody has given."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from haleward.errors import FileFault
from haleward.formula import REGISTRY
from haleward.physiology.tables import rows
from haleward.safety.analysis import Finding, findings
from haleward.safety.own_words import numbers_to_fill
from haleward.safety.protocol import Protocol, read_protocol
from haleward.web.protocol.locate import Told, told_faults, told_findings
from haleward.web.team.models import Service


@dataclass(frozen=True)
class Checked:
    """What stands against a text: faults keep it from being stored, serious findings from being signed."""

    faults: tuple[Told, ...] = ()
    serious: tuple[Told, ...] = ()
    minor: tuple[Told, ...] = ()
    to_fill: tuple[str, ...] = ()  # numbers that wording needs and neither protocol nor service gives

    @property
    def is_clean(self) -> bool:
        """Whether nothing stands against a signature."""
        return not (self.faults or self.serious)


def check(text: str, service: Service, *, whole: bool = True) -> Checked:
    """Read the text as a draft and, unless only the reading is wanted, analyse it (which takes seconds once)."""
    try:
        protocol = read_protocol(text, name="the draft")
    except FileFault as fault:
        return Checked(faults=told_faults(text, fault.faults))
    told = told_findings(text, _findings(text)) if whole else ()
    return Checked(
        serious=tuple(one for one in told if one.serious),
        minor=tuple(one for one in told if not one.serious),
        to_fill=numbers_missing(protocol, service),
    )


def numbers_missing(protocol: Protocol, service: Service) -> tuple[str, ...]:
    """Numbers that wording needs and nobody has given, in the words of the table of numbers."""
    names = numbers_to_fill(protocol, service.values)
    return tuple(texts_of_numbers().get(name, name.replace("_", " ")) for name in names)


def texts_of_numbers() -> dict[str, str]:
    """What each number of a service is."""
    return {row["key"]: row["meaning"] for row in rows("service")}


@lru_cache(maxsize=16)
def _findings(text: str) -> tuple[Finding, ...]:
    return findings(read_protocol(text, name="the draft"), formulas=tuple(REGISTRY))


def serious_findings(text: str) -> tuple[Finding, ...]:
    """The findings that must be mended, or accepted with a reason, before a signature."""
    return tuple(one for one in _findings(text) if one.serious)
