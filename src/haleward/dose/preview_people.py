"""People made ready for previews: their facts of one day, once, as facts of each and as columns of all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache

import numpy as np
from numpy.typing import NDArray

from haleward.dose.preview_model import Subject
from haleward.dose.preview_views import Facts, with_capacity
from haleward.safety.facts import facts_of
from haleward.safety.gate import Place
from haleward.safety.inputs import default_inputs
from haleward.safety.protocol import Protocol
from haleward.safety.vector import Columns

CAPACITY = frozenset({"fc_mets", "fc_mets_basis"})  # inputs that follow from the walk by the protocol's method
Setting = tuple[Place, bool]  # where a session was, and whether it had resistance work


@dataclass(frozen=True)
class Crowd:
    """Some of the people with their facts; ``at`` are their places among all."""

    at: NDArray[np.intp]
    facts: tuple[Facts, ...]
    columns: Columns


class Prepared:
    """People with their facts on one day. Several previews of the same people on the same day share the work."""

    def __init__(self, subjects: Sequence[Subject], today: date) -> None:
        self.subjects, self.today = tuple(subjects), today
        self._entry = [facts_of(one.record, today=today) for one in self.subjects]
        self._session = [_session_facts(one) for one in self.subjects]
        both = zip(self._entry, self._session, strict=True)
        self.odd = frozenset(at for at, pair in enumerate(both) if any(_odd(facts) for facts in pair))
        self._crowds: dict[object, Crowd] = {}

    def facts(self, at: int) -> Facts:
        """The facts of one person on ``today``, without a capacity that was computed."""
        return self._entry[at]

    def entry(self, protocol: Protocol | None = None) -> Crowd:
        """Everybody but the odd, with the facts of ``today``; under a ``protocol``, with the capacity by its method."""
        return self._crowd("entry", self._entry, self._even(), protocol)

    def sessions(self, protocol: Protocol | None = None) -> Iterable[tuple[Setting, Crowd]]:
        """Those with a check of a day, by the kind of session."""
        settings: dict[Setting, list[int]] = {}
        for at in self._even():
            if self._session[at] is not None:
                one = self.subjects[at]
                settings.setdefault((one.place, one.strength), []).append(at)
        for setting, places in settings.items():
            yield setting, self._crowd(setting, self._session, places, protocol)

    def _even(self) -> list[int]:
        return [at for at in range(len(self.subjects)) if at not in self.odd]

    def _crowd(
        self, name: object, facts: Sequence[Facts | None], places: list[int], protocol: Protocol | None
    ) -> Crowd:
        key = (name, _methods(protocol))
        if key not in self._crowds:
            found = tuple(self._full(facts[at], at, protocol, name) for at in places)
            self._crowds[key] = Crowd(np.array(places, np.intp), found, Columns(found))
        return self._crowds[key]

    def _full(self, facts: Facts | None, at: int, protocol: Protocol | None, name: object) -> Facts:
        if protocol is None:
            return facts or {}
        one = self.subjects[at]
        day = self.today if name == "entry" or one.day_check is None else one.day_check.asked_at.date()
        return with_capacity(facts or {}, one.record, protocol, day)


def prepare(people: Sequence[Subject], today: date) -> Prepared:
    """The facts of every person on ``today``, made once."""
    return Prepared(people, today)


def methods_differ(old: Protocol, new: Protocol) -> bool:
    """Whether capacity is computed by other methods, so that the same walk gives other facts."""
    return _methods(old) != _methods(new)


def _methods(protocol: Protocol | None) -> tuple[str, str] | None:
    if protocol is None:
        return None
    policy = protocol.policies.intensity
    return policy.capacity_method, policy.shuttle_method


def _session_facts(one: Subject) -> Facts | None:
    check = one.day_check
    return None if check is None else facts_of(one.record, today=check.asked_at.date(), day_check=check)


def _odd(facts: Facts | None) -> bool:
    """Whether some fact is of another kind than its input: such a person is computed alone, and told alone."""
    given = facts or {}
    return not _as_told().issuperset(zip(given, map(type, given.values()), strict=True))


_OF_KIND: dict[str, tuple[type, ...]] = {"bool": (bool,), "number": (int, float), "text": (str,)}


@cache
def _as_told() -> frozenset[tuple[str, type]]:
    """Every input with each type that its value may have."""
    return frozenset((name, kind) for name, one in default_inputs().items() for kind in _OF_KIND[one.kind])
