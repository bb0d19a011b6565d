"""The fast way to a preview: masks say whom a change can concern, and only those are computed, as always."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from haleward.capacity.walk import estimate_capacity
from haleward.dose.intensity import set_intensity
from haleward.dose.preview_differences import difference, differs
from haleward.dose.preview_masks import dose_mask, placement_mask, range_mask, risk_mask
from haleward.dose.preview_model import Difference, View, What
from haleward.dose.preview_people import CAPACITY, Crowd, Prepared, methods_differ
from haleward.dose.preview_views import (
    dose_view,
    effort_view,
    gate_view,
    placement_view,
    range_view,
    risk_view,
    with_capacity,
)
from haleward.formula import find
from haleward.movement.library import Library
from haleward.safety.conditions import Condition, inputs_of
from haleward.safety.parts import GateName
from haleward.safety.placement import place
from haleward.safety.protocol import Protocol
from haleward.safety.risk import risk_level
from haleward.safety.vector import Flags
from haleward.safety.vector_gate import GateOfMany, asked_rules, decides_alike, gate_mask

Progress = Callable[[int, int], None]
Found = Iterator[tuple[int, Difference]]


class Comparison:
    """Two protocols asked of the same people; every difference with the place of its person."""

    def __init__(self, people: Prepared, old: Protocol, new: Protocol, library: Library) -> None:
        """Raises :class:`HalewardError` when a protocol names a method that cannot be used for these people's walks."""
        self._people, self._old, self._new, self._library = people, old, new, library
        self._other_methods = methods_differ(old, new)
        self._placed_anew: set[int] = set()
        for protocol in (old, new):
            _check_methods(people, protocol)

    def differences(self, progress: Progress | None) -> Found:
        """All of them, thing by thing."""
        yield from self._entry_gate()
        yield from self._session_gates()
        yield from self._risk()
        yield from self._range()
        yield from self._effort()
        yield from self._placement()
        yield from self._dose(progress)

    def _entry_gate(self) -> Found:
        if self._gate_changed("entry"):
            before, after = self._crowds(self._gate_conditions("entry"))
            gates = (
                GateOfMany(self._old, before.facts, before.columns),
                GateOfMany(self._new, after.facts, after.columns),
            )
            yield from self._gates("entry_gate", before, *gates, all_differ=before is not after)

    def _session_gates(self) -> Found:
        reads = _read_capacity(self._gate_conditions("hall", "home"))
        old = self._people.sessions(self._old if reads else None)
        new = self._people.sessions(self._new if reads else None)
        for ((where, strength), before), (_, after) in zip(old, new, strict=True):
            if self._gate_changed(where):
                gates = (
                    GateOfMany(self._old, before.facts, before.columns, place=where, strength=strength),
                    GateOfMany(self._new, after.facts, after.columns, place=where, strength=strength),
                )
                yield from self._gates("session_gate", before, *gates, all_differ=before is not after)

    def _gates(self, what: What, crowd: Crowd, old: GateOfMany, new: GateOfMany, *, all_differ: bool) -> Found:
        mask = np.ones(old.count, np.bool_) if all_differ else gate_mask(old, new)
        for number in np.nonzero(mask)[0].tolist():
            yield from _found(int(crowd.at[number]), what, gate_view(old.gate(number)), gate_view(new.gate(number)))

    def _risk(self) -> Found:
        old, new = self._old.stratification.items, self._new.stratification.items
        moved = [item for item in (*old, *new) if item not in old or item not in new]
        conditions = [item.condition for item in ((*old, *new) if self._other_methods else moved)]
        if not conditions:
            return
        before, after = self._crowds(conditions)
        mask = risk_mask(self._old, self._new, before, after, with_capacity=_read_capacity(conditions))
        for at in _places(before, mask):
            views = [risk_view(risk_level(self._facts(at, protocol), protocol)) for protocol in (self._old, self._new)]
            yield from _found(at, "risk", *views)

    def _range(self) -> Found:
        if self._old.policies.intensity == self._new.policies.intensity:
            return
        crowd = self._people.entry()
        records = [self._people.subjects[at].record for at in crowd.at]
        for at in _places(crowd, range_mask(self._old, self._new, records, crowd.facts)):
            record, facts = self._people.subjects[at].record, self._people.facts(at)
            views = [
                range_view(set_intensity(record, facts, protocol=protocol, today=self._people.today))
                for protocol in (self._old, self._new)
            ]
            yield from _found(at, "range", *views)

    def _effort(self) -> Found:
        views = [effort_view(protocol.policies.intensity) for protocol in (self._old, self._new)]
        if differs(*views):
            told = difference("effort", *views)
            yield from ((int(at), told) for at in self._people.entry().at)

    def _placement(self) -> Found:
        rules = (*self._old.placement.rules, *self._new.placement.rules)
        if self._old.placement == self._new.placement and not self._capacity_in([rule.condition for rule in rules]):
            return
        before, after = self._crowds([rule.condition for rule in rules])
        for at in _places(before, placement_mask(self._old, self._new, before, after)):
            record = self._people.subjects[at].record
            views = [
                placement_view(place(record, self._facts(at, protocol), protocol))
                for protocol in (self._old, self._new)
            ]
            if differs(*views):
                self._placed_anew.add(at)
            yield from _found(at, "placement", *views)

    def _dose(self, progress: Progress | None) -> Found:
        crowd = self._people.entry()
        places = {*_places(crowd, dose_mask(self._old, self._new, crowd)), *self._placed_anew}
        if self._other_methods:
            places |= {int(at) for at in crowd.at if self._people.subjects[at].record.walk is not None}
        for done, at in enumerate(sorted(places)):
            if progress is not None:
                progress(done, len(places))
            record, today = self._people.subjects[at].record, self._people.today
            views = (
                dose_view(record, protocol=protocol, library=self._library, today=today)
                for protocol in (self._old, self._new)
            )
            yield from _found(at, "dose", *views)
        if progress is not None and places:
            progress(len(places), len(places))

    def _gate_changed(self, name: GateName) -> bool:
        """Whether the gate itself or a rule it may ask decides otherwise."""
        old, new = self._old.gates[name], self._new.gates[name]
        was, now = asked_rules(self._old, old), asked_rules(self._new, new)
        alike = len(was) == len(now) and all(
            one.id == other.id and one.condition == other.condition and decides_alike(one, other)
            for one, other in zip(was, now, strict=True)
        )
        return old != new or not alike or self._capacity_in(self._gate_conditions(name))

    def _gate_conditions(self, *names: GateName) -> list[Condition]:
        found: list[Condition] = []
        for protocol in (self._old, self._new):
            for name in names:
                gate = protocol.gates[name]
                found += [rule.condition for rule in asked_rules(protocol, gate)]
                found += [need.when or {"input": need.input} for need in gate.needs]
        return found

    def _capacity_in(self, conditions: list[Condition]) -> bool:
        """Whether these conditions read a capacity that the two protocols compute differently."""
        return self._other_methods and _read_capacity(conditions)

    def _crowds(self, conditions: list[Condition]) -> tuple[Crowd, Crowd]:
        """The people with the facts these conditions need; one crowd twice where both protocols see the same facts."""
        if not _read_capacity(conditions):
            return self._people.entry(), self._people.entry()
        return self._people.entry(self._old), self._people.entry(self._new)

    def _facts(self, at: int, protocol: Protocol) -> dict[str, bool | float | str]:
        return with_capacity(self._people.facts(at), self._people.subjects[at].record, protocol, self._people.today)


def _found(at: int, what: What, old: View, new: View) -> Found:
    if differs(old, new):
        yield at, difference(what, old, new)


def _places(crowd: Crowd, mask: Flags) -> list[int]:
    """The places among all people of those in the mask."""
    return [int(at) for at in crowd.at[mask]]


def _read_capacity(conditions: list[Condition]) -> bool:
    return any(CAPACITY & {*inputs_of(condition)} for condition in conditions)


def _check_methods(people: Prepared, protocol: Protocol) -> None:
    """Compute one capacity of each kind of walk, so that a method that cannot be used is told before all else."""
    policy = protocol.policies.intensity
    kinds = {one.record.walk.kind: one.record for one in people.subjects if one.record.walk is not None}
    for record in kinds.values():
        estimate_capacity(
            record,
            six_minute_method=policy.capacity_method,
            shuttle_method=policy.shuttle_method,
            today=people.today,
        )
    for name in (policy.maximum_method, policy.beta_blocker_method):
        find(name)
