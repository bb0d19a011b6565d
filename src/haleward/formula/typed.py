"""Arguments as they are typed: words of the form name=value, and numbers written as text."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from haleward.errors import HalewardError
from haleward.formula.meant import Limits, read
from haleward.formula.ranges import Choice
from haleward.formula.registry import Formula, find
from haleward.worksheet import Worksheet


def parse_arguments(words: list[str]) -> dict[str, str]:
    """``["age_y=60", ...]`` as a dictionary. Raises :class:`HalewardError` for a word of another form or a repeat."""
    pairs: dict[str, str] = {}
    for word in words:
        key, equals, value = word.partition("=")
        if not equals or not key.strip() or not value.strip():
            raise HalewardError(f"{word!r} is not of the form name=value, for example age_y=60.")
        if key.strip() in pairs:
            raise HalewardError(f"{key.strip()} is given twice; give it once.")
        pairs[key.strip()] = value.strip()
    return pairs


def calculate(name: str, texts: Mapping[str, str]) -> Worksheet:
    """The worksheet of formula ``name`` for arguments typed as text. Raises :class:`HalewardError`."""
    chosen = find(name)
    chosen.take(texts)
    return chosen.worksheet(**typed_arguments(chosen, texts))


def typed_arguments(chosen: Formula, texts: Mapping[str, str]) -> dict[str, Any]:
    """The typed values of a formula's arguments. Raises one :class:`HalewardError` with a line for each fault."""
    values: dict[str, Any] = {}
    faults: list[str] = []
    for key, limits in chosen.ranges.items():
        try:
            values[key] = texts[key] if isinstance(limits, Choice) else number_of(key, texts[key], limits.limits)
            limits.check(values[key])
        except HalewardError as fault:
            faults.append(str(fault))
    if faults:
        raise HalewardError("\n".join(faults))
    return values


def number_of(key: str, text: str, limits: Limits | None = None) -> float:
    """The number written in ``text``. Raises :class:`HalewardError` for anything but a plain decimal number.

    Text with a unit that ``limits`` can read ("5 ft 8 in") is not taken but asked about.
    """
    if re.fullmatch(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?", text.strip(), flags=re.ASCII):
        return float(text)
    meant = read(text, limits) if limits and text.isascii() else None
    if limits is not None and meant is not None:
        unit = "" if limits.unit == "1" else f" {limits.unit}"
        plain = f"{float(f'{meant:.4g}'):g}"
        raise HalewardError(f"{key}={text} is not a plain number; did you mean {key}={plain}, that is {plain}{unit}?")
    raise HalewardError(f"{key}={text} is not a number; write for example {key}=60 or {key}=1.75.")
