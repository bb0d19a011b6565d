"""What staff do with the protocol, each in one transaction: start, change, import, discard, preview, sign."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from functools import lru_cache

from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from haleward.errors import HalewardError
from haleward.safety import edits
from haleward.safety.edits_document import Document
from haleward.safety.edits_fields import typed
from haleward.safety.protocol import Protocol, read_protocol
from haleward.safety.words import ended
from haleward.web.accounts.models import User
from haleward.web.protocol.checks import serious_findings
from haleward.web.protocol.choosing import choice_words, choices_elsewhere
from haleward.web.protocol.models import (
    ProtocolChange,
    ProtocolReview,
    ProtocolVersion,
    draft_of,
)
from haleward.web.protocol.people import Preview, looked_at, review_rows
from haleward.web.protocol.versions import Version
from haleward.web.team.models import Service

DRAFT_NAME = "the draft"  # how faults name the text that is being written


@transaction.atomic
def start_draft(start: Version, *, user: User, now: datetime) -> ProtocolVersion:
    """The service's draft: the one that is open, or a new one from ``start``."""
    open_one = draft_of(user.service)
    if open_one is not None:
        return open_one
    text = _as_draft(start.text, next_version_of(user.service, start.protocol.version))
    if start.row is None and read_protocol(text, name=DRAFT_NAME).jurisdiction != user.service.jurisdiction:
        text = edits.apply(text, [edits.Edit("protocol/jurisdiction", user.service.jurisdiction)])
    return _new_draft(text, f"Started from {_lower(start.title)}", user=user, now=now)


@transaction.atomic
def import_draft(text: str, *, name: str, user: User, now: datetime) -> ProtocolVersion:
    """A draft from a file. Raises :class:`FileFault` with every fault and its line; then nothing is kept."""
    version = next_version_of(user.service, read_protocol(text, name=name).version, taken_only=True)
    text = _as_draft(text, version)
    if (row := draft_of(user.service)) is not None:
        return keep(row, text, (f"Replaced by the file {name}.",), user=user, now=now)
    return _new_draft(text, f"Imported from the file {name}", user=user, now=now)


@lru_cache(maxsize=4)
def _as_draft(text: str, version: str) -> str:
    return edits.as_draft(text, version)


def _new_draft(text: str, origin: str, *, user: User, now: datetime) -> ProtocolVersion:
    protocol = read_protocol(text, name=DRAFT_NAME)
    highest = ProtocolVersion.objects.filter(service=user.service).aggregate(highest=Max("number"))["highest"]
    return ProtocolVersion.objects.create(
        service=user.service,
        number=(highest or 0) + 1,
        protocol_id=protocol.id,
        version=protocol.version,
        text=text,
        origin=origin,
        made_by=user,
        made_at=now,
        changed_at=now,
    )


def next_version_of(service: Service, version: str, *, taken_only: bool = False) -> str:
    """The next version number that no signed version of the service has, so that each decision names one text."""
    signed = ProtocolVersion.objects.filter(service=service).exclude(state=ProtocolVersion.State.DRAFT)
    taken = set(signed.values_list("version", flat=True))
    if not taken_only or version in taken:
        version = edits.next_version(version)
    while version in taken:
        version = edits.next_version(version)
    return version


@transaction.atomic
def change(row: ProtocolVersion, changes: Sequence[edits.Change], *, user: User, now: datetime) -> ProtocolVersion:
    """Make every change or none. Raises with the sentences of what is wrong; the draft is then as it was."""
    before = edits.editable(row.text, choices=choices_elsewhere())
    text = edits.apply(row.text, changes)
    return keep(row, text, tuple(_told(one, before) for one in changes), user=user, now=now)


@transaction.atomic
def keep(row: ProtocolVersion, text: str, said: Sequence[str], *, user: User, now: datetime) -> ProtocolVersion:
    """Store a new text of the draft with what was changed. Raises :class:`FileFault` for a text with faults."""
    protocol = read_protocol(text, name=DRAFT_NAME)
    row.text, row.protocol_id, row.version, row.changed_at = text, protocol.id, protocol.version, now
    row.save()
    if said:
        ProtocolChange.objects.create(version=row, made_by=user, made_at=now, sentences=list(said))
    return row


def _told(one: edits.Change, before: edits.Sections) -> str:
    """What one change does, in a sentence."""
    if isinstance(one, edits.NewRule):
        return f"New rule: {one.wording or 'from its condition'} {one.advice}"
    if isinstance(one, edits.Retirement):
        return f"Rule {one.rule_id} is retired: {one.reason}"
    field = before.find(one.path)
    entry = next((entry for entry in before.entries() if one.path.startswith(f"{entry.path}/")), None)
    about = f"{entry.id}: " if entry and "/" in entry.path else ""
    if field is None:
        *_, name, key = one.path.split("/")
        return ended(f"{about or f'Own wording {name}: '}{key} is now “{one.value}”.")
    label = field.label if about else f"{field.label[:1].upper()}{field.label[1:]}"
    was, now = _shown(field, field.value), _shown(field, typed(field, one.value))
    if field.kind == "texts":
        return f"{about}{label}: before {was}; now {now}."
    return ended(f"{about}{label} from {was} to {now}.")


def _shown(field: edits.Field, value: object) -> str:
    """A value as the history tells it: codes by their words, texts as quotations."""
    if isinstance(value, list):
        return ", ".join(_shown(field, one) for one in value) or "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return f"{value:g}"
    if field.kind in ("choice", "texts"):
        return choice_words(field, str(value))
    text = str(value)
    return f"“{text}”" if " " in text else text or "nothing"


def _lower(text: str) -> str:
    return f"{text[:1].lower()}{text[1:]}"


@transaction.atomic
def accept(row: ProtocolVersion, *, finding: str, reason: str, user: User, now: datetime) -> ProtocolVersion:
    """Keep what the analysis found, with the reason; both stand in the file."""
    document = Document(row.text)
    document.add_row("accepted", {"finding": finding, "reason": reason})
    return keep(row, str(document), (f"Kept as it is ({finding}): {reason}",), user=user, now=now)


@transaction.atomic
def note(row: ProtocolVersion, text: str) -> None:
    """What was changed in this version, and why."""
    row.note = text
    row.save()


@transaction.atomic
def keep_preview(row: ProtocolVersion, preview: Preview, *, user: User, now: datetime) -> None:
    """What the draft would change among the service's people, for its exact text."""
    row.preview = preview.stored()
    row.previewed_by, row.previewed_at = user, now
    row.save()


@transaction.atomic
def sign(row: ProtocolVersion, *, review_due: date, user: User, now: datetime) -> None:
    """Put the draft in force under the clinical lead's name, and say whom it changes."""
    today = timezone.localdate(now)
    protocol, seen = refuse_signature(row, user=user, today=today)
    rows = review_rows(row, protocol, seen, now=now)
    name = user.get_full_name() or user.username
    row.text = edits.signed(row.text, by=name, role=user.profession, on=today, review_due=review_due)
    ProtocolVersion.objects.filter(service=row.service, state=ProtocolVersion.State.SIGNED).update(
        state=ProtocolVersion.State.REPLACED, replaced_at=now
    )
    row.state, row.review_due = ProtocolVersion.State.SIGNED, review_due
    row.signed_by, row.signer_name, row.signer_role, row.signed_at = user, name, user.profession, now
    row.save()
    ProtocolReview.objects.bulk_create(rows)


def refuse_signature(row: ProtocolVersion, *, user: User, today: date) -> tuple[Protocol, Preview]:
    """The draft as read, and its preview; one sentence when it may not be signed, or not by this member of staff."""
    if not user.is_clinical_lead:
        raise HalewardError("Only the clinical lead signs the protocol. Your service manager names the clinical lead.")
    protocol = read_protocol(row.text, name=DRAFT_NAME)
    if found := serious_findings(row.text):
        raise HalewardError(f"The checks found {len(found)} to put right before signing. See the list on the draft.")
    if not row.note.strip():
        raise HalewardError("Write down what is changed and why before signing; it stays with the version.")
    seen = looked_at(row, today=today)
    if seen is None:
        raise HalewardError("Look first at whom this exact text would change today. Make the preview again, then sign.")
    taken = ProtocolVersion.objects.filter(service=row.service, version=row.version).exclude(pk=row.pk)
    if taken.exists():
        raise HalewardError(f"There is a version {row.version} already. Give the draft another version.")
    return protocol, seen


@transaction.atomic
def close_review(review: ProtocolReview, note: str, *, user: User, now: datetime) -> None:
    """A lead has looked at the person under the new version."""
    if review.closed_at is not None:
        raise HalewardError("A colleague has closed this already.")
    review.closed_by, review.closed_at, review.note = user, now, note
    review.save()
