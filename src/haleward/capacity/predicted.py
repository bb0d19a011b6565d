"""A walked distance beside what a reference equation predicts: per cent, lower limit, z-score, and never two equations.

A comparison carries the name of its equation. Two visits are compared by the same equation or not at all, because the
equations differ from one another by more than the difference that matters.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from haleward.capacity import reference_distance, shuttle_reference
from haleward.errors import HalewardError, NotApplicable
from haleward.formula import Formula, Range, find, formula
from haleward.physiology.tables import texts
from haleward.units import rounded, shown
from haleward.worksheet import Figure, NotComputed, Step, Worksheet

DISTANCE = Range(0, 2000, "m", "Distance walked")
PREDICTED = Range(50, 2000, "m", "Predicted distance")
RESIDUAL_SD = Range(1, 500, "m", "Residual standard deviation of the equation")
NORMAL_95_ONE_SIDED = 1.645  # standard deviations under the mean that leave one person in twenty below
# Equations of one sex, and the equations that state a lower limit of their own.
ONE_SEX = {"six_minute_walk_m_men_jenkins_2009": "male", "six_minute_walk_m_women_jenkins_2009": "female"}
OWN_LOWER_LIMIT = {"six_minute_walk_m_enright_1998": "six_minute_walk_lower_limit_m_enright_1998"}
MODULES = {"six_minute_walk": reference_distance, "shuttle_walk": shuttle_reference}


@formula(
    title="Per cent of the predicted distance",
    equation="100 × walked ÷ predicted",
    unit="%",
    ranges={"distance_m": DISTANCE, "predicted_m": PREDICTED},
    source="Definition of per cent predicted",
    trust="definition",
    error="As uncertain as the equation of the prediction.",
)
def percent_predicted(*, distance_m: float, predicted_m: float) -> float:
    """Share of the predicted distance that was walked, in per cent. Print the equation's name beside it."""
    return 100 * distance_m / predicted_m


@formula(
    title="Lower limit of normal from the residual standard deviation",
    equation="predicted − 1.645 × residual standard deviation",
    unit="m",
    ranges={"predicted_m": PREDICTED, "residual_sd_m": RESIDUAL_SD},
    source="Definition: the fifth percentile of a normal distribution",
    trust="definition",
    error="Holds if the differences between people are normal and the same at every age.",
)
def lower_limit_of_normal_m(*, predicted_m: float, residual_sd_m: float) -> float:
    """Distance under which only one healthy person in twenty walks."""
    return predicted_m - NORMAL_95_ONE_SIDED * residual_sd_m


@formula(
    title="z-score against a prediction",
    equation="(walked − predicted) ÷ residual standard deviation",
    unit="1",
    ranges={"distance_m": DISTANCE, "predicted_m": PREDICTED, "residual_sd_m": RESIDUAL_SD},
    source="Definition of the z-score",
    trust="definition",
    error="Holds if the differences between people are normal and the same at every age.",
)
def z_score_of_distance(*, distance_m: float, predicted_m: float, residual_sd_m: float) -> float:
    """How many residual standard deviations the distance lies above (or, negative, below) the prediction."""
    return (distance_m - predicted_m) / residual_sd_m


@dataclass(frozen=True)
class Compared:
    """A distance held against one reference equation; ``None`` where the equation's source gives no spread."""

    equation: str
    distance_m: float
    predicted_m: Figure
    percent: float
    lower_limit_m: float | None
    z_score: float | None
    worksheet: Worksheet

    @property
    def below_lower_limit(self) -> bool | None:
        """Whether the distance is under the lower limit of normal; ``None`` where there is no limit."""
        return None if self.lower_limit_m is None else self.distance_m < self.lower_limit_m


def reference_equations(test: str) -> tuple[Formula, ...]:
    """Every reference equation of ``test`` ("six_minute_walk" or "shuttle_walk"). Raises :class:`HalewardError`."""
    if test not in MODULES:
        raise HalewardError(f"There is no reference equation of {test!r}; there are some of {' and '.join(MODULES)}.")
    module = MODULES[test].__name__
    known = [find(name) for name in vars(MODULES[test]) if name.startswith(f"{test}_m_")]
    return tuple(one for one in known if one.function.__module__ == module)


def compare_with(equation: str, *, distance_m: float, sex: str, **arguments: float) -> Compared:
    """``distance_m`` beside the prediction of ``equation`` for this person.

    Raises :class:`HalewardError` for an unknown equation, a missing argument, an age outside the equation's sample
    (:class:`OutOfRange`) or an equation made for the other sex (:class:`NotApplicable`).
    """
    chosen = find(equation)
    if chosen not in (*reference_equations("six_minute_walk"), *reference_equations("shuttle_walk")):
        raise HalewardError(f"{equation} is not a reference equation of a walk.")
    only = ONE_SEX.get(equation)
    if only not in (None, sex):
        raise NotApplicable(chosen.title, f"it was made for one sex only ({only})")
    given: dict[str, Any] = {"sex": sex, **arguments} if "sex" in chosen.ranges else dict(arguments)
    step = chosen.step(**given)
    predicted = chosen.figure(**given)
    percent = find("percent_predicted").step(distance_m=distance_m, predicted_m=predicted.value)
    limit, z, further = _spread(chosen, distance_m, predicted.value, given)
    result = f"{shown(float(percent.result), '%')} of {shown(predicted.value, 'm')} ({chosen.title})"
    caution = texts("norm_wording")["one_equation"].format(equation=chosen.title)
    sheet = Worksheet(
        "Distance against a prediction",
        result,
        (step, percent, *further),
        (*chosen.cautions(**given), *chosen.limits, caution),
    )
    return Compared(equation, distance_m, predicted, float(percent.result), limit, z, sheet)


def change_of_percent(before: Compared, after: Compared) -> float | NotComputed:
    """Percentage points between two visits, by one equation; two equations are never mixed."""
    wording = texts("norm_wording")
    if before.equation != after.equation:
        reason = wording["equations_differ"].format(before=before.equation, after=after.equation)
        return NotComputed("Change of the per cent predicted", reason, (wording["ask_same_equation"],))
    return after.percent - before.percent


def _spread(
    chosen: Formula, distance_m: float, predicted_m: float, given: dict[str, Any]
) -> tuple[float | None, float | None, tuple[Step, ...]]:
    """The lower limit and the z-score, as far as the source gives a spread, with their steps."""
    if chosen.name in OWN_LOWER_LIMIT:
        step = find(OWN_LOWER_LIMIT[chosen.name]).step(**given)
        return float(step.result), None, (step,)
    sd = chosen.standard_error
    if sd is None:
        return None, None, ()
    limit = find("lower_limit_of_normal_m").step(predicted_m=predicted_m, residual_sd_m=sd)
    z = find("z_score_of_distance").step(distance_m=distance_m, predicted_m=predicted_m, residual_sd_m=sd)
    return float(limit.result), float(z.result), (limit, z)


def percent_text(compared: Compared) -> str:
    """How a comparison is told: per cent, and the equation that it was made by."""
    return f"{rounded(compared.percent, '%')}% of predicted by {find(compared.equation).title}"
