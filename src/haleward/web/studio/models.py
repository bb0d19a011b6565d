"""How a person's sessions are told, and the films that were asked for."""

from __future__ import annotations

import uuid

from django.db import models
from simple_history.models import HistoricalRecords

from haleward.web.people.models import Person
from haleward.web.prescription.models import ProgrammeVersion


class SessionChoice(models.Model):
    """The options of one person's sessions, as ``session.options`` reads them; no row means the usual ones."""

    person = models.OneToOneField(Person, on_delete=models.PROTECT, related_name="session_choice")
    options = models.JSONField(default=dict)
    changed_by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, related_name="+")
    changed_at = models.DateTimeField(auto_now=True)
    history = HistoricalRecords()

    def __str__(self) -> str:
        return f"Session options of {self.person}"


class ServiceVoice(models.Model):
    """A voice file that a service added. The file is kept under ``digest``, the mark of its content."""

    service = models.ForeignKey("team.Service", on_delete=models.PROTECT, related_name="voices")
    name = models.CharField(max_length=80)
    digest = models.CharField(max_length=64)
    size_bytes = models.PositiveBigIntegerField()
    pace = models.FloatField()  # length of a sentence, as a share of what the usual voice needs
    otherwise = models.JSONField(default=list)  # phrases that the usual voice says for it
    in_use = models.BooleanField(default=False)
    added_by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, related_name="+")
    added_at = models.DateTimeField()
    history = HistoricalRecords()

    class Meta:
        """Each content once in a service, and one voice in use."""

        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["service", "digest"], name="each_voice_once"),
            models.UniqueConstraint(fields=["service"], condition=models.Q(in_use=True), name="one_voice_in_use"),
        ]

    def __str__(self) -> str:
        return self.name


class FilmJob(models.Model):
    """One film being made in the background. ``mark`` names all that it is made from: one job for one mark and size."""

    class State(models.TextChoices):
        """Where the work stands."""

        WAITING = "waiting", "Waiting"
        RUNNING = "running", "Being made"
        DONE = "done", "Ready"
        FAILED = "failed", "Not made"
        CANCELLED = "cancelled", "Stopped"

    class Size(models.TextChoices):
        """How large the picture is."""

        LARGE = "large", "Large (720 lines)"
        SMALL = "small", "Small (480 lines)"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    programme = models.ForeignKey(ProgrammeVersion, on_delete=models.PROTECT, related_name="film_jobs")
    part_key = models.CharField(max_length=8)
    size = models.CharField(max_length=8, choices=Size)
    mark = models.CharField(max_length=64)
    state = models.CharField(max_length=12, choices=State, default=State.WAITING)
    share = models.FloatField(default=0)  # 0 to 1 of the work
    sentence = models.CharField(max_length=500, default="")  # what is being done, or why it was not made
    tries = models.PositiveSmallIntegerField(default=0)
    cancel_asked = models.BooleanField(default=False)
    asked_by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, related_name="+")
    asked_at = models.DateTimeField(auto_now_add=True)
    beat_at = models.DateTimeField(null=True, blank=True)  # the worker's last sign of life
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        """Newest first; never two live jobs for the same film."""

        ordering = ["-asked_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["mark", "size"],
                condition=models.Q(state__in=["waiting", "running"]),
                name="one_live_job_a_film",
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_size_display()} film of part {self.part_key}, {self.programme}"

    @property
    def live(self) -> bool:
        """Whether it is still to be made or being made."""
        return self.state in (self.State.WAITING, self.State.RUNNING)

    @property
    def percent(self) -> int:
        """How far it is, for a progress bar."""
        return round(self.share * 100)
