"""Physiology: plain functions of floats or arrays, registered by name on import."""

from haleward.physiology import (
    body,
    body_bands,
    ceilings,
    effort,
    energy,
    heart_rate,
    load,
    metabolic,
    metabolic_targets,
    response,
    response_findings,
    segments,
    strength,
    strength_load,
    talk,
    targets,
)

__all__ = [
    "body",
    "body_bands",
    "ceilings",
    "effort",
    "energy",
    "heart_rate",
    "load",
    "metabolic",
    "metabolic_targets",
    "response",
    "response_findings",
    "segments",
    "strength",
    "strength_load",
    "talk",
    "targets",
]
