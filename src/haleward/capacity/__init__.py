"""Capacity: field tests to capacity, norms and change that matters. Its formulas are registered on import."""

from haleward.capacity import (
    balance,
    change,
    change_statistics,
    field_vo2,
    function_tests,
    norms,
    predicted,
    reference_distance,
    shuttle,
    shuttle_reference,
    walk,
)

__all__ = [
    "balance",
    "change",
    "change_statistics",
    "field_vo2",
    "function_tests",
    "norms",
    "predicted",
    "reference_distance",
    "shuttle",
    "shuttle_reference",
    "walk",
]
