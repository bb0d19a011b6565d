"""Physiology: plain functions of floats or arrays, registered by name on import."""

from haleward.physiology import body, effort, energy, heart_rate, load, metabolic, response, strength

__all__ = ["body", "effort", "energy", "heart_rate", "load", "metabolic", "response", "strength"]
