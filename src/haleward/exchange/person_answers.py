"""The ``[answers]`` and ``[service]`` sections of a person's file: keys that are themselves data."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from functools import cache

from haleward.exchange.guards import check_glucose_mmol, check_range
from haleward.exchange.person_table import PersonTable, as_float
from haleward.physiology.tables import rows
from haleward.record import DayCheck
from haleward.safety.own_words import unsayable
from haleward.wording import Service

Answer = bool | float | str
_KINDS = {"bool": "true or false", "number": "a number", "text": "text in quotes"}


def read_answers(table: PersonTable) -> dict[str, Answer]:
    """Safety inputs by name, each of its type and within its plausible range.

    A name that the file states elsewhere (a date, a reading) is a fault: two places could disagree.
    """
    found = {}
    for name, value in table.rest().items():
        answer = _answer(table, name, value)
        if answer is not None:
            found[name] = answer
    return found


def read_day(table: PersonTable) -> DayCheck | None:
    """The answers of one day (``[today]``), with the time they were asked; None if it is not there."""
    asked_at = table.moment("asked_at", required=table.written)
    answers = read_answers(table)
    return None if asked_at is None else DayCheck(asked_at, answers, entered_by="staff")


def read_service(table: PersonTable) -> Service:
    """The service's name and its numbers, by the placeholder of the wording that each one fills."""
    name = table.text("name", most=80)
    values = {}
    for key, value in table.rest().items():
        if key not in service_keys():
            table.fault(key, f'"{key}" is not a key of [service]; {_nearest(key, service_keys())}')
        elif type(value) is not str or not value.strip():
            table.fault(key, f'service.{key} must be text in quotes, for example "01632 960000".')
        else:
            values[key] = " ".join(value.split())
    return Service(name, values)


def service_notes(service: Service) -> tuple[str, ...]:
    """A sentence for each number that is kept as it was written, but does not fit into what it is said in."""
    return tuple(f"service.{key}: {why}" for key, text in service.values.items() if (why := unsayable(key, text)))


@cache
def service_keys() -> tuple[str, ...]:
    """The placeholders of the wording that a service fills (``data/tables/service.csv``)."""
    return tuple(row["key"] for row in rows("service"))


def _answer(table: PersonTable, name: str, value: object) -> Answer | None:
    kind, values = _inputs().get(name, ("", ()))
    quantity, instead = _rules().get(name, ("", ""))
    if not kind:
        table.fault(name, f'"{name}" is not a safety input; {_nearest(name, tuple(_inputs()))}')
    elif instead:
        table.fault(name, f"{table.label(name)}: this is read from {instead}; write it there only.")
    elif kind == "bool" and isinstance(value, bool):
        return value
    elif kind == "number" and isinstance(value, int | float) and not isinstance(value, bool):
        return table.guard(name, lambda: _number(table.label(name), as_float(value), quantity))
    elif kind == "text" and isinstance(value, str):
        return table.one_of(name, value, values) if values else value
    else:
        table.fault(name, f"{table.label(name)} must be {_KINDS[kind]}.")
    return None


def _number(label: str, value: float, quantity: str) -> float:
    if quantity == "glucose_mmol":
        return check_glucose_mmol(value)
    return check_range(value, quantity=quantity or "answer", field=label)


@cache
def _inputs() -> Mapping[str, tuple[str, tuple[str, ...]]]:
    """Type and allowed values of every safety input."""
    return {row["name"]: (row["type"], tuple(row["values"].split())) for row in rows("inputs")}


@cache
def _rules() -> Mapping[str, tuple[str, str]]:
    return {row["name"]: (row["quantity"], row["instead"]) for row in rows("answers")}


def _nearest(word: str, known: tuple[str, ...]) -> str:
    near = get_close_matches(word, known, n=1)
    return f'did you mean "{near[0]}"?' if near else "its names are listed in examples/README.md."
