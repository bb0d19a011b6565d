"""Named formulas: a plain function with its unit, ranges, source, error and population, reachable by name.

A formula is a keyword-only function of floats or NumPy arrays (the same kind comes back; an array result has the
broadcast shape). The decorator checks every argument before the function runs and the result after it, so a formula
never guesses and never returns a number made from nonsense. The signatures say ``float``; :meth:`Formula.over` is the
typed way to use arrays, :meth:`Formula.figure` the way to a result with its error.
"""

from haleward.formula.arrays import Argument, FloatArray, either, require
from haleward.formula.meant import Limits, question, read
from haleward.formula.ranges import Choice, Range
from haleward.formula.registry import REGISTRY, Formula, Trust, find, formula
from haleward.formula.typed import calculate, number_of, parse_arguments

__all__ = [
    "REGISTRY",
    "Argument",
    "Choice",
    "FloatArray",
    "Formula",
    "Limits",
    "Range",
    "Trust",
    "calculate",
    "either",
    "find",
    "formula",
    "number_of",
    "parse_arguments",
    "question",
    "read",
    "require",
]
