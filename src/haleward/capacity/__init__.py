"""Capacity: field tests to capacity, norms and change that matters. Its formulas are registered on import."""

from haleward.capacity import field_vo2, shuttle, walk

__all__ = ["field_vo2", "shuttle", "walk"]
