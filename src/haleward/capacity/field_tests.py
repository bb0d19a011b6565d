"""The tests of the Reckoner: what each measures, how it is done, and what its result means.

Tests are data (``data/tables/field_tests.toml``). :func:`evaluate` turns what was measured into plain results: figures
with their error and working, findings against published limits, and what could not be worked out and why.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Literal, get_args

from haleward.capacity.field_answers import without_answered
from haleward.capacity.field_results import RECKONERS
from haleward.capacity.field_values import About, Given, Part, Value
from haleward.errors import HalewardError
from haleward.formula import Range
from haleward.strict_toml import Table, TomlFile

FILE = Path(__file__).resolve().parent.parent / "data" / "tables" / "field_tests.toml"
Kind = Literal["number", "whole", "yes", "sex", "rhythm", "device", "stopped_for", "stature", "mass", "maximum"]
KINDS: tuple[Kind, ...] = get_args(Kind)
Clock = Literal["", "walk", "shuttle", "count", "stopwatch", "stances", "battery", "stages"]
CLOCKS: tuple[Clock, ...] = get_args(Clock)
Keep = Literal["", "least", "most"]
KEEPS: tuple[Keep, ...] = get_args(Keep)


@dataclass(frozen=True)
class FieldInput:
    """One thing that is measured or known: its label, unit and plausible range (none for choices)."""

    name: str
    label: str
    kind: Kind
    unit: str = ""
    low: float | None = None
    high: float | None = None
    needed: bool = False
    help: str = ""


@dataclass(frozen=True)
class Stage:
    """One stage: its name and length, steps a minute and metronome beats (0 for none), the box of its heart rate."""

    title: str
    seconds: float
    rate_per_min: float
    beats_per_min: float
    fills: str


@dataclass(frozen=True)
class FieldTest:
    """One test. ``methods``, ``norms`` are the beginnings of the names of formulas that apply to its result."""

    key: str
    title: str
    group: str
    steps: tuple[str, ...]
    stop: str
    source: str
    fields: tuple[FieldInput, ...]
    about: tuple[FieldInput, ...] = ()
    about_needed: bool = False  # whether a result may depend on it, and not only a comparison
    clock: Clock = ""
    seconds: float = 0
    trials: int = 1
    keep: Keep = ""
    most_s: float = 0
    counts: str = ""
    calls: tuple[str, ...] = ()
    methods: str = ""
    norms: str = ""
    measure: str = ""
    stages: tuple[Stage, ...] = ()
    notes: tuple[str, ...] = field(default=())

    @property
    def inputs(self) -> tuple[FieldInput, ...]:
        """Everything that can be given, what was measured first."""
        return self.fields + self.about


@functools.cache
def field_tests() -> Mapping[str, FieldTest]:
    """Every test by its key, in the order of the file."""
    file = TomlFile.read(FILE)
    top = Table(file, (), file.values)
    about = {one.name: one for one in map(_input, top.tables("about"))}
    tests = [_test(table, about) for table in top.tables("test")]
    top.close()
    file.finish()
    return {one.key: one for one in tests}


def find_test(key: str) -> FieldTest:
    """The test of that key. Raises :class:`HalewardError` naming those there are."""
    if key not in field_tests():
        raise HalewardError(f"There is no test {key!r}; the tests are: {', '.join(field_tests())}.")
    return field_tests()[key]


def evaluate(test: FieldTest, values: Mapping[str, Value], about: About) -> tuple[Part, ...]:
    """What the measured ``values`` say, in parts with a title each.

    ``values`` holds fields of ``test`` by name; one that is missing or ``None`` was not measured. Raises
    :class:`HalewardError` for an unknown name, a value outside its range, a needed one that is missing, or two that
    contradict each other. What cannot be worked out is a :class:`NotComputed` among the results, never a guess.
    """
    known = {one.name: one for one in test.fields}
    for name in values:
        if name not in known:
            raise HalewardError(f"{test.title} has no field {name!r}; it has {', '.join(known)}.")
    for one in test.fields:
        check(one, values.get(name := one.name))
        if one.needed and values.get(name) is None:
            raise HalewardError(f"{one.label} is missing: {test.title} cannot be worked out without it.")
    rates = tuple((stage.fills, stage.rate_per_min) for stage in test.stages)
    given = Given(test.methods, test.norms, test.measure, test.keep, values, about, rates)
    parts = RECKONERS[test.key](given)
    return tuple(
        replace(part, results=tuple(without_answered(one, about) for one in part.results))
        for part in parts
        if part.results
    )


def check(one: FieldInput, value: Value) -> None:
    """Raise :class:`HalewardError` unless ``value`` is ``None`` or what the field takes; a near miss is asked about."""
    if value is None or one.low is None or one.high is None:
        return
    Range(one.low, one.high, one.unit or "1", one.label, whole=one.kind == "whole").check(value)


def _input(table: Table) -> FieldInput:
    kind = table.choice("kind", KINDS)
    limited = kind in ("number", "whole")
    made = FieldInput(
        name=table.text("name"),
        label=table.text("label"),
        kind=kind,
        unit=table.text("unit", ""),
        low=table.number("low") if limited else None,
        high=table.number("high") if limited else None,
        needed=table.flag("needed", False),
        help=table.text("help", ""),
    )
    table.close()
    return made


def _stage(table: Table) -> Stage:
    made = Stage(
        table.text("title"),
        table.number("seconds"),
        table.number("rate"),
        table.number("beats_per_min", 0.0),
        table.text("fills"),
    )
    table.close()
    return made


def _test(table: Table, about: Mapping[str, FieldInput]) -> FieldTest:
    asked = table.texts("about", ())
    for name in asked:
        if name not in about:
            table.wrong("about", f"there is no [[about]] named {name}")
    made = FieldTest(
        key=table.text("key"),
        title=table.text("title"),
        group=table.text("group"),
        steps=table.texts("steps"),
        stop=table.text("stop"),
        source=table.text("source"),
        fields=tuple(map(_input, table.tables("field"))),
        about=tuple(about[name] for name in asked if name in about),
        about_needed=table.flag("about_needed", False),
        clock=table.choice("clock", CLOCKS, ""),
        seconds=table.number("seconds", 0.0),
        trials=int(table.number("trials", 1.0)),
        keep=table.choice("keep", KEEPS, ""),
        most_s=table.number("most_s", 0.0),
        counts=table.text("counts", ""),
        calls=table.texts("calls", ()),
        methods=table.text("methods", ""),
        norms=table.text("norms", ""),
        measure=table.text("measure", ""),
        stages=tuple(map(_stage, table.tables("stage", required=False))),
        notes=table.texts("notes", ()),
    )
    table.close()
    return made


__all__ = ["About", "FieldInput", "FieldTest", "Part", "Stage", "check", "evaluate", "field_tests", "find_test"]
