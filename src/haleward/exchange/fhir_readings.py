"""Measured values of a referral: Observations by LOINC code in the domain's units, or why one was left out."""

from __future__ import annotations

import re
from datetime import date

from haleward.errors import HalewardError
from haleward.exchange.fhir_bundle import Resource
from haleward.exchange.fhir_node import Node, codes
from haleward.exchange.fhir_tables import ReadingCode, reading_codes
from haleward.exchange.guards import check_blood_pressure, check_range
from haleward.exchange.proposal import ProposedReading

LOINC = "http://loinc.org"
_RESTING_RATE, _ANY_RATE = "40443-4", "8867-4"
_UNITS = {
    "mmhg": "mm[Hg]",
    "beats/minute": "/min",
    "beats/min": "/min",
    "bpm": "/min",
    "lbs": "[lb_av]",
    "lb": "[lb_av]",
}
_REFUSED = ("cancelled", "entered-in-error", "registered")


def readings(resource: Resource) -> tuple[tuple[ProposedReading, ...], tuple[str, ...]]:
    """The readings of one Observation, and one sentence for each value of ours that was left out."""
    nodes = [resource, *resource.children("component")]
    mine = [(node, *pair) for node in nodes if (pair := _known(node)) is not None]
    if not mine:
        return (), ()
    status = resource.text("status")
    if status in _REFUSED:
        return (), (f"{resource.path}: left out, because its status is {status}.",)
    given = resource.day("effectiveDateTime") or resource.child("effectivePeriod").day("start")
    remarks = [] if given and given.on else ["The day of the reading is not given in full; ask."]
    if status == "preliminary":
        remarks.append("The reading is marked preliminary.")
    found, left_out = [], []
    for node, code, known in mine:
        if node is resource and len(mine) > 1 and not _has_value(node):
            continue  # a panel carries its values in the components
        if code == _ANY_RATE and resource.has("effectivePeriod"):
            left_out.append(f"{node.path}: left out, because it is a heart rate over a period, not one at rest.")
            continue
        try:
            found.append(_reading(node, code, known, taken_on=given.on if given else None, remarks=remarks))
        except HalewardError as error:
            left_out.append(f"{node.path}: left out. {error}")
    return _ordered(resource, found, left_out)


def _ordered(
    resource: Resource, found: list[ProposedReading], left_out: list[str]
) -> tuple[tuple[ProposedReading, ...], tuple[str, ...]]:
    """The same, without a blood pressure whose upper value is not above its lower one."""
    values = {reading.name: reading.value for reading in found}
    try:
        if {"systolic_mmhg", "diastolic_mmhg"} <= values.keys():
            check_blood_pressure(values["systolic_mmhg"], values["diastolic_mmhg"])
    except HalewardError as error:
        return (), (*left_out, f"{resource.path}: left out. {error}")
    return tuple(found), tuple(left_out)


def _known(node: Node) -> tuple[str, ReadingCode] | None:
    """The most telling of the node's LOINC codes that is read here, a resting rate before any rate."""
    held = codes(node, "code", LOINC)
    return next(((code, known) for code, known in reading_codes().items() if code in held), None)


def _has_value(node: Node) -> bool:
    return any(key.startswith("value") for key in node.data)


def _reading(
    node: Node, code: str, known: ReadingCode, *, taken_on: date | None, remarks: list[str]
) -> ProposedReading:
    number, unit, assumed = _value(node, known)
    value = round(number * known.factors[unit], 9)
    check_range(value, quantity=known.quantity, per_unit=known.factors[unit], unit=unit)
    if code == _ANY_RATE:
        assumed = f"{assumed} The referral does not say that this heart rate was taken at rest; ask.".strip()
    words = " ".join(filter(None, (assumed, *remarks)))
    return ProposedReading(known.reading, value, known.shown_unit, taken_on, f"{node.path}.value", words)


def _value(node: Node, known: ReadingCode) -> tuple[float, str, str]:
    """Number, unit and what was assumed; a quantity, a whole number or a plain number in a text."""
    if node.has("valueQuantity"):
        return _quantity(node.child("valueQuantity"), known)
    only = next(iter(known.factors)) if len(known.factors) == 1 else ""
    number = node.number("valueInteger")
    text = node.text("valueString")
    if number is None and re.fullmatch(r"\d+(\.\d+)?", text):
        number = float(text)
    if number is None:
        why = "it says that no value is available" if node.has("dataAbsentReason") else "it holds no number"
        raise HalewardError(f"There is no value to read: {why}.")
    if not only:
        raise HalewardError("The number has no unit; ask which unit it is in.")
    return number, only, f"The number came without a unit and was taken as {only}."


def _quantity(quantity: Node, known: ReadingCode) -> tuple[float, str, str]:
    number = quantity.number("value")
    if number is None:
        raise HalewardError("The quantity holds no number.")
    if quantity.has("comparator"):
        raise HalewardError(
            f'The value is given as "{quantity.text("comparator")} {number:g}", which is no single number.'
        )
    stated = quantity.text("code") or quantity.text("unit")
    unit = stated if stated in known.factors else _UNITS.get(stated.lower(), stated)
    if not stated:
        raise HalewardError("The number has no unit; ask which unit it is in.")
    if unit not in known.factors:
        raise HalewardError(f'The unit "{stated}" is not read here; expected is {" or ".join(known.factors)}.')
    return number, unit, ""
