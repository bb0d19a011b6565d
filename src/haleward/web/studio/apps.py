"""Studio: a session's cue sheet to look at and listen to, its options, and the films made from it."""

from django.apps import AppConfig


class StudioConfig(AppConfig):
    """App configuration."""

    name = "haleward.web.studio"
    label = "studio"
