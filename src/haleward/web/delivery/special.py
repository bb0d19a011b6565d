"""Days that are not like others: told by the person, a helper or staff, and taken back again."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any, TypedDict
from uuid import UUID, uuid5

from django.db import transaction
from django.utils import timezone

from haleward.dose.log import WALK
from haleward.web.accounts.models import User
from haleward.web.concerns.models import Concern
from haleward.web.delivery.actions import store_all
from haleward.web.delivery.links import Holder
from haleward.web.delivery.models import SpecialDays
from haleward.web.people.models import Person
from haleward.web.prescription.models import signed_of
from haleward.web.team import protocol as in_force

FASTING_TOPIC = "fasting"


class Days(TypedDict):
    """What a form tells: kind, both ends, and the time there is on a part day."""

    kind: str
    first_on: date
    last_on: date
    minutes: int | None


@transaction.atomic
def tell_days(special_id: UUID, days: Days, *, holder: Holder, user: User | None, now: datetime) -> SpecialDays:
    """Keep the days, once for each id. Illness goes the way of a symptom; fasting asks a nurse about the medicines."""
    person = holder.person
    row, new = SpecialDays.objects.get_or_create(
        id=special_id,
        person=person,
        defaults={**days, "origin": holder.origin, "told_by": user, "told_at": now},
    )
    if new and row.kind == SpecialDays.Kind.ILL:
        _tell_illness(row, holder=holder, now=now)
    if new and row.kind == SpecialDays.Kind.FASTING:
        _ask_nurse(row, now=now)
    return row


def take_back(person: Person, special_id: UUID, *, now: datetime) -> bool:
    """The days are as they were; what was told stays in the record."""
    standing = person.special_days.filter(pk=special_id, withdrawn_at__isnull=True)
    return bool(standing.update(withdrawn_at=now))


def illness_topic(person: Person) -> str:
    """The safety topic that means illness in the protocol; "" when it names none."""
    return next(iter(in_force.protocol_of(person.service).policies.progression.illness_topics or ()), "")


def _tell_illness(row: SpecialDays, *, holder: Holder, now: datetime) -> None:
    """An entry of the log: a concern follows, the plan is held, and the doses step back where the protocol says so."""
    plan, topic = signed_of(row.person), illness_topic(row.person)
    if plan is None or not topic:
        return
    about = {"session_id": str(row.pk), "sheet_id": "told", "plan_version": plan.version, "part_key": WALK}
    data: dict[str, Any] = about | {"topic": topic, "outside": True}
    moment = timezone.localtime(now).isoformat()
    entry = {"entry_id": str(uuid5(row.pk, "illness")), "kind": "unwell", "at": moment, "data": data}
    store_all([entry], holder=holder, now=now)


def _ask_nurse(row: SpecialDays, *, now: datetime) -> None:
    first, last = (f"{day:%-d %B}" for day in (row.first_on, row.last_on))
    what = in_force.wording().text("fasting_concern", {"first_day": first, "last_day": last})
    Concern.objects.create(
        person=row.person,
        urgency=Concern.Urgency.NEXT_WORKING_DAY,
        topic=FASTING_TOPIC,
        text=what,
        raised_at=now,
        session_id=row.pk,
    )
