"""The daily look at everybody: a pause, a review or an old reading asks for less without any log.

The worker beside the server looks once a day by itself; a lead can look again at any time. Both are safe to repeat.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from datetime import datetime, timedelta

from django.db import IntegrityError, OperationalError, connection, transaction
from django.utils import timezone

from haleward.errors import HalewardError
from haleward.web.people.models import Person
from haleward.web.prescription.models import DailyLook
from haleward.web.prescription.proposals import renew_proposals
from haleward.web.team.models import Service

BROKE_OFF_AFTER = timedelta(minutes=15)  # a look without an end for so long is begun anew: its process died
EVERY_S = 60.0  # how often the worker asks whether a look is due
_log = logging.getLogger(__name__)


def look_where_due(now: datetime) -> list[DailyLook]:
    """Look at everybody of each service that nobody has looked at today; the looks that were made."""
    rows = (_claim(service, now) for service in Service.objects.order_by("pk"))
    return [_look(row, now) for row in rows if row is not None]


def look_again(service: Service, now: datetime) -> DailyLook:
    """Look at everybody now, whether or not somebody did today."""
    row, _ = DailyLook.objects.update_or_create(
        service=service, day=timezone.localdate(now), defaults={"begun_at": now, "ended_at": None}
    )
    return _look(row, now)


def last_look(service: Service) -> DailyLook | None:
    """The newest look that was finished."""
    return service.daily_looks.filter(ended_at__isnull=False).first()


def _claim(service: Service, now: datetime) -> DailyLook | None:
    """Today's look, if it is ours to make: nobody made it, or whoever began it is gone."""
    day = timezone.localdate(now)
    try:
        with transaction.atomic():
            return DailyLook.objects.create(service=service, day=day, begun_at=now)
    except IntegrityError:  # made today already, or being made
        here = DailyLook.objects.filter(service=service, day=day)
        ours = here.filter(ended_at__isnull=True, begun_at__lte=now - BROKE_OFF_AFTER).update(begun_at=now)
        return here.get() if ours else None


def _look(row: DailyLook, now: datetime) -> DailyLook:
    """Bring everybody's proposals up to date; one who cannot be looked at is named and stops nobody else."""
    people = Person.objects.going_on().filter(service=row.service, programmes__signed_at__isnull=False).distinct()
    row.people, row.waiting, row.faults = 0, 0, []
    for person in people.select_related("service"):
        row.people += 1
        try:
            row.waiting += len(renew_proposals(person, now))
        except HalewardError as fault:
            row.faults.append(f"{person}: {fault}")
    row.ended_at = max(now, timezone.now())
    row.save()
    return row


def look_every_day(stop: threading.Event, *, clock: Callable[[], datetime] = timezone.now) -> None:
    """Look as soon as a day has begun, until ``stop`` is set; for the worker's own thread."""
    while not stop.is_set():
        try:
            look_where_due(clock())
        except OperationalError:  # the store was busy or away for a moment: the next minute tries again
            _log.exception("The daily look at everybody was put off by a minute.")
        finally:
            connection.close()
        stop.wait(EVERY_S)
