"""Staff who sign in. A person (participant) never has an account: they use a signed link."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import AbstractUser
from django.db import models

from haleward.errors import Inconsistent


class Role(models.TextChoices):
    """The four roles of staff."""

    LEAD = "lead", "exercise lead"
    NURSE = "nurse", "nurse"
    ASSISTANT = "assistant", "exercise assistant"
    MANAGER = "manager", "service manager"


class User(AbstractUser):
    """One member of staff, in one service, with one role."""

    role = models.CharField(max_length=12, choices=Role)
    service = models.ForeignKey("team.Service", on_delete=models.PROTECT, related_name="staff")
    profession = models.CharField(max_length=80, blank=True)  # as it stands under a signature
    clinical_lead_since = models.DateField(null=True, blank=True)  # named by the manager; signs the protocol
    REQUIRED_FIELDS = ["role", "service_id"]

    class Meta:
        """The database refuses an unknown role, a second clinical lead, and one without a profession."""

        constraints = [
            models.CheckConstraint(condition=models.Q(role__in=Role.values), name="user_role_is_known"),
            models.UniqueConstraint(
                fields=["service"],
                condition=models.Q(clinical_lead_since__isnull=False),
                name="one_clinical_lead_a_service",
            ),
            models.CheckConstraint(
                condition=models.Q(clinical_lead_since__isnull=True) | ~models.Q(profession=""),
                name="clinical_lead_has_profession",
            ),
        ]

    @property
    def is_clinical_lead(self) -> bool:
        """Whether the manager named this colleague as the clinical lead who signs the protocol."""
        return self.clinical_lead_since is not None

    def __str__(self) -> str:
        return f"{self.get_full_name() or self.username}, {self.get_role_display()}"


class AccountStep(models.Model):
    """What a manager did with a colleague's account. Only ever added to."""

    class Kind(models.TextChoices):
        """What kind of step."""

        OFF = "off", "switched off"
        ON = "on", "switched on"
        PASSWORD = "password", "new password"

    colleague = models.ForeignKey(User, on_delete=models.PROTECT, related_name="account_steps")
    kind = models.CharField(max_length=8, choices=Kind)
    at = models.DateTimeField()
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    concerns_returned = models.PositiveSmallIntegerField(default=0)  # that went back into the queue

    class Meta:
        """Newest first."""

        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.colleague}: {self.get_kind_display()}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """A step is kept as it was."""
        if self.pk:
            raise Inconsistent("What was done with an account is never changed. It is followed by the next step.")
        super().save(*args, **kwargs)
