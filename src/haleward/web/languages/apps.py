"""Languages: translations and their review."""

from django.apps import AppConfig


class LanguagesConfig(AppConfig):
    """App configuration."""

    name = "haleward.web.languages"
    label = "languages"
