"""One gate asked of many people: the gate itself decides, of each person only what has fired or can still matter.

A rule that is false for a person cannot stop, hold or question that person. Nor can a rule that cannot be assessed, as
long as none of its missing answers is in play: asked for by the gate, or asked together with one that is. A need that
is known is met. What is left of the protocol for one person is small, and people for whom the same is left, with the
same values, are decided once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from haleward.safety.conditions import Condition, Facts, inputs_of
from haleward.safety.gate import Place, entry_gate, session_gate
from haleward.safety.model import Gate
from haleward.safety.parts import GateRules, Need, Rule
from haleward.safety.protocol import Protocol
from haleward.safety.vector import Columns, Flags, Truth, evaluate_all

COMPLETE = ("screening_complete", "session_complete")  # set by the gate itself
Key = tuple[object, ...]


class GateOfMany:
    """The entry gate, or the session gate at one place, of everybody under one protocol."""

    def __init__(
        self,
        protocol: Protocol,
        facts: Sequence[Facts],
        columns: Columns,
        *,
        place: Place | None = None,
        strength: bool = True,
    ) -> None:
        """``place`` ``None`` means the entry gate; ``columns`` are those of ``facts``."""
        self._protocol, self._facts, self._columns = protocol, facts, columns
        self._place, self._strength = place, strength
        self.count = len(columns)
        self.rules_of_gate = protocol.gates[place or "entry"]
        self.rules = asked_rules(protocol, self.rules_of_gate)
        self.truths = {rule.id: evaluate_all(rule.condition, columns) for rule in self.rules}
        self._inputs = {rule.id: inputs_of(rule.condition) for rule in self.rules}
        self._needs = [_NeedOfMany(need, columns) for need in self.rules_of_gate.needs]
        fired = np.array([self.truths[rule.id].true for rule in self.rules]).reshape(len(self.rules), self.count)
        self._left = fired | self._in_play()
        self._row = {rule.id: row for row, rule in enumerate(self.rules)}
        self._decided: dict[Key, Gate] = {}

    def left(self, rule_id: str) -> Flags:
        """Where a rule has fired, or can still matter."""
        found: Flags = self._left[self._row[rule_id]]
        return found

    def gate(self, at: int) -> Gate:
        """What the gate says of one person. Values that a rule used are those of someone alike; do not show them."""
        left = [self.rules[place] for place in np.nonzero(self._left[:, at])[0]]
        needs = tuple(need for one in self._needs if (need := one.left(at)) is not None)
        facts = self._left_facts(at, left, needs)
        key = (
            tuple(rule.id for rule in left),
            tuple((need.input, need.when is None or (need.when == _never(need.input) and "never")) for need in needs),
            tuple(sorted((name, type(value) is bool, str(type(value) is str), value) for name, value in facts.items())),
        )
        if key not in self._decided:
            self._decided[key] = self._decide(left, needs, facts)
        return self._decided[key]

    def _in_play(self) -> Flags:
        """Where a rule that cannot be assessed can still matter, a row for each rule."""
        names = sorted({*(name for found in self._inputs.values() for name in found), *(n.name for n in self._needs)})
        row = {name: number for number, name in enumerate(names)}
        reads = [[row[name] for name in self._inputs[rule.id]] for rule in self.rules]
        read_by = [[at for at, found in enumerate(reads) if number in found] for number in row.values()]
        missing = np.array([~self._columns.column(name).known for name in names]).reshape(len(names), self.count)
        strict = np.array([_can_hold(rule) for rule in self.rules], np.bool_).reshape(-1, 1)
        unknown = np.array([self.truths[rule.id].unknown for rule in self.rules]).reshape(len(self.rules), self.count)
        unknown &= strict
        asked = np.array([self._asked(name) for name in names]).reshape(len(names), self.count)
        half_answered = _any(reads, ~missing)
        held = unknown & (half_answered | _any(reads, asked))
        asked |= missing & _any(read_by, held)
        together = missing & _any(read_by, unknown & _any(reads, asked))
        return unknown & _any(reads, asked | together)

    def _asked(self, name: str) -> Flags:
        """Where a need for this input is open, or may yet come up."""
        found = [need.open() for need in self._needs if need.name == name]
        return np.logical_or.reduce(found) if found else np.zeros(self.count, np.bool_)

    def _left_facts(self, at: int, rules: Sequence[Rule], needs: Sequence[Need]) -> Facts:
        names = {name for rule in rules for name in self._inputs[rule.id]}
        names.update(COMPLETE)
        for need in needs:
            names.add(need.input)
            names.update(inputs_of(need.when or {}))
        facts = self._facts[at]
        return {name: facts[name] for name in names if name in facts}

    def _decide(self, rules: Sequence[Rule], needs: tuple[Need, ...], facts: Facts) -> Gate:
        gate = replace(self.rules_of_gate, needs=needs)
        protocol = replace(self._protocol, rules=tuple(rules), gates={gate.name: gate})
        if self._place is None:
            return entry_gate(facts, protocol)
        return session_gate(facts, protocol, place=self._place, strength=self._strength)


def _any(reads: Sequence[Sequence[int]], flags: Flags) -> Flags:
    """For each of ``reads``: whether any row of ``flags`` that it names is flagged, person by person."""
    found = np.zeros((len(reads), flags.shape[1]), np.bool_)
    for rows, row in zip(reads, found, strict=True):
        np.logical_or.reduce(flags[list(rows)], axis=0, out=row)
    return found


def _can_hold(rule: Rule) -> bool:
    """Whether a rule can hold a gate while it is not assessed: one that stops, or that somebody must look at soon."""
    return rule.level in ("block", "clinician_decision") or rule.urgency != "none"


def asked_rules(protocol: Protocol, gate: GateRules) -> tuple[Rule, ...]:
    """Every rule that this gate may ask; the gate itself still chooses among them."""
    named = {*gate.also, *gate.strength}
    readings = set(gate.readings)
    return tuple(
        rule
        for rule in protocol.rules
        if rule.stage in gate.stages
        or rule.id in named
        or (rule.stage == "session" and readings & set(inputs_of(rule.condition)))
    )


class _NeedOfMany:
    """One need of a gate, and whether it applies to each person."""

    def __init__(self, need: Need, columns: Columns) -> None:
        self._need, self.name = need, need.input
        self._known: Flags = columns.column(need.input).known
        self._when: Truth | None = None if need.when is None else evaluate_all(need.when, columns)

    def open(self) -> Flags:
        """Where the input is missing and needed, or where it is not known whether it is needed."""
        if self._when is None:
            return ~self._known
        return (~self._known & self._when.true) | self._when.unknown

    def left(self, at: int) -> Need | None:
        """The need as it stands for one person; ``None`` when it is met or does not matter."""
        applies = True if self._when is None else self._when.at(at)
        if applies is None:
            return self._need
        if self._known[at]:
            return None
        return Need(self._need.input, None if applies else _never(self._need.input))


def _never(name: str) -> Condition:
    return {"all": [{"input": name, "known": True}, {"input": name, "known": False}]}


def gate_mask(old: GateOfMany, new: GateOfMany) -> Flags:
    """Where the gate may say something else under ``new``: everywhere but where no difference can matter."""
    if old.rules_of_gate != new.rules_of_gate:
        return np.ones(old.count, np.bool_)
    mask = np.zeros(old.count, np.bool_)
    was: Mapping[str, Rule] = {rule.id: rule for rule in old.rules}
    now: Mapping[str, Rule] = {rule.id: rule for rule in new.rules}
    for rule_id in dict.fromkeys([*was, *now]):
        if rule_id not in now:
            mask |= old.left(rule_id)
        elif rule_id not in was:
            mask |= new.left(rule_id)
        else:
            both = old.left(rule_id) | new.left(rule_id)
            mask |= both & ~_settled(was[rule_id], now[rule_id], old.truths[rule_id], new.truths[rule_id])
    return mask


def _settled(was: Rule, now: Rule, before: Truth, after: Truth) -> Flags:
    """Where a rule of both protocols says the same, to the same effect."""
    if not decides_alike(was, now):
        return np.zeros_like(before.true)
    if was.condition == now.condition:
        return np.ones_like(before.true)
    reads = {*inputs_of(was.condition), *inputs_of(now.condition)}
    return np.zeros_like(before.true) if reads & {*COMPLETE} else before.true & after.true


def decides_alike(was: Rule, now: Rule) -> bool:
    """Whether two rules decide the same when both fire; words, sources and topics do not decide."""
    return (was.level, was.urgency, was.stage) == (now.level, now.urgency, now.stage)
