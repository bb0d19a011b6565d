"""What staff do with an assessment, each in one transaction."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from django.db import transaction
from django.http import QueryDict
from django.utils import timezone

from haleward.errors import HalewardError
from haleward.record import Record
from haleward.web.accounts.models import User
from haleward.web.assessment import mapping
from haleward.web.assessment.bundle import AssessmentForm
from haleward.web.assessment.from_referral import record_from_referral, rows_to_sort
from haleward.web.assessment.models import Assessment, draft_of, finished_of
from haleward.web.assessment.questions import further_questions
from haleward.web.assessment.titles import movement_choices
from haleward.web.people.models import Person
from haleward.web.prescription.proposals import renew_proposals
from haleward.web.team import protocol as in_force


def form_of(person: Person, data: QueryDict | None = None) -> AssessmentForm:
    """The form, opened on the draft, else on the last finished assessment, else on what the referral says."""
    before = _starting_point(person)
    initial = mapping.initial_of(before or _from_referral(person))
    if before is None:
        for name, rows in rows_to_sort(person).items():
            initial[name] += rows
    return AssessmentForm(
        data,
        person=person,
        before=before,
        initial=initial,
        further=further_questions(in_force.protocol_of(person.service)),
        movements=movement_choices(),
    )


def mark_of(draft: Assessment | None) -> str:
    """What the page carries so that a save can tell whether someone else saved in between."""
    return draft.changed_at.isoformat() if draft else ""


def conflict(draft: Assessment | None, seen: str, user: User) -> str:
    """One sentence when a colleague saved this draft since the page was opened; else ""."""
    if draft is None or mark_of(draft) == seen or draft.author_id == user.pk:
        return ""
    when = timezone.localtime(draft.changed_at)
    values = {"name": draft.author.get_full_name(), "time": f"{when:%H:%M}"}
    return in_force.wording_of(user.service).text("conf_edit", values)


@transaction.atomic
def save(form: AssessmentForm, *, user: User, finish: bool, now: datetime) -> Assessment:
    """Keep the valid form as the person's draft, or as a finished assessment that never changes again."""
    record = form.record()
    row = draft_of(form.person) or Assessment(person=form.person)
    row.author, row.assessed_on, row.record = user, record.assessed_on, mapping.stored(record)
    row.finished_at = now if finish else None
    row.save()
    if finish:
        renew_proposals(form.person, now)  # a changed medicine, a new restriction or lost kit may ask for a step back
    return row


@transaction.atomic
def release_restriction(person: Person, index: int, *, reason: str, user: User, now: datetime) -> Assessment:
    """End one restriction: a new finished assessment differs from the last in this alone; an open draft follows."""
    last = finished_of(person)
    record = mapping.record_of(last) if last else None
    if record is None or not 0 <= index < len(record.restrictions) or record.restrictions[index].released_on:
        raise HalewardError("This restriction is no longer open. Open the person's page again to see what is in force.")
    released = mapping.release(record, index, released_on=timezone.localdate(now), by=str(user), reason=reason)
    if (draft := draft_of(person)) is not None:
        _release_in_draft(draft, record, released)
    row = Assessment.objects.create(
        person=person, author=user, assessed_on=released.assessed_on, record=mapping.stored(released), finished_at=now
    )
    renew_proposals(person, now)
    return row


def _starting_point(person: Person) -> Record | None:
    if (draft := draft_of(person)) is not None:
        return mapping.record_of(draft)
    if (last := finished_of(person)) is not None:
        return replace(mapping.record_of(last), assessed_on=timezone.localdate())
    return None


def _from_referral(person: Person) -> Record:
    today = timezone.localdate()
    return record_from_referral(person, today) or Record(**mapping.identity(person), assessed_on=today)


def _release_in_draft(draft: Assessment, before: Record, after: Record) -> None:
    """The same restriction, released in the draft too, so that finishing it does not bring it back."""
    swapped = {
        (old.kind, old.author, old.start_on): new
        for old, new in zip(before.restrictions, after.restrictions, strict=True)
        if old != new
    }
    record = mapping.record_of(draft)
    restrictions = tuple(swapped.get((r.kind, r.author, r.start_on), r) for r in record.restrictions)
    draft.record = mapping.stored(replace(record, restrictions=restrictions))
    draft.save()
