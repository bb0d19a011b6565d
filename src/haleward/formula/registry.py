"""What a registered formula is, the register, and the decorator that adds to it."""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal, ParamSpec, cast

import numpy as np

from haleward.errors import HalewardError
from haleward.formula.arrays import Argument, FloatArray, many, place
from haleward.formula.near import near
from haleward.formula.ranges import Choice, Range
from haleward.formula.spread import central, figure_of
from haleward.units import likely, spread_in_words
from haleward.worksheet import Figure, Input, Step, Worksheet

P = ParamSpec("P")
# How far a coefficient was checked; carried from the reference, shown with every worksheet.
Trust = Literal[
    "source seen", "seen second-hand", "from memory, unverified", "definition", "common practice, no source", "computed"
]
Bounds = tuple[float | None, float | None]


@dataclass(frozen=True)
class Formula:
    """A registered formula and what a reader of its result must know.

    ``spread`` gives the likely range for one set of arguments where one standard error for all would be wrong.
    ``spread_of`` says of what the spread is ("by seven equations") where it is not a likely range of the result.
    ``bounds`` are what is physically possible of the result; left out, its unit tells.
    """

    name: str
    title: str
    equation: str
    unit: str
    ranges: Mapping[str, Range | Choice]
    source: str
    trust: Trust
    error: str
    population: str
    standard_error: float | None
    function: Callable[..., float]
    spread: Callable[..., tuple[float, float]] | None = None
    bounds: Bounds | None = None
    spread_of: str = ""

    def call(self, **arguments: float | str) -> float:
        """The result for one set of arguments. Raises :class:`HalewardError` naming the first fault."""
        self.take(arguments)
        return float(self.function(**arguments))

    def over(self, **arguments: Argument) -> FloatArray:
        """The results over arrays of arguments, broadcast together. Raises :class:`HalewardError`."""
        self.take(arguments)
        shape = _shape(arguments)
        return np.array(np.broadcast_to(np.asarray(self.function(**arguments), dtype=np.float64), shape))

    def figure(self, **arguments: float | str | Figure) -> Figure:
        """The result with its likely range, one standard error to each side; no range where no error is known.

        An argument may be a figure: its range is carried through, with the formula's own error.
        """
        self.take(arguments)
        return figure_of(self, arguments)

    def cautions(self, **arguments: Argument | Figure) -> tuple[str, ...]:
        """A sentence for each argument outside what the source states: the answer is then extrapolated."""
        plain = central(arguments)
        return tuple(
            f"{limits.label} {shown_input(plain[key])} is outside the {limits.stated()} that the source states: "
            "the result is extrapolated."
            for key, limits in self.ranges.items()
            if isinstance(limits, Range) and limits.extrapolated(plain[key])
        )

    def step(
        self,
        title: str = "",
        *,
        origins: Mapping[str, str] | None = None,
        rule_id: str = "",
        **arguments: float | str | Figure,
    ) -> Step:
        """One worksheet step: the inputs with where each came from (by argument name), the result and its range."""
        result = self.figure(**arguments)
        inputs = tuple(
            _input(limits, arguments[key], (origins or {}).get(key, "")) for key, limits in self.ranges.items()
        )
        return Step(
            title or self.title,
            self.equation,
            inputs,
            result.value,
            self.unit,
            self.cited,
            rule_id,
            *((None, None) if self.spread_of else (result.low, result.high)),
        )

    def worksheet(
        self,
        title: str = "",
        *,
        origins: Mapping[str, str] | None = None,
        rule_id: str = "",
        cautions: tuple[str, ...] = (),
        **arguments: float | str | Figure,
    ) -> Worksheet:
        """A worksheet of this one formula: the result as shown with its likely range, one step, what limits it."""
        step = self.step(title, origins=origins, rule_id=rule_id, **arguments)
        result = self.figure(**arguments)
        told = (*self.cautions(**arguments), *self.limits, *cautions)
        return Worksheet(title or self.title, self.in_words(result), (step,), told, result)

    def in_words(self, result: Figure) -> str:
        """A result of this formula with its likely range, or with what its spread is of."""
        return spread_in_words(result, self.spread_of) if self.spread_of else likely(result)

    @property
    def limits(self) -> tuple[str, ...]:
        """How wrong the result can be and whom the formula was made from, as far as known."""
        return tuple(text for text in (self.error, self.population and f"Made from: {self.population}.") if text)

    @property
    def cited(self) -> str:
        """Source with its mark of trust."""
        return f"{self.source} [{self.trust}]"

    @property
    def room(self) -> str:
        """The room it is defined in, for example "physiology"."""
        return self.function.__module__.split(".")[1]

    @property
    def subject(self) -> str:
        """The module it is defined in, in words, for example "heart rate"."""
        return self.function.__module__.rpartition(".")[2].replace("_", " ")

    def take(self, arguments: Mapping[str, object]) -> None:
        """Raise :class:`HalewardError` for an argument that is not one of its own, or naming all that are missing."""
        for key in arguments:
            if key not in self.ranges:
                raise HalewardError(
                    f"{self.name} has no argument {key!r}{near(key, self.ranges)} It takes {', '.join(self.ranges)}."
                )
        missing = [f"{key} ({self.ranges[key].described()})" for key in self.ranges if key not in arguments]
        if missing:
            raise HalewardError(f"{self.name} also needs {', '.join(missing)}.")


REGISTRY: dict[str, Formula] = {}


def formula(
    *,
    title: str,
    equation: str,
    unit: str,
    ranges: Mapping[str, Range | Choice],
    source: str,
    trust: Trust,
    error: str = "",
    population: str = "",
    standard_error: float | None = None,
    spread: Callable[..., tuple[float, float]] | None = None,
    bounds: Bounds | None = None,
    spread_of: str = "",
    elementwise: bool = False,
) -> Callable[[Callable[P, float]], Callable[P, float]]:
    """Register a keyword-only function as a formula and check its arguments and its result at every call.

    ``standard_error`` is the error for one person in the result's own unit, where the source gives one; ``error`` says
    it in words. ``spread`` takes the same arguments and returns the low and high end of the likely range, for an error
    that depends on them; ``spread_of`` says of what it is, where it is no error. ``bounds`` are the least and the most
    that the result can be (left out: by its unit).
    ``elementwise`` is for a function that reads a table or counts and so takes one number only: an array is then put
    through it number by number. The docstring gains Parameters, Returns, Raises, Sources and Check values.
    """

    def register(function: Callable[P, float]) -> Callable[P, float]:
        name = function.__name__
        parameters = inspect.signature(function).parameters
        if list(parameters) != list(ranges) or any(p.kind is not p.KEYWORD_ONLY for p in parameters.values()):
            raise TypeError(f"{name}: the ranges must name its keyword-only arguments in order.")
        if name in REGISTRY and REGISTRY[name].function.__module__ != function.__module__:
            raise TypeError(f"{name} is registered twice.")

        @functools.wraps(function)
        def checked(*args: P.args, **kwargs: P.kwargs) -> float:
            given = _checked_arguments(kwargs, ranges)
            shape = _shape(given)
            run = cast(Callable[..., Any], function)
            if elementwise and shape:
                run = np.vectorize(run, otypes=[np.float64])
            return _checked_result(lambda: run(*args, **given), title)

        registered = Formula(
            name,
            title,
            equation,
            unit,
            dict(ranges),
            source,
            trust,
            error,
            population,
            standard_error,
            checked,
            spread,
            bounds,
            spread_of,
        )
        checked.__doc__ = _docstring(registered, inspect.getdoc(function) or title)
        REGISTRY[name] = registered
        return checked

    return register


def find(name: str) -> Formula:
    """The registered formula of that name. Raises :class:`HalewardError` with the nearest names for a wrong one."""
    if name not in REGISTRY:
        raise HalewardError(
            f"There is no formula {name!r}{near(name, REGISTRY)} The list of formulas shows every name."
        )
    return REGISTRY[name]


def shown_input(value: Argument) -> str:
    """An input as typed: short, without trailing noise."""
    if many(value):
        return "(array)"
    return value if isinstance(value, str) else f"{value:g}"


def _checked_arguments(given: Mapping[str, Any], ranges: Mapping[str, Range | Choice]) -> dict[str, Any]:
    for key, value in given.items():
        if key in ranges:
            ranges[key].check(value)
    return {key: ranges[key].plain(value) if key in ranges else value for key, value in given.items()}


def _checked_result(run: Callable[[], Any], title: str) -> float:
    """The result if every number in it is finite. Raises :class:`HalewardError` naming the first that is not."""
    try:
        with np.errstate(all="ignore"):  # what comes out is looked at below, so that numbers and arrays say the same
            result = run()
    except (ZeroDivisionError, OverflowError) as fault:
        raise HalewardError(f"{title} has no finite result for these values; check each of them.") from fault
    endless = ~np.isfinite(np.asarray(result, dtype=np.float64))
    if endless.any():
        raise HalewardError(f"{title} has no finite result for these values{place(endless)}; check each of them.")
    return cast(float, result) if many(result) else float(result)


def _shape(arguments: Mapping[str, Any]) -> tuple[int, ...]:
    shapes = {key: np.shape(value) for key, value in arguments.items()}
    try:
        return np.broadcast_shapes(*shapes.values())
    except ValueError as fault:
        told = ", ".join(f"{key} {' x '.join(map(str, shape))}" for key, shape in shapes.items() if shape)
        raise HalewardError(
            f"The arrays differ in length ({told}); give arrays of one length, or single values."
        ) from fault


def _input(limits: Range | Choice, given: float | str | Figure, origin: str) -> Input:
    unit = "" if limits.unit == "1" else limits.unit
    if isinstance(given, Figure):
        return Input(limits.label, given.value, unit, origin, given.low, given.high)
    return Input(limits.label, given, unit, origin)


def _docstring(known: Formula, written: str) -> str:
    parameters = "\n".join(
        f"{key} : {limits.label}. [{limits.unit or 'name'}], {limits.described()}"
        for key, limits in known.ranges.items()
    )
    notes = "\n".join(text for text in (known.error, known.population and f"Population: {known.population}.") if text)
    return (
        f"{written}\n\n{known.equation}\n\nParameters\n----------\n{parameters}\n\n"
        f"Returns\n-------\nfloat : {known.title}, not rounded. [{known.unit}]\n\n"
        "Raises\n------\nOutOfRange : an argument lies outside its range (plausibility limits where the source gives "
        f"none).\nHalewardError : an argument is missing or is not a number.\n\nNotes\n-----\n{notes}\n\n"
        f"Sources\n-------\n{known.cited}\n\nCheck values\n------------\ntests/checks, rows of {known.name}.\n"
    )
