"""Capacity: field tests to capacity, norms and change that matters. Its formulas are registered on import."""

from haleward.capacity import change, field_vo2, function_tests, reference_distance, shuttle, walk

__all__ = ["change", "field_vo2", "function_tests", "reference_distance", "shuttle", "walk"]
