"""Staff who sign in. A person (participant) never has an account: they use a signed link."""

from __future__ import annotations

from django.contrib.auth.models import AbstractUser
from django.db import models


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
