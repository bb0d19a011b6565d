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
    REQUIRED_FIELDS = ["role", "service_id"]

    class Meta:
        """The database refuses a role that is not one of the four."""

        constraints = [
            models.CheckConstraint(condition=models.Q(role__in=Role.values), name="user_role_is_known"),
        ]

    def __str__(self) -> str:
        return f"{self.get_full_name() or self.username}, {self.get_role_display()}"
