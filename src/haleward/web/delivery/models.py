"""The person's link, and the append-only log of what was really done."""

from __future__ import annotations

import uuid

from django.db import models

from haleward.web.people.models import Person
from haleward.web.prescription.models import ProgrammeVersion


class PersonLink(models.Model):
    """A link that opens one person's session without a password. Withdrawn or expired, it opens nothing."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="links")
    made_by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        """Newest first."""

        ordering = ["-made_at"]

    def __str__(self) -> str:
        return f"Link of {self.person}"


class LogEntry(models.Model):
    """One thing that happened in a session, as it was entered. Never changed: a correction is a new entry."""

    entry_id = models.UUIDField(primary_key=True)  # made where it was entered; a repeat is stored once
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="log_entries")
    programme = models.ForeignKey(ProgrammeVersion, on_delete=models.PROTECT, related_name="log_entries")
    session_id = models.UUIDField()
    part_key = models.CharField(max_length=8)
    kind = models.CharField(max_length=16)
    happened_at = models.DateTimeField()
    stored_at = models.DateTimeField(auto_now_add=True)
    origin = models.CharField(max_length=10)
    data = models.JSONField(default=dict)

    class Meta:
        """In the order things happened."""

        ordering = ["happened_at", "stored_at"]
        indexes = [models.Index(fields=["person", "session_id"])]

    def __str__(self) -> str:
        return f"{self.kind} at {self.happened_at:%Y-%m-%d %H:%M}"
