"""Concerns: what someone must look at, and how soon."""

from django.apps import AppConfig


class ConcernsConfig(AppConfig):
    """App configuration."""

    name = "haleward.web.concerns"
    label = "concerns"
