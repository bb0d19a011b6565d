"""Readings taken again after rest: the first is kept, and the second decides once the rest is over.

A reading that stops the session stands until it is measured again after the protocol's minutes of rest. One that is
measured sooner does not undo it: both count, and the stricter decides. A reading left out does not undo it either.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import product

from haleward.safety.conditions import inputs_of
from haleward.safety.deciding import OUTCOMES
from haleward.safety.model import Gate
from haleward.safety.parts import URGENCIES
from haleward.safety.protocol import Protocol
from haleward.safety.rules import assess

Answers = Mapping[str, bool | float | str]
GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (  # the setting with the minutes of rest, and the readings it is for
    ("recheck_minutes", ("sbp_rest", "dbp_rest")),
    ("recheck_minutes", ("hr_rest",)),
    ("sugar_recheck", ("glucose_mmol",)),
)
_STOPPING = ("block", "clinician_decision")


@dataclass(frozen=True)
class Taken:
    """What was answered and measured at one time."""

    at: datetime
    answers: Answers


@dataclass(frozen=True)
class Standing:
    """A reading that stopped the session and still counts, with the time from which a new one decides."""

    inputs: tuple[str, ...]
    taken_at: datetime
    again_from: datetime | None  # None: the protocol names no rest, so it stands for the day


def decide(now: Taken, earlier: Sequence[Taken], *, gate_of: Callable[[Answers], Gate], protocol: Protocol) -> Gate:
    """The gate for what is answered now, with earlier readings of the day that still count.

    ``earlier`` are the day's checks before this one, oldest first; ``gate_of`` asks the gate with one set of answers.
    """
    choices: list[list[Answers]] = []
    for setting, names in GROUPS:
        rest = _rest(protocol, setting)
        counted = _counted([*earlier, now], names, rest, protocol)
        old = [one for one in counted if one is not now]
        if old and _stops(old[0], names, protocol):
            choices.append([_only(one, names) for one in counted])
        else:
            choices.append([_only(now, names)])
    grouped = {name for _setting, names in GROUPS for name in names}
    others = {name: value for name, value in now.answers.items() if name not in grouped}
    gates = [gate_of({**others, **_merged(chosen)}) for chosen in product(*choices)]
    return min(gates, key=strictness)


def standing_at(earlier: Sequence[Taken], *, protocol: Protocol) -> tuple[Standing, ...]:
    """The earlier readings of the day that stop the session and still count, each until it is measured again."""
    found = []
    for setting, names in GROUPS:
        rest = _rest(protocol, setting)
        counted = _counted(earlier, names, rest, protocol)
        if counted and _stops(counted[0], names, protocol):
            found.append(Standing(names, counted[0].at, None if rest is None else counted[0].at + rest))
    return tuple(found)


def strictness(gate: Gate) -> tuple[int, int]:
    """How strict a gate is; the smallest is the strictest."""
    return OUTCOMES.index(gate.outcome), URGENCIES.index(gate.urgency)


def _counted(
    checks: Sequence[Taken], names: tuple[str, ...], rest: timedelta | None, protocol: Protocol
) -> list[Taken]:
    """The readings of one group that count after all these checks, oldest first."""
    counted: list[Taken] = []
    for check in checks:
        if not any(name in check.answers for name in names):
            continue
        too_soon = bool(counted) and (rest is None or check.at - counted[0].at < rest)
        if too_soon and _stops(counted[0], names, protocol):
            counted.append(check)
        else:
            counted = [check]
    return counted


def _stops(check: Taken, names: tuple[str, ...], protocol: Protocol) -> bool:
    """Whether one of these readings fires a rule that stops the session, taken by itself or with that day's answers."""
    hall = protocol.gates["hall"]
    rules = [
        rule
        for rule in protocol.rules
        if (rule.stage in hall.stages or rule.id in (*hall.also, *hall.strength))
        and rule.level in _STOPPING
        and set(inputs_of(rule.condition)) & set(names)
    ]
    return any(one.state == "fired" for one in assess(rules, check.answers))


def _rest(protocol: Protocol, setting: str) -> timedelta | None:
    found = protocol.settings.get(setting)
    return timedelta(minutes=min(found.value)) if found else None


def _only(check: Taken, names: tuple[str, ...]) -> Answers:
    return {name: check.answers[name] for name in names if name in check.answers}


def _merged(chosen: Sequence[Answers]) -> Answers:
    return {name: value for one in chosen for name, value in one.items()}
