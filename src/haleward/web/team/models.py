"""The service: its name, its own numbers and the protocol in force."""

from __future__ import annotations

from django.db import models
from simple_history.models import HistoricalRecords


class Service(models.Model):
    """One team. ``values`` fill the wording's placeholders (emergency number, nurse line, hours ...)."""

    name = models.CharField(max_length=120)
    jurisdiction = models.CharField(max_length=8, default="UK")
    values = models.JSONField(default=dict)
    is_demo = models.BooleanField(default=False)
    history = HistoricalRecords()

    def __str__(self) -> str:
        return self.name
