"""A concern: a symptom or reading that someone must look at, with how soon."""

from __future__ import annotations

from typing import Any

from django.db import models

from haleward.errors import Inconsistent
from haleward.web.people.models import Person
from haleward.web.people.reach import USED, Way, used

OPEN = models.Q(closed_at__isnull=True, closed_by__isnull=True, what_was_done="")
CLOSED = models.Q(closed_at__isnull=False, closed_by__isnull=False) & ~models.Q(what_was_done="")


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
    told = models.TextField(blank=True)  # what the person was told when they reported it, a line each
    for_role = models.CharField(max_length=12, default="nurse")  # whose queue it is in while nobody has taken it
    taken_by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    taken_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    closed_at = models.DateTimeField(null=True, blank=True)
    what_was_done = models.TextField(blank=True)
    form_id = models.UUIDField(null=True, blank=True, unique=True, editable=False)  # of the page that recorded it

    class Meta:
        """Oldest first; screens sort by urgency."""

        ordering = ["raised_at"]
        constraints = [
            models.UniqueConstraint(fields=["session_id", "topic"], name="one_concern_a_session_and_topic"),
            models.CheckConstraint(condition=OPEN | CLOSED, name="no_concern_closes_without_outcome"),
            models.CheckConstraint(
                condition=models.Q(taken_by__isnull=True, taken_at__isnull=True)
                | models.Q(taken_by__isnull=False, taken_at__isnull=False),
                name="taken_concern_has_name_and_time",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.topic} ({self.get_urgency_display()})"


class ConcernStep(models.Model):
    """What was done about a concern, step by step. Only ever added to."""

    class Kind(models.TextChoices):
        """What kind of step."""

        TAKEN = "taken", "took it"
        CALLED = "called", "called the person"
        NOTED = "noted", "wrote a note"
        HANDED_OVER = "handed_over", "handed it over"
        CLOSED = "closed", "closed it"

    concern = models.ForeignKey(Concern, on_delete=models.PROTECT, related_name="steps")
    kind = models.CharField(max_length=12, choices=Kind)
    at = models.DateTimeField()
    by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, related_name="+")
    text = models.TextField(blank=True)
    to_user = models.ForeignKey("accounts.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    to_role = models.CharField(max_length=12, blank=True)
    way = models.CharField(max_length=8, blank=True, choices=USED)  # of a contact; "" where it was a call, or is none

    class Meta:
        """In the order things were done."""

        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"{self.by} {self.get_kind_display()}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """A step is kept as it was."""
        if self.pk:
            raise Inconsistent("A step about a concern is never changed. Add another one.")
        super().save(*args, **kwargs)

    @property
    def what(self) -> str:
        """What was done: a contact that was no voice call says in which way it was made."""
        if self.kind == self.Kind.CALLED and self.way not in ("", Way.VOICE):
            return f"contacted the person {used(self.way)}"
        return self.get_kind_display()


class Contact(models.Model):
    """A talk with a person, in a way that reaches them, and what was agreed for the next one. Only ever added to."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="contacts")
    at = models.DateTimeField()
    by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, related_name="+")
    reached = models.BooleanField()
    note = models.TextField()
    next_on = models.DateField(null=True, blank=True)
    next_what = models.CharField(max_length=80, blank=True)  # a visit, a class, another review
    way = models.CharField(max_length=8, blank=True, choices=USED)  # "" is a call, before the way was asked
    form_id = models.UUIDField(null=True, blank=True, unique=True, editable=False)  # of the page and what it said

    class Meta:
        """Newest first."""

        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"Talk with {self.person} on {self.at:%Y-%m-%d}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """A talk is kept as it was written down."""
        if self.pk:
            raise Inconsistent("A talk that was written down is never changed. Write down another one.")
        super().save(*args, **kwargs)

    @property
    def how(self) -> str:
        """In which way it was made."""
        return used(self.way or Way.VOICE)
