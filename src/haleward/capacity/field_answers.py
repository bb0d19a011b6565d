"""Pieces from which the results of tests are made: a measured figure, a registered formula, limits and changes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from haleward.capacity.field_values import About, Given, Part, Reckoned, Result, Value
from haleward.capacity.predicted import compare_with
from haleward.capacity.reference_distance import SEX
from haleward.errors import HalewardError
from haleward.formula import REGISTRY, find
from haleward.physiology.finding import Finding, cited
from haleward.physiology.tables import rows, texts
from haleward.units import likely, shown
from haleward.worksheet import Figure, Input, NotComputed, Step, Worksheet

Pool = Mapping[str, Value | Figure]


def words(key: str, **values: object) -> str:
    """The sentence ``key`` of ``field_test_words.csv`` with its placeholders filled."""
    return texts("field_test_words")[key].format(**values)


def part(key: str, *results: Result) -> Part:
    """A part under the title ``part_<key>``."""
    return Part(key, words(f"part_{key}"), results)


def measured(title: str, value: float, unit: str, how: str, inputs: Sequence[Input], source: str = "") -> Reckoned:
    """What was counted or timed, without an error of its own."""
    figure = Figure(value, unit)
    step = Step(title, how, tuple(inputs), value, unit, source)
    text = likely(figure)
    return Reckoned(title, figure, text, Worksheet(title, text, (step,), (), figure))


def pool_of(about: About, **measured_values: Value) -> dict[str, Value]:
    """The arguments known for any formula: what was measured, and the person as far as it is given."""
    known: dict[str, Value] = {
        "sex": about.sex,
        "age_y": about.age_y,
        "stature_m": about.stature_m,
        "mass_kg": about.mass_kg,
        "bmi_kg_per_m2": about.bmi_kg_per_m2,
    }
    return known | measured_values


def by_formula(name: str, pool: Pool, *, title: str = "", cautions: tuple[str, ...] = ()) -> Reckoned | NotComputed:
    """The result of a registered formula, or why it cannot be used: what is missing, or its own refusal."""
    known = find(name)
    title = title or known.title
    if missing := lacking(known.ranges, pool):
        return missing_of(title, missing)
    arguments: dict[str, Any] = {
        key: value for key in known.ranges if (value := pool[key]) is not None and not isinstance(value, bool)
    }
    try:
        sheet = known.worksheet(title, cautions=cautions, **arguments)
    except HalewardError as refused:
        return NotComputed(title, str(refused))
    figure = sheet.figure or Figure(float(sheet.steps[-1].result), known.unit)
    return Reckoned(title, figure, sheet.result, sheet)


def lacking(ranges: Mapping[str, object], pool: Pool) -> tuple[str, ...]:
    """The labels of arguments that the pool does not hold; for body mass index, height and weight."""
    found = [str(getattr(limits, "label", key)) for key, limits in ranges.items() if pool.get(key) is None]
    return tuple(dict.fromkeys(one[0].lower() + one[1:] for one in found))


def missing_of(title: str, missing: Iterable[str]) -> NotComputed:
    """A result that waits for what is missing."""
    labels = tuple(missing)
    ask = tuple(words("needs_ask", missing=label) for label in labels)
    return NotComputed(title, words("needs", missing=" and ".join(labels)), ask)


def without_answered(result: Result, about: About) -> Result:
    """A result without the questions that the form has answered: a device may be unknown while the rhythm is known."""
    if not isinstance(result, NotComputed):
        return result
    given = {"ask_rhythm": about.rhythm, "ask_device": about.device_kind, "ask_medicines": about.slowed}
    answered = [texts("capacity_wording")[key] for key, value in given.items() if value is not None]
    return replace(result, ask=tuple(question for question in result.ask if question not in answered))


def names_from(prefixes: str, unit: str, *, sex: str | None) -> tuple[str, ...]:
    """The registered formulas whose name begins with one of the words of ``prefixes`` and whose result has ``unit``.

    One made for women or men alone is left out for the other sex.
    """
    other = {"female": "_men_", "male": "_women_"}.get(sex or "", "")
    return tuple(
        name
        for prefix in prefixes.split()
        for name, known in REGISTRY.items()
        if name.startswith(prefix) and known.unit == unit and not (other and other in name)
    )


def percent_of_predicted(name: str, pool: Pool, distance_m: float) -> Reckoned | NotComputed:
    """The share of the distance that equation ``name`` predicts, with its error, and the lower limit where known."""
    title = find(name).title
    ranges = find(name).ranges
    if missing := lacking({"sex": SEX, **ranges}, pool):
        return missing_of(title, missing)
    arguments = {key: value for key in ranges if key != "sex" and isinstance(value := pool[key], int | float)}
    try:
        found = compare_with(name, distance_m=distance_m, sex=str(pool["sex"]), **arguments)
        figure = find("percent_predicted").figure(distance_m=distance_m, predicted_m=found.predicted_m)
    except HalewardError as refused:
        return NotComputed(title, str(refused))
    text = words("percent_of", percent=likely(figure), predicted=shown(found.predicted_m.value, "m"))
    detail = ""
    if found.lower_limit_m is not None:
        key = "under_lower_limit" if found.below_lower_limit else "above_lower_limit"
        detail = words(key, limit=shown(found.lower_limit_m, "m"))
    return Reckoned(title, figure, text, found.worksheet, detail)


def change_notes(measure: str) -> tuple[Finding, ...]:
    """The difference that matters for a measure, by population."""
    known = [row for row in rows("change_that_matters") if measure and row["measure"] == measure and row["important"]]
    return tuple(_change_note(row) for row in known)


def _change_note(row: Mapping[str, str]) -> Finding:
    important, detectable = (_amount(float(row[key] or 0), row["unit"]) for key in ("important", "detectable"))
    text = words(
        "change_error" if row["detectable"] else "change_only",
        important=important,
        detectable=detectable,
        population=row["population_label"][0].upper() + row["population_label"][1:],
    )
    return Finding(row["measure"], important, text, False, cited(row))


def _amount(value: float, unit: str) -> str:
    return f"{value:g} {unit.removesuffix('s') if value == 1 and unit in ('points', 'repetitions') else unit}"


def best_trial(given: Given) -> Reckoned | NotComputed:
    """The trial that counts, by the test's own rule."""
    times = {name: one for n in (1, 2, 3) if (one := given.number(name := f"trial_{n}_s")) is not None}
    if not times:
        return NotComputed(words("best_time"), words("needs", missing=words("best_time").lower()))
    value = max(times.values()) if given.keep == "most" else min(times.values())
    how = words(f"best_{given.keep}" if given.keep and len(times) > 1 else "best_only")
    inputs = [Input(f"Trial {name[6]}", one, "s") for name, one in times.items()]
    return measured(words("best_time"), value, "s", how, inputs)
