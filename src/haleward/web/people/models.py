"""People and their referrals."""

from __future__ import annotations

import uuid
from typing import TYPE_CHECKING

from django.db import models
from django.utils import timezone
from simple_history.models import HistoricalRecords

from haleward.web.people.reach import Interpreter, Reach

if TYPE_CHECKING:
    from haleward.web.accounts.models import User


class TeamQuerySet(models.QuerySet):
    """Rows of one service only."""

    def for_team(self, user: User) -> TeamQuerySet:
        """What this member of staff's own service holds."""
        return self.filter(service_id=user.service_id)

    def going_on(self) -> TeamQuerySet:
        """People whose programme has not ended."""
        return self.exclude(pk__in=ProgrammeEnd.objects.filter(undone_at__isnull=True).values("person"))


class Person(models.Model):
    """Whoever the programme is for. Identity only: what was found is in the assessments."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    service = models.ForeignKey("team.Service", on_delete=models.PROTECT, related_name="people")
    first_name = models.CharField(max_length=80)
    last_name = models.CharField(max_length=80)
    born_on = models.DateField(null=True, blank=True)
    sex = models.CharField(max_length=8, blank=True, choices=[("female", "female"), ("male", "male")])
    local_number = models.CharField(max_length=40, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    language = models.CharField(max_length=40, blank=True)  # spoken, in anyone's words
    language_tag = models.CharField(max_length=12, blank=True)  # of pages and prints; "" is English
    reach_ways = models.JSONField(default=list, blank=True)  # keys of reach.Way; empty is not asked
    reach_at = models.CharField(max_length=200, blank=True)  # email, address, or the helper's name and number
    reach_needs = models.CharField(max_length=200, blank=True)  # hearing, seeing, speaking, in their own words
    interpreter = models.CharField(max_length=8, blank=True, choices=Interpreter)  # "" is not asked
    interpreter_language = models.CharField(max_length=60, blank=True)
    interpreter_on = models.DateField(null=True, blank=True)  # the day one is booked for
    interpreter_note = models.CharField(max_length=200, blank=True)
    look = models.CharField(max_length=20, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)
    history = HistoricalRecords()
    objects = TeamQuerySet.as_manager()

    class Meta:
        """Listed by family name."""

        ordering = ["last_name", "first_name", "born_on"]

    def __str__(self) -> str:
        return f"{self.first_name} {self.last_name}"

    @property
    def reach(self) -> Reach:
        """How to reach them, as of today."""
        return Reach(
            ways=tuple(self.reach_ways),
            at=self.reach_at,
            phone=self.phone,
            needs=self.reach_needs,
            interpreter=self.interpreter,
            language=self.interpreter_language,
            booked_on=self.interpreter_on,
            booked_note=self.interpreter_note,
            today=timezone.localdate(),
        )


class ProgrammeEnd(models.Model):
    """The end of a person's programme: on which day, why, and who said so. Taken back, never removed."""

    class Why(models.TextChoices):
        """Why it ended."""

        FINISHED = "finished", "Finished the programme"
        STOPPED = "stopped", "Chose to stop"
        UNWELL = "unwell", "Cannot go on for reasons of health"
        MOVED = "moved", "Moved away, or goes on elsewhere"
        LOST = "lost", "Could not be reached any more"
        DIED = "died", "Died"

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="ends")
    ended_on = models.DateField()
    why = models.CharField(max_length=10, choices=Why)
    note = models.TextField(blank=True)
    told_by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, related_name="+")
    told_at = models.DateTimeField()
    undone_by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        """Newest first; one that stands at a time."""

        ordering = ["-told_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["person"], condition=models.Q(undone_at__isnull=True), name="one_end_at_a_time"
            )
        ]

    def __str__(self) -> str:
        return f"End of {self.person}'s programme on {self.ended_on:%Y-%m-%d}"


def end_of(person: Person) -> ProgrammeEnd | None:
    """The end that stands; ``None`` while the programme goes on."""
    return person.ends.filter(undone_at__isnull=True).first()


class Referral(models.Model):
    """A referral, typed in or imported. An import is a proposal until a member of staff confirms it."""

    class State(models.TextChoices):
        """Where a referral stands."""

        PROPOSED = "proposed", "to confirm"
        CONFIRMED = "confirmed", "confirmed"
        DECLINED = "declined", "declined"

    service = models.ForeignKey("team.Service", on_delete=models.PROTECT, related_name="referrals")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="referrals")
    state = models.CharField(max_length=10, choices=State, default=State.PROPOSED)
    received_at = models.DateTimeField(auto_now_add=True)
    source_file = models.BinaryField(null=True, blank=True, editable=False)
    proposal = models.JSONField(default=dict)  # what the file or the form said, item by item
    reason = models.TextField(blank=True)  # what the referrer asks for
    referrer = models.CharField(max_length=160, blank=True)
    decided_by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, null=True, blank=True)
    decided_at = models.DateTimeField(null=True, blank=True)
    form_id = models.UUIDField(null=True, blank=True, unique=True, editable=False)  # of the page it was typed on
    history = HistoricalRecords(excluded_fields=["source_file"])
    objects = TeamQuerySet.as_manager()

    class Meta:
        """Newest first."""

        ordering = ["-received_at"]

    def __str__(self) -> str:
        return f"Referral {self.pk} ({self.get_state_display()})"
