"""What the protocol decides about one person: fired rules, gate, risk level, placement. Plain values."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from haleward.record import Posture
from haleward.worksheet import Worksheet

Outcome = Literal["go_ahead", "check_first", "not_today"]


@dataclass(frozen=True)
class FiredRule:
    """A protocol rule that fired, or could not be assessed, with the inputs it used."""

    rule_id: str
    state: Literal["fired", "unknown"]
    level: str  # block, clinician_decision, caution, inform
    urgency: str  # emergency, same_day, next_working_day, none
    text: str
    source: str
    trust: str
    inputs: tuple[tuple[str, str], ...] = ()
    missing: tuple[str, ...] = ()
    topic: str = ""  # topic of safety.csv for the person; "" where none fits


@dataclass(frozen=True)
class Question:
    """A missing input that could change what the gate says, with the strictest that its answer could bring."""

    input: str
    outcome: Outcome
    urgency: str
    rule_ids: tuple[str, ...] = ()  # the rules that an answer could bring
    needed: bool = False  # the gate cannot say "go ahead" without it


@dataclass(frozen=True)
class Gate:
    """May this person exercise today? Missing information never gives "go_ahead"."""

    outcome: Outcome
    urgency: str
    fired: tuple[FiredRule, ...]
    missing: tuple[str, ...]  # input names whose answer could change the outcome, most useful first
    protocol_id: str
    protocol_version: str
    not_assessed: tuple[FiredRule, ...] = ()  # rules that could stop the session and lack an answer
    questions: tuple[Question, ...] = ()  # the same inputs as ``missing``, with what each could bring
    no_effect: tuple[str, ...] = ()  # missing as well, but no answer to them could change the outcome


@dataclass(frozen=True)
class RiskLevel:
    """Draft risk level with the items that drove it and those that are missing."""

    level: Literal["low", "moderate", "high"]
    items: tuple[FiredRule, ...]
    missing: tuple[str, ...]
    scheme: str
    worksheet: Worksheet


@dataclass(frozen=True)
class Placement:
    """The posture this person starts in, what adds to it, and its basis (S published, C common practice)."""

    posture: Posture
    narrow_base_posture: Posture  # for tandem, single-leg and other narrow-base tasks
    balance_emphasis: bool
    basis: str
    fired_rule_ids: tuple[str, ...]
    worksheet: Worksheet
    ask: tuple[str, ...] = ()  # tests that would settle a placement made on missing data


@dataclass(frozen=True)
class Concern:
    """Something reported that someone must look at: how soon, the safety topic to show, and why (triage, rule ids)."""

    level: Literal["emergency", "same_day", "next_working_day", "self_care"]
    topic: str
    rule_ids: tuple[str, ...]
    how_soon: str
