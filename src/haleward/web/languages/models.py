"""A language of a service: its own catalogue, if it imported one, and who reviewed which state of it."""

from __future__ import annotations

from django.db import models
from simple_history.models import HistoricalRecords


class ServiceLanguage(models.Model):
    """One language in one service. Without ``files`` the catalogue that ships is meant.

    A review holds for one ``reviewed_digest``: another state of the translation is a draft again.
    """

    service = models.ForeignKey("team.Service", on_delete=models.PROTECT, related_name="languages")
    tag = models.CharField(max_length=12)
    files = models.JSONField(default=dict, blank=True)  # PO text by table
    imported_by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    imported_at = models.DateTimeField(null=True, blank=True)
    reviewer = models.CharField(max_length=120, blank=True)
    qualification = models.CharField(max_length=160, blank=True)
    reviewed_on = models.DateField(null=True, blank=True)
    reviewed_digest = models.CharField(max_length=64, blank=True)
    marked_by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    marked_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        """One row a language, and a review only with whoever did it."""

        ordering = ["tag"]
        constraints = [
            models.UniqueConstraint(fields=["service", "tag"], name="one_row_a_language"),
            models.CheckConstraint(
                condition=models.Q(reviewed_digest="")
                | (~models.Q(reviewer="") & ~models.Q(qualification="") & models.Q(reviewed_on__isnull=False)),
                name="review_has_reviewer",
            ),
        ]

    def __str__(self) -> str:
        return self.tag
