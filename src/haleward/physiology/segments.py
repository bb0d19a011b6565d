"""Mass, length and centre of the body's segments, by one named scheme at a time.

Two schemes: Winter after Dempster 1955 (either sex), and de Leva 1996 (by sex). Their segments end at different places
(a thigh from the trochanter or from the hip joint), so that one never completes the other. Lengths after Drillis and
Contini 1966 belong to Winter's scheme.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from haleward.errors import HalewardError
from haleward.formula import Choice, formula
from haleward.physiology.body import MASS, STATURE
from haleward.physiology.finding import cited
from haleward.physiology.tables import rows
from haleward.record import Sex
from haleward.units import cm_from_m

SEX = Choice(("female", "male"), "Sex")
WINTER = "winter"
LENGTH_SOURCE = "Drillis & Contini 1966, Winter Fig 4.1"
DE_LEVA_SOURCE = "de Leva 1996, J Biomech 29:1223"
WINTER_SOURCE = "Winter, Table 4.1, after Dempster 1955"
ONE_PERSON = "A mean of few people; no error for one person is known here. Never mix two schemes in one calculation."


@dataclass(frozen=True)
class Segment:
    """One segment of a scheme: all fractions, of body mass, stature or the segment's own length.

    ``radii`` of gyration about the centre of mass, by axis ("any" where the scheme has one for all).
    """

    scheme: str
    name: str
    mass_fraction: float
    centre_from_proximal: float
    length_of_stature: float | None
    radii: dict[str, float]
    ends: str
    source: str


@cache
def segments(scheme: str) -> dict[str, Segment]:
    """Every segment of "winter", "de_leva_female" or "de_leva_male". Raises :class:`HalewardError` for another."""
    found = {row["segment"]: _segment(row) for row in rows("segments") if row["scheme"] == scheme}
    if not found:
        known = " or ".join(dict.fromkeys(row["scheme"] for row in rows("segments")))
        raise HalewardError(f"There is no segment scheme {scheme!r}; it must be {known}.")
    return found


def segment(scheme: str, name: str) -> Segment:
    """One segment of one scheme. Raises :class:`HalewardError` naming those that the scheme has."""
    known = segments(scheme)
    if name not in known:
        raise HalewardError(f"The scheme {scheme} has no segment {name!r}; it has {', '.join(known)}.")
    return known[name]


def de_leva(sex: Sex | str) -> str:
    """The name of de Leva's scheme for a sex."""
    return f"de_leva_{sex}"


def _segment(row: dict[str, str]) -> Segment:
    key = row["scheme"], row["segment"]
    return Segment(
        row["scheme"],
        row["segment"],
        float(row["mass_fraction"]),
        float(row["centre_from_proximal"]),
        float(row["length_of_stature"]) if row["length_of_stature"] else None,
        {
            r["axis"]: float(r["fraction_of_length"])
            for r in rows("segment_radii")
            if (r["scheme"], r["segment"]) == key
        },
        row["ends"],
        cited(row),
    )


WINTER_SEGMENT = Choice(tuple(segments(WINTER)), "Segment")
DE_LEVA_SEGMENT = Choice(tuple(segments(de_leva("male"))), "Segment")
LENGTHS = {row["measure"]: row for row in rows("body_lengths") if row["source"] == LENGTH_SOURCE}


@formula(
    title="Mass of a segment (Winter)",
    equation="fraction × body mass",
    unit="kg",
    ranges={"mass_kg": MASS, "segment_name": WINTER_SEGMENT},
    source=WINTER_SOURCE,
    trust="seen second-hand",
    error=ONE_PERSON,
    elementwise=True,
)
def segment_mass_kg_winter(*, mass_kg: float, segment_name: str) -> float:
    """Mass of a segment by Winter's table, without regard to sex."""
    return segment(WINTER, segment_name).mass_fraction * mass_kg


@formula(
    title="Mass of a segment (de Leva 1996)",
    equation="fraction × body mass",
    unit="kg",
    ranges={"mass_kg": MASS, "sex": SEX, "segment_name": DE_LEVA_SEGMENT},
    source=DE_LEVA_SOURCE,
    trust="seen second-hand",
    error=ONE_PERSON,
    population="young active adults (from memory, unverified)",
    elementwise=True,
)
def segment_mass_kg_de_leva_1996(*, mass_kg: float, sex: str, segment_name: str) -> float:
    """Mass of a segment by de Leva's table for a sex."""
    return segment(de_leva(sex), segment_name).mass_fraction * mass_kg


@formula(
    title="Length of a segment (de Leva 1996)",
    equation="100 × fraction × stature",
    unit="cm",
    ranges={"stature_m": STATURE, "sex": SEX, "segment_name": DE_LEVA_SEGMENT},
    source=f"{DE_LEVA_SOURCE}; five of the men's lengths seen, the others from memory",
    trust="from memory, unverified",
    error=ONE_PERSON,
    population="young active adults (from memory, unverified)",
    elementwise=True,
)
def segment_length_cm_de_leva_1996(*, stature_m: float, sex: str, segment_name: str) -> float:
    """Length of a segment, in centimetres, between the ends that de Leva's table names."""
    known = segment(de_leva(sex), segment_name)
    if known.length_of_stature is None:
        raise HalewardError(f"De Leva's table has no length of {segment_name}.")
    return known.length_of_stature * cm_from_m(length_m=stature_m)


@formula(
    title="Centre of mass of a segment from its upper end (de Leva 1996)",
    equation="fraction × length of the segment",
    unit="cm",
    ranges={"stature_m": STATURE, "sex": SEX, "segment_name": DE_LEVA_SEGMENT},
    source=f"{DE_LEVA_SOURCE}; five of the men's lengths seen, the others from memory",
    trust="from memory, unverified",
    error=ONE_PERSON,
    population="young active adults (from memory, unverified)",
    elementwise=True,
)
def segment_centre_cm_de_leva_1996(*, stature_m: float, sex: str, segment_name: str) -> float:
    """Distance, in centimetres, of a segment's centre of mass from its proximal (or cranial) end."""
    length_cm = segment_length_cm_de_leva_1996(stature_m=stature_m, sex=sex, segment_name=segment_name)
    return segment(de_leva(sex), segment_name).centre_from_proximal * length_cm


@formula(
    title="Body length or height (Drillis and Contini 1966)",
    equation="100 × fraction × stature",
    unit="cm",
    ranges={"stature_m": STATURE, "body_measure": Choice(tuple(LENGTHS), "Measure")},
    source="Drillis and Contini 1966, in Winter, Figure 4.1; some fractions from memory",
    trust="seen second-hand",
    error=ONE_PERSON,
    elementwise=True,
)
def body_length_cm_drillis_contini_1966(*, stature_m: float, body_measure: str) -> float:
    """Length of a segment, or height of a landmark above the floor, in centimetres, as a fraction of stature."""
    return float(LENGTHS[body_measure]["fraction_of_stature"]) * cm_from_m(length_m=stature_m)
