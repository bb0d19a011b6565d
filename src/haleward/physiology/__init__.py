"""Physiology: plain functions of floats or arrays, registered by name on import."""

from haleward.physiology import heart_rate

__all__ = ["heart_rate"]
