"""Neighbouring bands of one number: a hole between them, or an overlap where one should end and the next begin."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import inf

from haleward.safety.analysis.asked import occasions
from haleward.safety.analysis.finding import Finding
from haleward.safety.analysis.intervals import Band, Scale, bands_of, empty
from haleward.safety.inputs import default_inputs
from haleward.safety.protocol import Protocol
from haleward.safety.sentences import amount

POSTURES = ("seated", "hand_supported", "wide_base_standing", "standing")  # effects that share one scale out


def band_findings(protocol: Protocol) -> Iterator[Finding]:
    """Gaps and overlaps of rules asked together, of risk items and of placement rules.

    Risk items and placement rules share a number out, so any hole is told. Rules leave the normal range free, so a
    hole between them is told only if it is a single point, or narrower than the band beside it.
    """
    for rules in occasions(protocol).values():
        yield from _of("rule", [band for rule in rules for band in bands_of(rule.id, rule.condition)], shared=False)
    items = [band for item in protocol.stratification.items for band in bands_of(item.id, item.condition)]
    yield from _of("risk_item", items, shared=True)
    placed = [rule for rule in protocol.placement.rules if rule.effect in POSTURES]
    bands = [band for rule in placed for band in bands_of(rule.id, rule.condition)]
    yield from _of("placement_rule", bands, shared=True)


def _of(section: str, bands: list[Band], *, shared: bool) -> Iterator[Finding]:
    for scale in dict.fromkeys(band.scale for band in bands):
        on_scale = [band for band in bands if band.scale == scale]
        for context in dict.fromkeys(band.context for band in on_scale):
            together = [band for band in on_scale if band.context <= context]
            yield from _holes(section, together, shared=shared)
            yield from _overlaps(section, together)


def _holes(section: str, bands: Iterable[Band], *, shared: bool) -> Iterator[Finding]:
    ordered = sorted(bands, key=lambda band: (band.low, not band.low_in))
    reach = ordered[0]
    for band in ordered[1:]:
        hole = not empty(reach.high, not reach.high_in, band.low, not band.low_in, whole=band.scale.whole)
        if hole and reach.owner != band.owner and (shared or _narrow(reach, band)):
            yield _gap(section, reach, band)
        if (band.high, band.high_in) > (reach.high, reach.high_in):
            reach = band


def _narrow(below: Band, above: Band) -> bool:
    """Whether the hole between two bands is a point, or narrower than a closed band beside it."""
    width = above.low - below.high
    return width == 0 or any(width < band.width for band in (below, above) if band.closed)


def _gap(section: str, below: Band, above: Band) -> Finding:
    scale = above.scale
    said = f"{_title(section)} {below.owner} and {above.owner} leave a gap: {_between(below, above)} falls in neither."
    said += f" Let {above.owner} begin where {below.owner} ends."
    return Finding("gap", (above.owner, below.owner, scale.input), (section, above.owner), said)


def _overlaps(section: str, bands: list[Band]) -> Iterator[Finding]:
    for place, one in enumerate(bands):
        for other in bands[place + 1 :]:
            nested = one.within(other) or other.within(one)
            if one.owner != other.owner and one.meets(other) and not nested:
                below, above = sorted((one, other), key=lambda band: (band.low, not band.low_in))
                said = f"{_title(section)} {below.owner} and {above.owner} overlap: {_shared(below, above)} falls in"
                said += f" both. Let {above.owner} begin where {below.owner} ends."
                ids = (above.owner, below.owner, one.scale.input)
                yield Finding("overlap", ids, (section, above.owner), said)


def _between(below: Band, above: Band) -> str:
    """The hole in words."""
    scale = above.scale
    if below.high == above.low:
        return f"{scale.label} of exactly {_at(scale, above.low)}"
    start = "over" if below.high_in else "from"
    end = "to under" if above.low_in else "to"
    return f"{scale.label} {start} {_at(scale, below.high)} {end} {_at(scale, above.low)}"


def _shared(below: Band, above: Band) -> str:
    """The overlap in words."""
    scale, high = above.scale, min(below.high, above.high)
    if above.low == high:
        return f"{scale.label} of exactly {_at(scale, high)}"
    start = "from" if above.low_in else "over"
    if high == inf:
        return f"{scale.label} {start} {_at(scale, above.low)}"
    return f"{scale.label} {start} {_at(scale, above.low)} to {_at(scale, high)}"


def _at(scale: Scale, number: float) -> str:
    found = default_inputs()[scale.input]
    if not scale.other:
        return amount(found, number)
    base = f"{scale.times:g} times " if scale.times != 1 else ""
    sign = f" {'plus' if number > 0 else 'minus'} {abs(number):g}" if number else ""
    return f"{base}{default_inputs()[scale.other].label}{sign}"


def _title(section: str) -> str:
    return {"rule": "Rules", "risk_item": "Risk items", "placement_rule": "Placement rules"}[section]
