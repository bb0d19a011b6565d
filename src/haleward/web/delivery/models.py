"""The person's link, the append-only log of what was really done, days that are not like others, and consent."""

from __future__ import annotations

import uuid
from datetime import datetime, timedelta

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
    clock_off_s = models.IntegerField(null=True, blank=True)  # how far the device's clock was behind, if it was off
    origin = models.CharField(max_length=10)
    data = models.JSONField(default=dict)

    class Meta:
        """In the order things happened."""

        ordering = ["happened_at", "stored_at"]
        indexes = [models.Index(fields=["person", "session_id"])]

    def __str__(self) -> str:
        return f"{self.kind} at {self.happened_at:%Y-%m-%d %H:%M}"

    @property
    def true_at(self) -> datetime:
        """When it happened: as told, put right by how far the device's clock was off."""
        return self.happened_at + timedelta(seconds=self.clock_off_s or 0)


class SpecialDays(models.Model):
    """Days away, ill, fasting or with little time, told by the person, a carer or staff. Taken back, never removed."""

    class Kind(models.TextChoices):
        """What makes the days special (haleward.dose.week_plan)."""

        AWAY = "away", "away"
        ILL = "ill", "ill"
        FASTING = "fasting", "fasting"
        PART_DAY = "part_day", "little time"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="special_days")
    kind = models.CharField(max_length=10, choices=Kind)
    first_on = models.DateField()
    last_on = models.DateField()
    minutes = models.PositiveSmallIntegerField(null=True, blank=True)  # the time there is on a part day
    origin = models.CharField(max_length=10)  # person, carer or staff
    told_by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    told_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        """In the order of the days."""

        ordering = ["first_on", "told_at"]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}, {self.first_on:%Y-%m-%d} to {self.last_on:%Y-%m-%d}"


class CarerConsent(models.Model):
    """The person's consent that somebody who helps sees some of their pages, through a link of their own.

    Withdrawn or expired, the link opens nothing. What it covers is never widened: a new consent is a new row.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="carers")
    carer_name = models.CharField(max_length=80)
    covers = models.JSONField(default=list)  # of haleward.web.delivery.links.COVERS
    recorded_by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    given_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        """Newest first."""

        ordering = ["-given_at"]

    def __str__(self) -> str:
        return f"{self.carer_name}, for {self.person}"
