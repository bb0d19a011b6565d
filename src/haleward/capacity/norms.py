"""Norms of the function tests by age and sex: what others of the same age do, never what this person should do.

Every row of ``function_norms.csv`` and of ``chair_stand_30s.csv``. Outside the tabled ages there is no norm, and it
says so; nothing is drawn on beyond them. A mean alone flags nothing: half of all healthy people are under it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from haleward.errors import HalewardError
from haleward.formula import Range
from haleward.physiology.finding import COMPARISONS, WORDS, Finding, cited
from haleward.physiology.tables import rows, texts
from haleward.record import Sex
from haleward.units import shown
from haleward.worksheet import NotComputed

CHAIR_STAND = "chair_stands_30s"
LIKELY_AGE = Range(0, 120, "years", "Age")
FIFTH_PERCENTILE_SD = 1.645


@dataclass(frozen=True)
class Norm:
    """One published norm. ``sex`` is "" for both; ``age_to`` is None where the oldest band is open.

    ``limit`` is the value beyond which (``worse_when``) the source calls a result worse; ``low`` and ``high`` are the
    source's own interval or normal range.
    """

    test: str
    sex: str
    age_from: int
    age_to: int | None
    unit: str
    kind: str
    value: float | None
    sd: float | None
    limit: float | None
    worse_when: str
    low: float | None
    high: float | None
    source: str

    @property
    def ages(self) -> str:
        """The ages in words, "60 to 69 years" or "70 years and over"."""
        first = self.age_from
        return f"{first} years and over" if self.age_to is None else f"{first} to {self.age_to} years"

    @property
    def group(self) -> str:
        """Whom the norm is of."""
        return texts("norm_wording")[f"group_{self.sex or 'both'}"].format(ages=self.ages)

    def holds_at(self, age_y: float, sex: Sex | None) -> bool:
        """Whether it is the norm of this age and sex; a band lasts until the birthday that ends it."""
        old_enough = math.floor(age_y) >= self.age_from
        return old_enough and (self.age_to is None or math.floor(age_y) <= self.age_to) and self.sex in ("", sex)


def norms(test: str) -> tuple[Norm, ...]:
    """Every norm of ``test``. Raises :class:`HalewardError` naming the tests that have one."""
    if test == CHAIR_STAND:
        return tuple(_chair_stand(row) for row in rows("chair_stand_30s"))
    found = tuple(_norm(row) for row in rows("function_norms") if row["test"] == test)
    if not found:
        tests = ", ".join(tests_with_norms())
        raise HalewardError(texts("norm_wording")["no_norm"].format(test=repr(test), tests=tests))
    return found


def tests_with_norms() -> tuple[str, ...]:
    """The tests that have a norm, by name."""
    return (CHAIR_STAND, *dict.fromkeys(row["test"] for row in rows("function_norms")))


def norms_for(test: str, *, age_y: float | None, sex: Sex | None) -> tuple[Norm, ...] | NotComputed:
    """The norms of this age and sex, or why there is none and what to ask."""
    known, wording, asked = norms(test), texts("function_wording"), texts("norm_wording")
    by_sex = any(norm.sex for norm in known)
    missing = (wording["ask_born"],) * (age_y is None) + (wording["ask_sex"],) * (by_sex and sex is None)
    if age_y is None or missing:
        return NotComputed(f"Norm of {test}", wording["norm_incomplete"], missing)
    LIKELY_AGE.check(age_y)
    fitting = tuple(norm for norm in known if norm.holds_at(age_y, sex))
    if fitting:
        return fitting
    ages = _span([norm for norm in known if norm.sex in ("", sex)])
    return NotComputed(f"Norm of {test}", asked["no_norm_age"].format(age=f"{age_y:g}", ages=ages))


def norm_findings(
    test: str, value: float, *, age_y: float | None, sex: Sex | None
) -> tuple[Finding | NotComputed, ...]:
    """``value`` held against every norm of this age and sex. Raises :class:`HalewardError` for an unknown test."""
    fitting = norms_for(test, age_y=age_y, sex=sex)
    if isinstance(fitting, NotComputed):
        return (fitting,)
    Range(0, 2000, fitting[0].unit, test).check(value)
    return tuple(_finding(norm, value) for norm in fitting)


def z_score(norm: Norm, value: float) -> float | None:
    """Standard deviations above the norm's mean; ``None`` where the norm has none."""
    return None if norm.value is None or not norm.sd else (value - norm.value) / norm.sd


def _finding(norm: Norm, value: float) -> Finding:
    meaning, flagged = {"mean": _mean, "limit": _limit, "lower_limit": _lower_limit, "range": _range}[norm.kind](
        norm, value
    )
    return Finding(norm.test, shown(value, norm.unit), meaning, flagged, norm.source)


def _mean(norm: Norm, value: float) -> tuple[str, bool]:
    wording, mean = texts("norm_wording"), norm.value or 0.0
    difference = value - mean
    key = ("at_mean" if difference == 0 else "mean") + ("_sd" if norm.sd else "")
    text = wording[key].format(
        difference=shown(abs(difference), norm.unit),
        side="above" if difference > 0 else "below",
        value=shown(mean, norm.unit),
        sd=shown(norm.sd or 0.0, norm.unit),
        group=norm.group,
    )
    limit = mean - FIFTH_PERCENTILE_SD * norm.sd if norm.sd else -math.inf
    if value >= limit:
        return text, False
    return text + wording["below_sd_limit"].format(limit=shown(limit, norm.unit)), True


def _limit(norm: Norm, value: float) -> tuple[str, bool]:
    limit = norm.limit or 0.0
    worse = COMPARISONS[norm.worse_when](value, limit)
    text = texts("norm_wording")["beyond" if worse else "within"]
    return text.format(group=norm.group, side=WORDS[norm.worse_when], limit=shown(limit, norm.unit)), worse


def _lower_limit(norm: Norm, value: float) -> tuple[str, bool]:
    limit = norm.limit or 0.0
    below = COMPARISONS[norm.worse_when](value, limit)
    text = texts("norm_wording")["below_limit" if below else "not_below_limit"]
    said = text.format(group=norm.group, limit=shown(limit, norm.unit), value=shown(norm.value or 0.0, norm.unit))
    return said, below


def _range(norm: Norm, value: float) -> tuple[str, bool]:
    low, high = norm.low or 0.0, norm.high or 0.0
    key = "range_below" if value < low else "range_above" if value > high else "range_within"
    text = texts("norm_wording")[key].format(low=f"{low:g}", high=f"{high:g}", group=norm.group)
    return text, value < low


def _norm(row: dict[str, str]) -> Norm:
    return Norm(
        row["test"],
        row["sex"],
        int(row["age_from"]),
        int(row["age_to"]) if row["age_to"] else None,
        row["unit"],
        row["kind"],
        _number(row["value"]),
        _number(row["sd"]),
        _number(row["limit"]),
        row["worse_when"],
        _number(row["low"]),
        _number(row["high"]),
        cited(row),
    )


def _chair_stand(row: dict[str, str]) -> Norm:
    """The normal range of the chair stand as a norm (its cut-off has a finding of its own)."""
    ages = int(row["age_from"]), int(row["age_to"])
    low, high = float(row["normal_low"]), float(row["normal_high"])
    return Norm(CHAIR_STAND, row["sex"], *ages, "repetitions", "range", None, None, None, "", low, high, cited(row))


def _number(text: str) -> float | None:
    return float(text) if text else None


def _span(known: list[Norm]) -> str:
    if not known:
        return texts("norm_wording")["no_norm_sex"]
    youngest = min(norm.age_from for norm in known)
    oldest = [norm.age_to for norm in known]
    return f"{youngest} and over" if None in oldest else f"{youngest} to {max(age for age in oldest if age)}"
