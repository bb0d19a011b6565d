"""Whom a draft would change among the service's own people."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import Q
from django.utils import timezone

from haleward.dose.preview import Difference, PersonPreview, Subject, preview
from haleward.physiology.tables import texts
from haleward.plain import from_plain, to_plain
from haleward.record import DayCheck
from haleward.safety.protocol import Protocol
from haleward.web.assessment.mapping import record_of
from haleward.web.assessment.models import finished_of
from haleward.web.people.models import Person
from haleward.web.protocol.models import ProtocolReview, ProtocolVersion
from haleward.web.protocol.versions import version_in_force
from haleward.web.team.models import Service
from haleward.web.team.protocol import library, protocol_of

PEOPLE_A_STEP = 100  # so that a step is answered well within two seconds
OUTCOMES = ("go_ahead", "check_first", "not_today")  # mildest first


@dataclass(frozen=True)
class Preview:
    """What was found so far: after ``done`` of ``total`` people, whom the text changes; ``without`` lack an assessment.

    ``against`` is the version in force it was compared with, and ``made_on`` the day it was computed for.
    """

    digest: str
    against: str
    made_on: date
    done: int
    total: int
    without: int
    people: tuple[PersonPreview, ...]

    @property
    def is_whole(self) -> bool:
        """Whether everyone was asked."""
        return self.done >= self.total

    @property
    def asked(self) -> int:
        """How many people have an assessment to compute from."""
        return self.done - self.without

    @property
    def counts(self) -> Counter[str]:
        """How many people each thing changes for."""
        return Counter(what for one in self.people for what in {found.what for found in one.differences})

    def stored(self) -> dict[str, Any]:
        """As plain values."""
        plain = to_plain(self)
        assert isinstance(plain, dict)
        return plain


def stored_preview(row: ProtocolVersion) -> Preview | None:
    """The draft's preview, if it belongs to its text and to the version in force."""
    if row.preview is None:
        return None
    found = from_plain(Preview, row.preview)
    return found if (found.digest, found.against) == (row.digest, version_in_force(row.service).key) else None


def next_step(row: ProtocolVersion, new: Protocol, *, today: date, everyone: bool) -> Preview:
    """The preview with the next people asked, or with all who are left."""
    before = stored_preview(row)
    if before is None or before.is_whole or before.made_on != today:
        before = _nothing_yet(row, today)
    end = before.total if everyone else before.done + PEOPLE_A_STEP
    people = list(people_of(row.service)[before.done : end])
    subjects = [subject for person in people if (subject := _subject(person)) is not None]
    found = preview(subjects, protocol_of(row.service), new, library=library(), today=today)
    return Preview(
        digest=before.digest,
        against=before.against,
        made_on=today,
        done=before.done + len(people) if before.done + len(people) < before.total else before.total,
        total=before.total,
        without=before.without + len(people) - len(subjects),
        people=(*before.people, *found.people),
    )


def _nothing_yet(row: ProtocolVersion, today: date) -> Preview:
    against = version_in_force(row.service).key
    return Preview(row.digest, against, today, 0, people_of(row.service).count(), 0, ())


def people_of(service: Service) -> Any:
    """Everyone of the service, in an order that does not change while steps are made."""
    return Person.objects.filter(service=service).select_related("service").order_by("pk")


def _subject(person: Person) -> Subject | None:
    """The person with their latest check of the day; ``None`` before the first finished assessment."""
    row = finished_of(person)
    if row is None:
        return None
    check = person.day_checks.filter(assessment=row).first()
    day = DayCheck(timezone.localtime(check.asked_at), check.answers, "staff") if check else None
    return Subject(str(person.pk), record_of(row), day, place="hall")


def looked_at(row: ProtocolVersion, *, today: date) -> Preview | None:
    """The whole preview of the draft's exact text, computed today against what is in force: what a signer has seen."""
    found = stored_preview(row)
    return found if found is not None and found.is_whole and found.made_on == today else None


def review_rows(row: ProtocolVersion, new: Protocol, seen: Preview, *, now: datetime) -> list[ProtocolReview]:
    """A row to look at for each person whom the draft changes: those of the preview that was ``seen``.

    Only people assessed or checked after it are asked anew.
    """
    since = row.previewed_at
    later = Q(assessments__finished_at__gt=since) | Q(day_checks__asked_at__gt=since)
    newer = {str(person.pk): person for person in people_of(row.service).filter(later).distinct()}
    subjects = [subject for person in newer.values() if (subject := _subject(person)) is not None]
    today = timezone.localdate(now)
    found = preview(subjects, protocol_of(row.service), new, library=library(), today=today)
    changed = (*(one for one in seen.people if one.key not in newer), *found.people)
    people = {str(pk): person for pk, person in people_of(row.service).in_bulk([one.key for one in changed]).items()}
    return [
        ProtocolReview(
            person=people[one.key],
            version=row,
            changes=[difference.sentence for difference in one.differences],
            is_stricter=is_stricter(one.differences),
            made_at=now,
        )
        for one in changed
        if one.key in people
    ]


def is_stricter(differences: Sequence[Difference]) -> bool:
    """Whether a gate says less than it did."""
    order = [texts("preview_wording")[f"outcome_{outcome}"] for outcome in OUTCOMES]
    gates = [one for one in differences if one.what in ("entry_gate", "session_gate")]
    known = [one for one in gates if one.before in order and one.after in order]
    return any(order.index(one.after) > order.index(one.before) for one in known)
