"""Prescription, programme and proposals."""

from django.apps import AppConfig


class PrescriptionConfig(AppConfig):
    """App configuration."""

    name = "haleward.web.prescription"
    label = "prescription"
