"""An assessment: the domain's record of one person on one day, kept as it was."""

from __future__ import annotations

from typing import Any

from django.db import models

from haleward.errors import Inconsistent
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

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Refuses to change a finished assessment."""
        if self.pk and Assessment.objects.filter(pk=self.pk, finished_at__isnull=False).exists():
            raise Inconsistent("A finished assessment is never changed. Start a new one; it opens with these answers.")
        super().save(*args, **kwargs)


def finished_of(person: Person) -> Assessment | None:
    """The latest finished assessment."""
    return person.assessments.filter(finished_at__isnull=False).order_by("-finished_at").first()


def draft_of(person: Person) -> Assessment | None:
    """The assessment that someone began and has not finished."""
    return person.assessments.filter(finished_at__isnull=True).first()
