"""Physiology: plain functions of floats or arrays, registered by name on import."""

from haleward.physiology import energy, heart_rate, metabolic

__all__ = ["energy", "heart_rate", "metabolic"]
