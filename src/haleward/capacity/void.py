"""When a method is void, in words: rhythm, medicine, device, aid, course, age outside what it covers.

What voids which method is data: ``method_void.csv`` names the facts, ``void_facts.csv`` says where each fact is
recorded. A fact that nobody recorded is unknown: it is asked for, and never taken for a no.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from haleward.errors import HalewardError
from haleward.physiology.tables import rows, texts
from haleward.record import Record

Facts = Mapping[str, bool | None]


@dataclass(frozen=True)
class Validity:
    """What stands against a method for this person and test: reasons, cautions, and what is still to be asked."""

    method: str
    void: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    ask: tuple[str, ...] = ()

    @property
    def usable(self) -> bool | None:
        """``False`` if something voids the method, ``None`` while something is unknown, else ``True``."""
        return False if self.void else None if self.ask else True

    @property
    def why(self) -> str:
        """What voids the method, as one text; "" if nothing does."""
        return " ".join(self.void)

    @property
    def open_questions(self) -> tuple[str, ...]:
        """What is worth asking: nothing, once the method is void."""
        return () if self.void else self.ask


def methods() -> tuple[str, ...]:
    """The names of all methods that something can void, in the order of the table."""
    return tuple(dict.fromkeys(name for row in rows("method_void") for name in row["methods"].split()))


def fact_names() -> tuple[str, ...]:
    """The names of all facts that can void a method; age is given apart."""
    return tuple(dict.fromkeys(row["fact"] for row in rows("void_facts")))


def facts_of(record: Record) -> dict[str, bool | None]:
    """The facts about the person, as recorded; ``None`` is not recorded. Facts about one test are not among them."""
    found: dict[str, bool | None] = {}
    for row in rows("void_facts"):
        if row["of"] != "test":
            state = _RECORDED[row["of"]](record, frozenset(row["values"].split()))
            found[row["fact"]] = _either(found[row["fact"]], state) if row["fact"] in found else state
    return found


def why_void(method: str, facts: Facts, *, age_y: float | None = None) -> Validity:
    """What voids ``method``, what weakens it, and what must be asked before it may be used.

    ``facts`` maps names of :func:`fact_names` to yes, no or ``None``; one left out is unknown. Only a fact that would
    void the method is asked for. Raises :class:`HalewardError` for a method or a fact that the tables lack.
    """
    _require_known(method, facts)
    void: list[str] = []
    cautions: list[str] = []
    ask: list[str] = []
    for row in rows("method_void"):
        if method not in row["methods"].split():
            continue
        state = _outside(row, age_y) if row["fact"] == "age" else facts.get(row["fact"])
        if state:
            (void if row["effect"] == "void" else cautions).append(_sentence(row, age_y))
        elif state is None and row["effect"] == "void":
            ask += _questions(row["fact"])
    return Validity(method, tuple(void), tuple(cautions), tuple(dict.fromkeys(ask)))


def _require_known(method: str, facts: Facts) -> None:
    if method not in methods():
        raise HalewardError(f"There is no method {method!r} to void; there is {', '.join(methods())}.")
    for name in facts:
        if name not in fact_names():
            raise HalewardError(f"There is no fact {name!r} about a method; there is {', '.join(fact_names())}.")


def _outside(row: dict[str, str], age_y: float | None) -> bool | None:
    return None if age_y is None else not float(row["age_low"]) <= age_y <= float(row["age_high"])


def _sentence(row: dict[str, str], age_y: float | None) -> str:
    age = "" if age_y is None else f"{age_y:g}"
    return texts("capacity_wording")[row["text"]].format(age=age, low=row["age_low"], high=row["age_high"])


def _questions(fact: str) -> list[str]:
    """What would settle the fact: a question for each place where it is recorded."""
    keys = [row["ask"] for row in rows("void_facts") if row["fact"] == fact] or ["ask_age"]
    return [texts("capacity_wording")[key] for key in keys]


def _either(one: bool | None, other: bool | None) -> bool | None:
    """Three-valued "or": a yes decides, an unknown without a yes stays unknown."""
    return True if one or other else None if None in (one, other) else False


def _by_medicine(record: Record, values: frozenset[str]) -> bool | None:
    return None if record.medicines is None else any(one.drug_class in values for one in record.medicines)


def _by_rhythm(record: Record, values: frozenset[str]) -> bool | None:
    return None if record.rhythm is None else record.rhythm in values


def _by_device(record: Record, values: frozenset[str]) -> bool | None:
    return None if record.device is None else record.device.kind in values


def _by_event(record: Record, values: frozenset[str]) -> bool | None:
    return any(event.kind in values for event in record.events)


_RECORDED: dict[str, Callable[[Record, frozenset[str]], bool | None]] = {
    "medicine": _by_medicine,
    "rhythm": _by_rhythm,
    "device": _by_device,
    "event": _by_event,
}
