"""Statistics of change: measurement error from reliability, detectable change, size of a change in one or many."""

from __future__ import annotations

import numpy as np

from haleward.formula import Range, formula

SEM = Range(0, 1000, "1", "Standard error of measurement")
SD = Range(0.0001, 10000, "1", "Standard deviation")
MEAN_CHANGE = Range(-10000, 10000, "1", "Mean change")
AMOUNT = Range(0.0001, 100000, "1", "Value before")
AMOUNT_AFTER = Range(0, 100000, "1", "Value after")
SAMPLE_ERROR = "As sure as the sample it comes from is like this person."


@formula(
    title="Standard error of measurement",
    equation="standard deviation × √(1 − intraclass correlation)",
    unit="1",
    ranges={"sd": SD, "icc": Range(0, 1, "1", "Intraclass correlation")},
    source="Definition of the standard error of measurement",
    trust="definition",
    error=SAMPLE_ERROR,
)
def standard_error_of_measurement(*, sd: float, icc: float) -> float:
    """Error of one measurement, from its reliability between repeats; in the unit of the measure."""
    error: float = sd * np.sqrt(1 - icc)
    return error


@formula(
    title="Smallest detectable change, 95 per cent",
    equation="1.96 × √2 × standard error of measurement",
    unit="1",
    ranges={"sem": SEM},
    source="Definition; reproduces 47 m for the shuttle walk in Hanson 2019",
    trust="definition",
    error=SAMPLE_ERROR,
)
def smallest_detectable_change_95(*, sem: float) -> float:
    """Change of one person that measurement error reaches in only 5 per cent; in the unit of the measure."""
    change: float = 1.96 * np.sqrt(2) * sem
    return change


@formula(
    title="Smallest detectable change, 90 per cent",
    equation="1.645 × √2 × standard error of measurement",
    unit="1",
    ranges={"sem": SEM},
    source="Definition of the smallest detectable change",
    trust="definition",
    error=SAMPLE_ERROR,
)
def smallest_detectable_change_90(*, sem: float) -> float:
    """Change of one person that measurement error reaches in only 10 per cent; in the unit of the measure."""
    change: float = 1.645 * np.sqrt(2) * sem
    return change


@formula(
    title="Half a standard deviation",
    equation="standard deviation ÷ 2",
    unit="1",
    ranges={"sd": SD},
    source="Houchen-Wolloff 2015, distribution method",
    trust="source seen",
    error=SAMPLE_ERROR,
)
def half_standard_deviation(*, sd: float) -> float:
    """Difference that matters by the distribution method; in the unit of the measure."""
    return sd / 2


@formula(
    title="Effect size",
    equation="mean change ÷ standard deviation at the start",
    unit="1",
    ranges={"mean_change": MEAN_CHANGE, "sd": SD},
    source="Definition; reproduces 0.38 in Houchen-Wolloff 2015",
    trust="definition",
)
def effect_size(*, mean_change: float, sd: float) -> float:
    """Mean change of a group in units of its spread at the start."""
    return mean_change / sd


@formula(
    title="Standardised response mean",
    equation="mean change ÷ standard deviation of the changes",
    unit="1",
    ranges={"mean_change": MEAN_CHANGE, "sd_of_change": Range(0.0001, 10000, "1", "Standard deviation of the changes")},
    source="Definition of the standardised response mean",
    trust="definition",
)
def standardised_response_mean(*, mean_change: float, sd_of_change: float) -> float:
    """Mean change of a group in units of the spread of its changes; not the same as the effect size."""
    return mean_change / sd_of_change


@formula(
    title="Per cent change",
    equation="100 × (after − before) ÷ before",
    unit="%",
    ranges={"before": AMOUNT, "after": AMOUNT_AFTER},
    source="Definition; reproduces 16.7 per cent in Houchen-Wolloff 2015",
    trust="definition",
)
def percent_change(*, before: float, after: float) -> float:
    """Change as a share of the first value; negative for a fall."""
    return 100 * (after - before) / before
