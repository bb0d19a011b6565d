"""Prescriptions and programmes as versions: a signed one is never overwritten."""

from __future__ import annotations

from typing import Any

from django.db import models

from haleward.errors import Inconsistent
from haleward.web.assessment.models import Assessment
from haleward.web.people.models import Person

PROGRAMME_FORMAT = "haleward-programme/1"


class ProgrammeVersion(models.Model):
    """One programme of one person: a draft until a lead signs it, then fixed for good.

    ``prescription`` and ``programme`` are plain ``dose.model`` values, with the protocol's id and version inside.
    """

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="programmes")
    assessment = models.ForeignKey(Assessment, on_delete=models.PROTECT, related_name="programmes")
    version = models.PositiveIntegerField()
    format = models.CharField(max_length=24, default=PROGRAMME_FORMAT)
    prescription = models.JSONField()
    programme = models.JSONField()
    made_by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    signed_by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    signed_at = models.DateTimeField(null=True, blank=True)
    gate_at_signing = models.JSONField(null=True, blank=True)  # plain safety.model.Gate of the day it was signed
    decided_by = models.CharField(max_length=120, blank=True)  # who decided to go ahead where the gate said check first
    decision_reason = models.TextField(blank=True)

    class Meta:
        """Newest first; one row a version, signed by someone at a time or by nobody."""

        ordering = ["-version"]
        constraints = [
            models.UniqueConstraint(fields=["person", "version"], name="one_programme_a_version"),
            models.CheckConstraint(
                condition=models.Q(signed_by__isnull=True, signed_at__isnull=True)
                | models.Q(signed_by__isnull=False, signed_at__isnull=False),
                name="signature_has_name_and_time",
            ),
        ]

    def __str__(self) -> str:
        return f"Plan {self.version} of {self.person}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Refuses to change a signed version in any way."""
        if self.pk and ProgrammeVersion.objects.filter(pk=self.pk, signed_at__isnull=False).exists():
            raise Inconsistent(f"Plan {self.version} is signed and never changes. Change it in the next version.")
        super().save(*args, **kwargs)


class ProposalDecision(models.Model):
    """What the protocol proposed after the log, and what a lead decided about it."""

    class Answer(models.TextChoices):
        """A proposal takes effect only when a lead accepts it."""

        WAITING = "waiting", "waiting"
        ACCEPTED = "accepted", "accepted"
        CHANGED = "changed", "changed"
        HELD = "held", "held"
        REPLACED = "replaced", "replaced by a newer proposal"
        UNDONE = "undone", "accepted, then undone"

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="proposals")
    programme = models.ForeignKey(ProgrammeVersion, on_delete=models.PROTECT, related_name="proposals")
    proposal = models.JSONField()
    answer = models.CharField(max_length=10, choices=Answer, default=Answer.WAITING)
    reason = models.TextField(blank=True)
    made_at = models.DateTimeField(auto_now_add=True)
    decided_by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    decided_at = models.DateTimeField(null=True, blank=True)
    result = models.ForeignKey(
        ProgrammeVersion, on_delete=models.PROTECT, null=True, blank=True, related_name="came_from"
    )
    batch = models.UUIDField(null=True, blank=True)  # accepted together with others
    undone_by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        """Newest first."""

        ordering = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return f"Proposal for {self.person} ({self.get_answer_display()})"


class CheckOfDay(models.Model):
    """What staff asked and measured on one day, and what the gate said. Never changed, only followed."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="day_checks")
    assessment = models.ForeignKey(Assessment, on_delete=models.PROTECT, related_name="+")
    asked_at = models.DateTimeField()
    asked_by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, related_name="+")
    answers = models.JSONField()
    gate = models.JSONField()  # plain safety.model.Gate, with the protocol's id and version

    class Meta:
        """Newest first."""

        ordering = ["-asked_at", "-pk"]

    def __str__(self) -> str:
        return f"Check of {self.person} at {self.asked_at:%Y-%m-%d %H:%M}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """A check is kept as it was."""
        if self.pk:
            raise Inconsistent("A check of the day is never changed. Make another check.")
        super().save(*args, **kwargs)


class DailyLook(models.Model):
    """One look at everybody of one service on one day: days that pass without a log ask for less too.

    The row is the claim: whoever makes it looks. ``ended_at`` is empty while the look goes on, or if it broke off.
    """

    service = models.ForeignKey("team.Service", on_delete=models.PROTECT, related_name="daily_looks")
    day = models.DateField()
    begun_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    people = models.PositiveIntegerField(default=0)
    waiting = models.PositiveIntegerField(default=0)
    faults = models.JSONField(default=list)  # one sentence for each person who could not be looked at

    class Meta:
        """Newest first; one a day."""

        ordering = ["-day"]
        constraints = [models.UniqueConstraint(fields=["service", "day"], name="one_look_a_day")]

    def __str__(self) -> str:
        return f"Look at everybody of {self.service} on {self.day:%Y-%m-%d}"


def signed_of(person: Person) -> ProgrammeVersion | None:
    """The newest signed version."""
    return person.programmes.filter(signed_at__isnull=False).first()


def draft_of(person: Person) -> ProgrammeVersion | None:
    """The version that waits for a signature."""
    return person.programmes.filter(signed_at__isnull=True).first()
