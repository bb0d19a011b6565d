"""An assessment: the domain's record of one person on one day, kept as it was."""

from __future__ import annotations

from django.db import models

from haleward.web.people.models import Person

RECORD_FORMAT = "haleward-record/1"


class Assessment(models.Model):
    """``record`` is a plain :class:`haleward.record.Record`; a finished assessment is never changed, only followed."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="assessments")
    assessed_on = models.DateField()
    author = models.ForeignKey("accounts.User", on_delete=models.PROTECT, related_name="+")
    record_format = models.CharField(max_length=24, default=RECORD_FORMAT)
    record = models.JSONField()
    finished_at = models.DateTimeField(null=True, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now=True)

    class Meta:
        """Newest first."""

        ordering = ["-created_at"]

    def __str__(self) -> str:
        return f"Assessment of {self.person} on {self.assessed_on}"
