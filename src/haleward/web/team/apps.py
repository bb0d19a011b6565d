"""Team: the service and its own numbers."""

from django.apps import AppConfig


class TeamConfig(AppConfig):
    """App configuration."""

    name = "haleward.web.team"
    label = "team"
