"""Versions of a service's protocol, what was changed in each, and whom a newly signed one touched."""

from __future__ import annotations

from hashlib import sha256
from typing import Any

from django.db import models

from haleward.errors import Inconsistent

PROTOCOL_FORMAT = "haleward-protocol-1"  # of the stored text; a file that a later format replaces still opens


def digest_of(text: str) -> str:
    """A fingerprint of a protocol's exact text."""
    return sha256(text.encode()).hexdigest()


class ProtocolVersion(models.Model):
    """One version of one service's protocol: a draft, the one in force, or one that a newer version replaced.

    A draft may be changed and thrown away. Once signed, a version never changes; only a newer signature ends it.
    ``preview`` names the exact text that it was made for.
    """

    class State(models.TextChoices):
        """Where a version stands."""

        DRAFT = "draft", "draft"
        SIGNED = "signed", "in force"
        REPLACED = "replaced", "replaced by a newer version"

    service = models.ForeignKey("team.Service", on_delete=models.PROTECT, related_name="protocols")
    number = models.PositiveIntegerField()  # counts the service's versions, whatever the text calls itself
    protocol_id = models.CharField(max_length=80, blank=True)
    version = models.CharField(max_length=40, blank=True)
    text = models.TextField()
    digest = models.CharField(max_length=64)
    format = models.CharField(max_length=24, default=PROTOCOL_FORMAT)
    state = models.CharField(max_length=10, choices=State, default=State.DRAFT)
    origin = models.CharField(max_length=200)  # what the draft was started from
    note = models.TextField(blank=True)  # what was changed and why
    made_by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    changed_at = models.DateTimeField()
    preview = models.JSONField(null=True, blank=True)  # protocol.people.Preview as plain values
    previewed_by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    previewed_at = models.DateTimeField(null=True, blank=True)
    signed_by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    signer_name = models.CharField(max_length=160, blank=True)  # as on the day of signing
    signer_role = models.CharField(max_length=160, blank=True)
    signed_at = models.DateTimeField(null=True, blank=True)
    review_due = models.DateField(null=True, blank=True)
    replaced_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        """Newest first; one draft and one version in force for each service."""

        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(fields=["service", "number"], name="one_protocol_a_number"),
            models.UniqueConstraint(
                fields=["service"], condition=models.Q(state="draft"), name="one_protocol_draft_a_service"
            ),
            models.UniqueConstraint(
                fields=["service"], condition=models.Q(state="signed"), name="one_protocol_in_force_a_service"
            ),
            models.CheckConstraint(
                condition=models.Q(state="draft", signed_by__isnull=True, signed_at__isnull=True)
                | models.Q(
                    ~models.Q(state="draft"),
                    ~models.Q(signer_name=""),
                    signed_by__isnull=False,
                    signed_at__isnull=False,
                    review_due__isnull=False,
                ),
                name="protocol_in_force_has_signature",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.protocol_id or 'protocol'}, version {self.version or self.number}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Keeps the fingerprint true, and refuses to change a signed version in any way."""
        if self.pk and ProtocolVersion.objects.filter(pk=self.pk).exclude(state=self.State.DRAFT).exists():
            raise Inconsistent(f"Protocol {self.version} is signed and never changes. Change it in the next version.")
        self.digest = digest_of(self.text)
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Only a draft may be thrown away."""
        if self.state != self.State.DRAFT:
            raise Inconsistent(f"Protocol {self.version} is signed and is kept.")
        return super().delete(*args, **kwargs)


class ProtocolChange(models.Model):
    """What one member of staff changed in a draft, in sentences. Kept with the version."""

    version = models.ForeignKey(ProtocolVersion, on_delete=models.CASCADE, related_name="changes")
    made_by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    sentences = models.JSONField()

    class Meta:
        """Newest first."""

        ordering = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return f"Change of {self.version}"


class ProtocolReview(models.Model):
    """A person whose gate, range, placement or dose a newly signed version changed, until a lead has looked."""

    person = models.ForeignKey("people.Person", on_delete=models.PROTECT, related_name="protocol_reviews")
    version = models.ForeignKey(ProtocolVersion, on_delete=models.PROTECT, related_name="reviews")
    changes = models.JSONField()  # a sentence for each thing that changed
    is_stricter = models.BooleanField()  # the gate now says less than it did: someone must look today
    made_at = models.DateTimeField()
    closed_by = models.ForeignKey("accounts.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    closed_at = models.DateTimeField(null=True, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        """By family name; one row for a person and a version."""

        ordering = ["person__last_name", "person__first_name"]
        constraints = [models.UniqueConstraint(fields=["person", "version"], name="one_protocol_review_a_person")]

    def __str__(self) -> str:
        return f"Review of {self.person} under {self.version}"

    @classmethod
    def open_for(cls, service_id: int) -> models.QuerySet[ProtocolReview]:
        """Those nobody has answered: not closed, and no plan signed since."""
        later_plan = models.Q(person__programmes__signed_at__gt=models.F("made_at"))
        rows = cls.objects.filter(person__service_id=service_id, closed_at__isnull=True).exclude(later_plan)
        return rows.select_related("person", "version")


def draft_of(service: Any) -> ProtocolVersion | None:
    """The service's draft."""
    return ProtocolVersion.objects.filter(service=service, state=ProtocolVersion.State.DRAFT).first()


def in_force_of(service: Any) -> ProtocolVersion | None:
    """The service's signed version in force; ``None`` while it uses the default of its jurisdiction."""
    return ProtocolVersion.objects.filter(service=service, state=ProtocolVersion.State.SIGNED).first()
