"""Pieces from which the results of tests are made: a measured figure, a registered formula, limits and changes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from haleward.capacity.field_values import About, Given, Part, Reckoned, Result, Value
from haleward.capacity.function_tests import Finding
from haleward.errors import HalewardError
from haleward.formula import REGISTRY, find
from haleward.physiology.tables import rows, texts
from haleward.units import likely, shown
from haleward.worksheet import Figure, Input, NotComputed, Step, Worksheet

Pool = Mapping[str, Value]


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
    arguments = {key: value for key in known.ranges if (value := pool[key]) is not None}
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
    """The share of the distance that equation ``name`` predicts, with the equation's error where one is known."""
    predicted = by_formula(name, pool)
    title = find(name).title
    if isinstance(predicted, NotComputed):
        return predicted
    try:
        share = find("percent_predicted").step(distance_m=distance_m, predicted_m=predicted.figure)
    except HalewardError as refused:
        return NotComputed(title, str(refused))
    figure = Figure(float(share.result), share.unit, share.low, share.high)
    text = words(
        "percent_of",
        percent=likely(figure),
        predicted=shown(predicted.figure.value, "m"),
        equation=title[title.rfind("(") + 1 : -1],
    )
    sheet = predicted.worksheet
    made = Worksheet(title, likely(figure), (*sheet.steps, share), sheet.cautions, figure)
    return Reckoned(title, figure, text, made)


def change_notes(measure: str) -> tuple[Finding, ...]:
    """The difference that matters for a measure, by population."""
    return tuple(
        Finding(
            row["method"],
            f"{float(row['important']):g} {row['unit']}",
            words(
                "change_error" if row["detectable"] else "change_only",
                important=f"{float(row['important']):g} {row['unit']}",
                detectable=f"{float(row['detectable'] or 0):g} {row['unit']}",
                population=row["population_label"].capitalize(),
            ),
            False,
            f"{row['source']} [{row['trust']}]",
        )
        for row in rows("change_that_matters")
        if measure and row["measure"] == measure
    )


def best_trial(given: Given) -> Reckoned | NotComputed:
    """The trial that counts, by the test's own rule."""
    times = {name: one for n in (1, 2, 3) if (one := given.number(name := f"trial_{n}_s")) is not None}
    if not times:
        return NotComputed(words("best_time"), words("needs", missing=words("best_time").lower()))
    value = max(times.values()) if given.keep == "most" else min(times.values())
    how = words(f"best_{given.keep}" if given.keep and len(times) > 1 else "best_only")
    inputs = [Input(f"Trial {name[6]}", one, "s") for name, one in times.items()]
    return measured(words("best_time"), value, "s", how, inputs)
