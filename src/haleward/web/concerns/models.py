"""A concern: a symptom or reading that someone must look at, with how soon."""

from __future__ import annotations

from django.db import models

from haleward.web.people.models import Person


class Concern(models.Model):
    """Raised by a log, a check or staff; taken by someone; closed with what was done."""

    class Urgency(models.TextChoices):
        """How soon, soonest first."""

        EMERGENCY = "emergency", "emergency, now"
        SAME_DAY = "same_day", "today"
        NEXT_WORKING_DAY = "next_working_day", "next working day"
        SELF_CARE = "self_care", "for information"

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="concerns")
    urgency = models.CharField(max_length=18, choices=Urgency)
    topic = models.CharField(max_length=80)
    text = models.TextField()
    rule_ids = models.JSONField(default=list)
    raised_at = models.DateTimeField()
    session_id = models.UUIDField(null=True, blank=True)  # the session it came from
    holds_plan = models.BooleanField(default=False)  # no session starts while this is open
    taken_by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    taken_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    closed_at = models.DateTimeField(null=True, blank=True)
    what_was_done = models.TextField(blank=True)

    class Meta:
        """Oldest first; screens sort by urgency."""

        ordering = ["raised_at"]
        constraints = [
            models.UniqueConstraint(fields=["session_id", "topic"], name="one_concern_a_session_and_topic"),
        ]

    def __str__(self) -> str:
        return f"{self.topic} ({self.get_urgency_display()})"
