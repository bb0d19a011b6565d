"""Function tests: chair stand, up-and-go, gait, balance, grip, and the short physical performance battery."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from typing import Literal

from haleward.capacity.norms import norm_findings
from haleward.errors import Inconsistent
from haleward.formula import Range, formula
from haleward.physiology.finding import Finding as Finding
from haleward.physiology.finding import cited, findings_in
from haleward.physiology.tables import rows, settings, texts
from haleward.record import Record, Sex
from haleward.units import shown
from haleward.worksheet import NotComputed

STANCE = Range(0, 60, "s", "Stance held")
TIMED = Range(0.5, 600, "s", "Time")
Unable = Literal["unable"]


@dataclass(frozen=True)
class SppbScore:
    """Points of the short physical performance battery: each part 0 to 4, together 0 to 12."""

    balance: int
    gait: int
    chair_rises: int

    @property
    def total(self) -> int:
        """Sum of the three parts."""
        return self.balance + self.gait + self.chair_rises


@formula(
    title="Usual gait speed",
    equation="distance ÷ time",
    unit="m/s",
    ranges={"distance_m": Range(1, 50, "m", "Timed distance"), "duration_s": TIMED},
    source="Definition of mean speed",
    trust="definition",
)
def gait_speed_m_per_s(*, distance_m: float, duration_s: float) -> float:
    """Mean speed over the timed part of the walk."""
    return distance_m / duration_s


def findings_for(test: str, value: float, *, sex: Sex | None = None) -> tuple[Finding, ...]:
    """Every published cut-off of ``test`` applied to ``value``, met or not.

    Cut-offs that differ by sex are left out when the sex is not recorded. Raises :class:`HalewardError` for a test
    without cut-offs or a value that is not a number.
    """
    return findings_in("function_cutoffs", test, value, sex=sex)


def chair_stand_score(*, repetitions: int, arms_used: bool | None) -> int | NotComputed:
    """The score of the 30 s chair stand: with the arms used it is 0 (CDC STEADI, seen second-hand)."""
    Range(0, 60, "repetitions", "Chair stands in 30 s", whole=True).check(repetitions)
    if arms_used is None:
        wording = texts("function_wording")
        return NotComputed("Chair stand score", wording["arms_unknown"], (wording["ask_arms"],))
    return 0 if arms_used else repetitions


def gait_class(speed_m_per_s: float) -> Finding:
    """Where a usual gait speed carries a person: household, limited community or community (Perry 1995)."""
    Range(0, 3, "m/s", "Usual gait speed").check(speed_m_per_s)
    row = next(r for r in rows("gait_classes") if not r["at_most"] or _reaches(r, speed_m_per_s))
    return Finding(
        "gait_speed_m_per_s", shown(speed_m_per_s, "m/s"), row["meaning"], row["flagged"] == "yes", cited(row)
    )


def _reaches(row: dict[str, str], speed_m_per_s: float) -> bool:
    top = float(row["at_most"])
    return speed_m_per_s < top or (row["top_included"] == "yes" and speed_m_per_s == top)


def chair_stand_finding(*, repetitions: int, age_y: int | None, sex: Sex | None) -> Finding | NotComputed:
    """The 30 s chair stand against the norm for age and sex; no norm under 60 or over 94 years."""
    Range(0, 60, "repetitions", "Chair stands in 30 s", whole=True).check(repetitions)
    wording = texts("function_wording")
    if age_y is None or sex is None:
        asked = (wording["ask_born"],) * (age_y is None) + (wording["ask_sex"],) * (sex is None)
        return NotComputed("Chair stand norm", wording["norm_incomplete"], asked)
    for row in rows("chair_stand_30s"):
        if row["sex"] == sex and int(row["age_from"]) <= age_y <= int(row["age_to"]):
            limit = int(row["below_average_under"])
            key = "chair_stand_below" if repetitions < limit else "chair_stand_normal"
            meaning = wording[key].format(limit=limit)
            shown_count = shown(repetitions, "repetitions")
            return Finding("chair_stands_30s", shown_count, meaning, repetitions < limit, cited(row))
    return NotComputed("Chair stand norm", wording["no_chair_norm"].format(age=age_y))


def sppb(
    *,
    side_by_side_s: float | None,
    semi_tandem_s: float | None,
    tandem_s: float | None,
    gait_4m_s: float | Unable | None,
    chair_rises_5_s: float | Unable | None,
    gait_3m_s: float | Unable | None = None,
) -> SppbScore | NotComputed:
    """Points from the parts, gait as the better of two. ``None`` is not tested, ``"unable"`` is tested and unable.

    The gait course is 4 m; a 3 m course has bands of its own and is given as ``gait_3m_s``, never both (raises
    :class:`Inconsistent`). A stance after a failed one is not asked for. Times are taken to the hundredth. Source: see
    ``sppb_points.csv``.
    """
    wording = texts("function_wording")
    if gait_4m_s is not None and gait_3m_s is not None:
        raise Inconsistent(wording["two_gait_courses"])
    balance, asked = _balance(side_by_side_s, semi_tandem_s, tandem_s)
    course, gait = ("gait_4m", gait_4m_s) if gait_3m_s is None else ("gait_3m", gait_3m_s)
    if gait is None:
        asked.append(wording["ask_gait"])
    if chair_rises_5_s is None:
        asked.append(wording["ask_rises"])
    if asked or gait is None or chair_rises_5_s is None:
        return NotComputed("Short physical performance battery", wording["sppb_incomplete"], tuple(asked))
    return SppbScore(balance, _timed_points(course, gait), _timed_points("chair_rises", chair_rises_5_s))


def findings(record: Record, *, today: date) -> tuple[Finding | NotComputed, ...]:
    """What every recorded function test of the person means; tests that were not done are left out.

    First the cut-offs, then the norms of the person's age on the day of the tests.
    """
    tests, found = record.tests, list[Finding | NotComputed]()
    age = record.age_y(tests.tested_on or today)
    if tests.chair_stands_30s is not None:
        found.append(chair_stand_finding(repetitions=tests.chair_stands_30s, age_y=age, sex=record.sex))
    for name in ("up_and_go_s", "gait_speed_m_per_s", "tandem_s", "sppb_points"):
        value = getattr(tests, name)
        if value is not None:
            found.extend(findings_for(name, value, sex=record.sex))
    for name in ("chair_stands_30s", "up_and_go_s", "gait_speed_m_per_s"):
        value = getattr(tests, name)
        if value is not None:
            found.extend(norm_findings(name, value, age_y=age, sex=record.sex))
    return tuple(found)


def _balance(
    side_by_side_s: float | None, semi_tandem_s: float | None, tandem_s: float | None
) -> tuple[int, list[str]]:
    """Balance points so far, and the question for the first stance that is still unknown."""
    wording, known = texts("function_wording"), settings("field_test_settings")
    for points, seconds, ask in ((0, side_by_side_s, "ask_side_by_side"), (1, semi_tandem_s, "ask_semi_tandem")):
        if seconds is None:
            return points, [wording[ask]]
        STANCE.check(seconds)
        if seconds < known["stance_held_s"]:
            return points, []
    if tandem_s is None:
        return 2, [wording["ask_tandem"]]
    STANCE.check(tandem_s)
    if tandem_s >= known["stance_held_s"]:
        return 4, []
    return (3 if tandem_s >= known["tandem_part_s"] else 2), []


def _timed_points(part: str, seconds: float | Unable) -> int:
    if seconds == "unable":
        return 0
    TIMED.check(seconds)
    hundredths = Decimal(repr(float(seconds))).quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)
    bands = [row for row in rows("sppb_points") if row["part"] == part]
    return next(int(row["points"]) for row in bands if not row["at_most_s"] or hundredths <= Decimal(row["at_most_s"]))
