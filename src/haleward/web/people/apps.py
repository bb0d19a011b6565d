"""People and referrals."""

from django.apps import AppConfig


class PeopleConfig(AppConfig):
    """App configuration."""

    name = "haleward.web.people"
    label = "people"
