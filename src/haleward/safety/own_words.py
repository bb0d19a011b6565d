"""The wording and the numbers in force: the shipped tables as this protocol words them, the service's own numbers."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from haleward.physiology.tables import rows
from haleward.safety.parts import OwnWording
from haleward.safety.protocol import Protocol
from haleward.wording import Wording, default_wording


def wording_for(protocol: Protocol) -> Wording:
    """The wording tables with the protocol's own lines in place of the usual ones."""
    return _worded(protocol.wording_overrides)


def numbers_for(protocol: Protocol, given: Mapping[str, str]) -> dict[str, str]:
    """The service's numbers by placeholder: those of the protocol, and over them what the service has ``given``.

    The limits of the protocol are not among them (``Protocol.wording_values``): a service does not replace those here.
    """
    of_protocol = {name: number.text for name, number in protocol.numbers.items() if number.text}
    return {**of_protocol, **{name: text for name, text in given.items() if text}}


def numbers_to_fill(protocol: Protocol, given: Mapping[str, str]) -> tuple[str, ...]:
    """The numbers that are needed and that neither the protocol nor the service gives, in the protocol's order."""
    values = numbers_for(protocol, given)
    return tuple(name for name, number in protocol.numbers.items() if number.needed and not values.get(name))


def unsayable(name: str, text: str) -> str:
    """Why the sentences of the wording cannot say ``text`` for the number ``name``; "" if they can.

    "after dose two" is said, "after dose two doses" is not. What can be said is in ``data/tables/service_words.csv``;
    a number that is not there may be any text.
    """
    words = {row["key"]: row["words"].split() for row in rows("service_words")}.get(name, [])
    if not text or not words or text in words:
        return ""
    return f"“{text}” cannot be said in its sentence; give the number alone: {', '.join(words[:-1])} or {words[-1]}."


@lru_cache(maxsize=8)
def _worded(overrides: tuple[OwnWording, ...]) -> Wording:
    return default_wording().with_texts({own.key: own.text for own in overrides})
