"""The working behind a number: every figure on screen, in a letter or in JSON opens one of these."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Figure:
    """A number with its unit and, where one exists, its error (a likely range)."""

    value: float
    unit: str
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True)
class Input:
    """One value that went into a step, e.g. ``Input("Resting heart rate", 62, "bpm", "assessment, 3 Feb 2026")``."""

    name: str
    value: float | str
    unit: str = ""
    origin: str = ""
    low: float | None = None  # the likely range of a value that carries an error
    high: float | None = None


@dataclass(frozen=True)
class Step:
    """One line of working: what, the formula in words, the inputs, the result, its source and protocol rule.

    ``low`` and ``high`` are the likely range of a result whose error is known.
    """

    title: str
    formula: str
    inputs: tuple[Input, ...]
    result: float | str
    unit: str = ""
    source: str = ""
    rule_id: str = ""
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True)
class Worksheet:
    """The steps from inputs to ``result``, in order, with the cautions that travel with the number.

    ``figure`` is the result as a number with its likely range, where the result is one number.
    """

    title: str
    result: str
    steps: tuple[Step, ...] = ()
    cautions: tuple[str, ...] = field(default=())
    figure: Figure | None = None


@dataclass(frozen=True)
class NotComputed:
    """A figure that could not be computed: why, and the question that would settle it."""

    what: str
    reason: str
    ask: tuple[str, ...] = ()
