"""Library: the movements to look at and to print. Nothing is stored."""

from django.apps import AppConfig


class LibraryConfig(AppConfig):
    """App configuration."""

    name = "haleward.web.library"
    label = "library"
