"""What a protocol is made of: rules, gates, risk items, placement rules, questions, symptoms, settings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from haleward.safety.conditions import Condition

RuleLevel = Literal["block", "clinician_decision", "caution", "inform"]
Urgency = Literal["emergency", "same_day", "next_working_day", "none"]
ConcernLevel = Literal["emergency", "same_day", "next_working_day", "self_care"]
Jurisdiction = Literal["ALL", "UK", "US", "EU"]
Stage = Literal["entry", "session", "environment", "home", "during", "resistance", "groups", "after"]
GateName = Literal["entry", "hall", "home"]
Band = Literal["high", "moderate", "low"]
Effect = Literal[
    "seated",
    "hand_supported",
    "narrow_base_supported",
    "wide_base_standing",
    "standing",
    "balance_emphasis",
    "one_level_down",
]

RULE_LEVELS: tuple[RuleLevel, ...] = ("block", "clinician_decision", "caution", "inform")  # strictest first
URGENCIES: tuple[Urgency, ...] = ("emergency", "same_day", "next_working_day", "none")
CONCERN_LEVELS: tuple[ConcernLevel, ...] = ("emergency", "same_day", "next_working_day", "self_care")
Answer = bool | float | str


@dataclass(frozen=True)
class TopicWhen:
    """A topic of safety.csv that replaces the usual one when ``when`` is true."""

    topic: str
    when: Condition


@dataclass(frozen=True)
class Rule:
    """One rule: when ``condition`` is true it fires at ``level``; ``wording`` is what was found, ``advice`` what to do.

    ``topic`` is the topic of safety.csv a person is shown when the rule stops a session; "" where none fits.
    """

    id: str
    stage: Stage
    jurisdiction: Jurisdiction
    level: RuleLevel
    urgency: Urgency
    condition: Condition
    wording: str
    advice: str
    sources: tuple[str, ...]
    trust: str
    topic: str = ""

    @property
    def text(self) -> str:
        """What was found and what to do, for staff."""
        return f"{self.wording} {self.advice}"


@dataclass(frozen=True)
class Need:
    """An input that must be known at a gate, always or when ``when`` is true. When that is false the input is moot."""

    input: str
    when: Condition | None = None


@dataclass(frozen=True)
class GateRules:
    """Which rules a gate asks (by stage, and ``also`` by id; ``strength`` for resistance work) and what it needs.

    ``readings`` are inputs that are not needed but, when taken on the day, are judged by the session rules on them.
    """

    name: GateName
    stages: tuple[Stage, ...]
    also: tuple[str, ...]
    strength: tuple[str, ...]
    needs: tuple[Need, ...]
    readings: tuple[str, ...] = ()


@dataclass(frozen=True)
class RiskItem:
    """One item of the risk scheme. ``omit_if_unknown``: left out, and flagged, when it cannot be answered."""

    id: str
    domain: str
    band: Band
    criterion: str
    condition: Condition
    sources: tuple[str, ...]
    trust: str
    omit_if_unknown: bool = False


@dataclass(frozen=True)
class Stratification:
    """The risk scheme with its two settings; ``items`` are those in force under them."""

    scheme: str
    items: tuple[RiskItem, ...]
    capacity_under_5_mets: Literal["high", "moderate"]
    icd_counts_as_high: bool
    capacity_not_measured: Literal["omit"]
    source: str


@dataclass(frozen=True)
class PlacementRule:
    """One placement rule: what it does when its condition is true, and its basis (S published, C common practice)."""

    id: str
    effect: Effect
    basis: str
    condition: Condition
    wording: str
    sources: tuple[str, ...]
    trust: str


@dataclass(frozen=True)
class PlacementRules:
    """The placement rules, and the inputs without which a posture is never given."""

    rules: tuple[PlacementRule, ...]
    standing_needs: tuple[str, ...]
    supported_needs: tuple[str, ...]
    narrow_base_needs: tuple[str, ...]
    source: str


@dataclass(frozen=True)
class Check:
    """One question (or line to confirm) before a session. ``wording`` is a key of session.csv.

    A "yes_no" or "confirm" sets the inputs of ``answers_yes`` or ``answers_no``; a "number" sets ``input`` in ``unit``.
    It is asked when ``ask_when`` is true or unknown, at each of ``places``.
    """

    wording: str
    kind: Literal["yes_no", "confirm", "number"]
    topic: str
    places: tuple[Literal["hall", "home"], ...]
    source: str
    answers_yes: Mapping[str, bool]
    answers_no: Mapping[str, bool]
    input: str = ""
    unit: str = ""
    ask_when: Condition | None = None
    topic_when: tuple[TopicWhen, ...] = ()
    trust: str = ""


@dataclass(frozen=True)
class Symptom:
    """Something a person can report: its label, its topic, how soon it must be seen, its triage and rule ids.

    ``usual`` marks the symptom a bare topic stands for.
    """

    key: str
    topic: str
    label: str
    level: ConcernLevel
    ids: tuple[str, ...]
    usual: bool
    topic_when: tuple[TopicWhen, ...] = ()
    sources: tuple[str, ...] = ()
    trust: str = ""


@dataclass(frozen=True)
class ConcernRules:
    """The symptom list, and what happens to a report that is not in it."""

    symptoms: tuple[Symptom, ...]
    unknown_level: ConcernLevel
    unknown_topic: str
    source: str


@dataclass(frozen=True)
class Setting:
    """A number that wording prints: its value (or values) with unit, ready to read as ``text``, with its source.

    ``same_in`` names rules that use the same value; the loader refuses a protocol in which they differ.
    """

    name: str
    jurisdiction: Jurisdiction
    value: tuple[float, ...]
    unit: str
    text: str
    sources: tuple[str, ...]
    trust: str
    same_in: tuple[str, ...] = ()


@dataclass(frozen=True)
class ServiceNumber:
    """A number or name of the service itself that wording prints: the emergency number, the nurse line, the hours.

    ``text`` is what the protocol gives for its jurisdiction; "" where each service fills in its own. ``needed`` marks
    those without which no person may be handed a plan.
    """

    name: str
    jurisdiction: Jurisdiction
    text: str
    needed: bool
    sources: tuple[str, ...]
    trust: str


@dataclass(frozen=True)
class OwnWording:
    """A line of the wording tables as this protocol words it, with the source of the change."""

    key: str
    text: str
    source: str


@dataclass(frozen=True)
class Accepted:
    """A finding of the analysis that the team has looked at and keeps, by its name, with the reason."""

    finding: str
    reason: str
