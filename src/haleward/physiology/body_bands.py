"""Bands of body mass index, waist and waist-to-height, by the family background that the person states.

The background chooses the band and nothing else; where it was not asked, nothing is said. Bands start at their lower
limit.
"""

from __future__ import annotations

from haleward.errors import HalewardError
from haleward.formula import Range
from haleward.physiology.finding import Finding, cited, held_against
from haleward.physiology.tables import rows, texts
from haleward.record import Sex
from haleward.units import cm_from_m, shown
from haleward.worksheet import NotComputed

BMI = Range(10, 80, "kg/m²", "Body mass index")
WAIST = Range(0.4, 2.0, "m", "Waist")
RATIO = Range(0.2, 1.5, "1", "Waist-to-height ratio")


def family_backgrounds() -> dict[str, str]:
    """The codes of the family backgrounds with their words."""
    return {row["code"]: row["label"] for row in rows("family_backgrounds")}


def bmi_finding(bmi_kg_per_m2: float, *, background: str | None) -> Finding | NotComputed:
    """The band of a body mass index. Raises :class:`HalewardError` for an unknown background or an impossible index."""
    BMI.check(bmi_kg_per_m2)
    setting = _setting(background, "bmi_setting")
    if isinstance(setting, NotComputed):
        return setting
    row = [r for r in rows("bmi_bands") if r["setting"] == setting and bmi_kg_per_m2 >= float(r["from"])][-1]
    return _in_band("body_mass_index", shown(bmi_kg_per_m2, "kg/m²"), row)


def waist_findings(waist_m: float, *, sex: Sex | None, background: str | None) -> tuple[Finding, ...] | NotComputed:
    """The waist against each limit for this sex and background. Raises :class:`HalewardError`."""
    WAIST.check(waist_m)
    wording = texts("physiology_wording")
    setting = _setting(background, "waist_setting")
    if isinstance(setting, NotComputed):
        return setting
    if not setting:
        named = family_backgrounds()[str(background)]
        return NotComputed("Waist", wording["no_waist_band"].format(background=named))
    if sex is None:
        return NotComputed("Waist", wording["sex_unknown"], (wording["ask_sex"],))
    fitting = [row for row in rows("waist_bands") if (row["setting"], row["sex"]) == (setting, sex)]
    return tuple(held_against(row, test="waist_cm", value=cm_from_m(length_m=waist_m)) for row in fitting)


def waist_to_height_finding(ratio: float, *, bmi_kg_per_m2: float | None) -> Finding | NotComputed:
    """The band of a waist-to-height ratio; only with a body mass index under 35. Raises :class:`HalewardError`."""
    RATIO.check(ratio)
    wording = texts("physiology_wording")
    bands = rows("waist_to_height_bands")
    under = float(bands[0]["bmi_under"])
    limit = wording["ratio_bmi"].format(limit=f"{under:g}")
    if bmi_kg_per_m2 is None:
        return NotComputed("Waist-to-height ratio", limit, (wording["ask_bmi"],))
    BMI.check(bmi_kg_per_m2)
    if bmi_kg_per_m2 >= under:
        return NotComputed("Waist-to-height ratio", limit)
    within = [row for row in bands if ratio >= float(row["from"])]
    if not within:
        return Finding("waist_to_height", shown(ratio, "1"), wording["under_bands"], False, cited(bands[0]))
    return _in_band("waist_to_height", shown(ratio, "1"), within[-1])


def _setting(background: str | None, column: str) -> str | NotComputed:
    if background is None:
        wording = texts("physiology_wording")
        return NotComputed("Body band", wording["background_unknown"], (wording["ask_background"],))
    for row in rows("family_backgrounds"):
        if row["code"] == background:
            return row[column]
    raise HalewardError(
        f"There is no family background {background!r}; it must be {' or '.join(family_backgrounds())}."
    )


def _in_band(test: str, result: str, row: dict[str, str]) -> Finding:
    """The finding of one band, with its ends."""
    ends = f"{float(row['from']):g} to under {float(row['to']):g}" if row["to"] else f"{float(row['from']):g} or more"
    return Finding(test, result, f"{row['label']} ({ends})", row["flagged"] == "yes", cited(row))
