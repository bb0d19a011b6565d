"""The protocol: one team's rules, limits and questions, read from one TOML file with every fault named by its line.

The default protocol is data/protocols/default.toml. It carries the values of several jurisdictions; a loaded
:class:`Protocol` keeps those for ALL and for its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cache, lru_cache
from pathlib import Path

from haleward.safety.parts import (
    Accepted,
    Check,
    ConcernRules,
    GateName,
    GateRules,
    Jurisdiction,
    OwnWording,
    PlacementRules,
    Rule,
    ServiceNumber,
    Setting,
    Stratification,
)
from haleward.safety.policy import DosePolicy, IntensityPolicy, Policies, ProgressionPolicy
from haleward.safety.read_own import read_accepted, read_numbers, read_wording
from haleward.safety.read_rules import read_gates, read_rules, read_settings
from haleward.safety.read_schemes import read_checks, read_concerns, read_placement, read_stratification
from haleward.strict_toml import Table, TomlFile, is_number, read_dataclass

__all__ = ["FORMAT", "Protocol", "Rule", "default_protocol", "load_protocol", "read_protocol"]

DEFAULT_FILE = Path(__file__).parent.parent / "data" / "protocols" / "default.toml"
FORMAT = "haleward-protocol/1"  # a file without this mark is of format 1
JURISDICTIONS: tuple[Jurisdiction, ...] = ("UK", "US", "EU")


@dataclass(frozen=True)
class Protocol:
    """A team's rules as loaded: those for every jurisdiction and for its own."""

    id: str
    version: str
    status: str
    jurisdiction: Jurisdiction
    signed_by: str
    signed_on: date | None
    review_due: date | None
    rules: tuple[Rule, ...]
    gates: Mapping[GateName, GateRules]
    stratification: Stratification
    placement: PlacementRules
    policies: Policies
    checks: tuple[Check, ...]
    concerns: ConcernRules
    settings: Mapping[str, Setting]
    numbers: Mapping[str, ServiceNumber] = field(default_factory=dict)
    wording_overrides: tuple[OwnWording, ...] = ()
    accepted: tuple[Accepted, ...] = ()

    @property
    def wording_values(self) -> dict[str, str]:
        """The settings as placeholder values for the wording tables, ready to be read out."""
        return {name: setting.text for name, setting in self.settings.items()}

    def rule(self, rule_id: str) -> Rule:
        """The rule of that id; ``KeyError`` if this protocol has none."""
        return {rule.id: rule for rule in self.rules}[rule_id]


def load_protocol(path: Path, *, jurisdiction: Jurisdiction | None = None) -> Protocol:
    """The protocol in ``path``, for ``jurisdiction`` instead of the file's own if given.

    Raises :class:`haleward.errors.FileFault` with every fault of the file, each with its line.
    """
    return protocol_in(TomlFile.read(path), jurisdiction)


@lru_cache(maxsize=16)  # a draft is read again for each of its pages
def read_protocol(text: str, *, name: str, jurisdiction: Jurisdiction | None = None) -> Protocol:
    """The protocol written in ``text``; ``name`` is the file's name in the sentences about faults.

    Raises :class:`haleward.errors.FileFault` with every fault, each with its line.
    """
    return protocol_in(TomlFile.parse(text, name=name), jurisdiction)


def protocol_in(file: TomlFile, jurisdiction: Jurisdiction | None = None) -> Protocol:
    """The protocol in a TOML file that was opened; faults as with :func:`read_protocol`."""
    top = Table(file, (), file.values)
    top.choice("format", (FORMAT,), FORMAT)
    head = top.table("protocol")
    chosen = head.choice("jurisdiction", JURISDICTIONS)
    chosen = jurisdiction or chosen
    rules = read_rules(top, chosen)
    settings = read_settings(top, chosen, rules)
    numbers = read_numbers(top, chosen)
    parts = {
        "id": head.text("id"),
        "version": head.text("version"),
        "status": head.text("status"),
        "signed_by": head.text("signed_by"),
        "signed_on": head.day("signed_on"),
        "review_due": head.day("review_due"),
        "gates": read_gates(top, rules),
        "stratification": read_stratification(top),
        "placement": read_placement(top),
        "policies": _policies(top),
        "checks": read_checks(top),
        "concerns": read_concerns(top),
        "wording_overrides": read_wording(top, provided={*settings, *numbers}),
        "accepted": read_accepted(top),
    }
    head.close()
    top.close()
    file.finish()
    return Protocol(jurisdiction=chosen, rules=rules, settings=settings, numbers=numbers, **parts)  # type: ignore[arg-type]


def _policies(top: Table) -> Policies:
    return Policies(
        intensity=_intensity(top.table("intensity")),
        dose=read_dataclass(top.table("dose"), DosePolicy),
        progression=read_dataclass(top.table("progression"), ProgressionPolicy),
    )


def _intensity(table: Table) -> IntensityPolicy:
    """The intensity policy; a heart-rate range that could never be computed is a fault."""
    policy = read_dataclass(table, IntensityPolicy)
    low, high = policy.reserve_fraction_low, policy.reserve_fraction_high
    if is_number(low) and is_number(high) and not 0 <= low < high <= 1:
        said = f"the heart-rate range would run from {low:g} to {high:g} of the reserve"
        table.wrong("reserve_fraction_low", f"{said}; it must run from a smaller to a larger share, each from 0 to 1")
    return policy


@cache
def default_protocol(jurisdiction: Jurisdiction = "UK") -> Protocol:
    """The default protocol with the values of one jurisdiction."""
    return load_protocol(DEFAULT_FILE, jurisdiction=jurisdiction)
