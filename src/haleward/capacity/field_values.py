"""What goes into the working out of a test and what comes out: plain values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import TypeAlias

from haleward.capacity.void import facts_of
from haleward.errors import Inconsistent
from haleward.physiology.finding import Finding
from haleward.record import Device, DeviceKind, Medicine, Record, Rhythm, Sex
from haleward.worksheet import Figure, NotComputed, Worksheet

Value: TypeAlias = float | int | bool | str | None


@dataclass(frozen=True, kw_only=True)
class About:
    """The person as far as a result depends on them; ``None`` is unknown. Nothing here says who they are.

    ``on`` is the day of the test. ``walk_methods`` are the formulas that the team's protocol names for capacity, the
    six-minute walk first and the shuttle walk second.
    """

    on: date
    sex: Sex | None = None
    age_y: float | None = None
    stature_m: float | None = None
    mass_kg: float | None = None
    rhythm: Rhythm | None = None
    slowed: bool | None = None
    device_kind: DeviceKind | None = None
    transplant: bool | None = None
    walk_methods: tuple[str, str] = ("", "")

    @property
    def bmi_kg_per_m2(self) -> float | None:
        """Body mass index, if both parts are known."""
        if self.stature_m is None or self.mass_kg is None:
            return None
        return self.mass_kg / self.stature_m**2

    @property
    def facts(self) -> dict[str, bool | None]:
        """What can void a method, by the names of ``void_facts.csv``; what was not given is unknown."""
        medicines = {None: None, True: (Medicine("beta_blocker", ""),), False: ()}[self.slowed]
        device = None if self.device_kind is None else Device(self.device_kind)
        known = facts_of(Record("", "", self.on, medicines=medicines, rhythm=self.rhythm, device=device))
        return known | {"transplant": self.transplant}


@dataclass(frozen=True)
class Reckoned:
    """A result: its figure, the same in words with its error, the working, and what else belongs to it."""

    title: str
    figure: Figure
    text: str
    worksheet: Worksheet
    detail: str = ""
    ask: tuple[str, ...] = ()


Result: TypeAlias = Reckoned | Finding | NotComputed


@dataclass(frozen=True)
class Part:
    """Results that belong together, under a title; ``key`` is which part it is ("measured", "limits", ...)."""

    key: str
    title: str
    results: tuple[Result, ...]


@dataclass(frozen=True)
class Given:
    """What was measured in one test, and what the test's own data say about its result."""

    methods: str
    norms: str
    measure: str
    keep: str
    values: Mapping[str, Value]
    about: About
    stage_rates: tuple[tuple[str, float], ...] = ()  # box of the stage's heart rate, steps a minute

    def number(self, name: str) -> float | None:
        """A measured number; ``None`` if it was not measured."""
        value = self.values.get(name)
        return None if value is None or isinstance(value, bool | str) else float(value)

    def yes(self, name: str) -> bool | None:
        """A yes/no answer; ``None`` if it was not given."""
        value = self.values.get(name)
        return value if isinstance(value, bool) else None

    def text(self, name: str) -> str:
        """A chosen word; "" if none was chosen."""
        value = self.values.get(name)
        return value if isinstance(value, str) else ""

    def one_of_two(self, counted: float | None, typed: float | None, what: str) -> float | None:
        """The result by counting or as typed. Raises :class:`Inconsistent` if both are given and differ."""
        if counted is not None and typed is not None and counted != typed:
            raise Inconsistent(
                f"{what} is {counted:g} by the count and {typed:g} as typed. Empty one of the two, or put it right."
            )
        return typed if counted is None else counted
