"""Assessment: what the team found."""

from django.apps import AppConfig


class AssessmentConfig(AppConfig):
    """App configuration."""

    name = "haleward.web.assessment"
    label = "assessment"
