"""Reckoner: a test, what was measured, and what it says. Nothing is stored."""

from django.apps import AppConfig


class ReckonerConfig(AppConfig):
    """App configuration."""

    name = "haleward.web.reckoner"
    label = "reckoner"
