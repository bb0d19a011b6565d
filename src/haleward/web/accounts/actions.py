"""What the manager decides about staff, each in one transaction."""

from __future__ import annotations

from datetime import date, datetime

from axes.utils import reset
from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.models import Session
from django.db import transaction

from haleward.errors import HalewardError
from haleward.web.accounts.models import AccountStep, Role, User
from haleward.web.concerns.handling import return_to_queue


@transaction.atomic
def name_clinical_lead(colleague: User, profession: str, *, today: date) -> None:
    """Make this colleague the one who signs the protocol. What an earlier clinical lead signed stays signed."""
    User.objects.filter(service_id=colleague.service_id, clinical_lead_since__isnull=False).exclude(
        pk=colleague.pk
    ).update(clinical_lead_since=None)
    colleague.profession = profession
    colleague.clinical_lead_since = colleague.clinical_lead_since or today
    colleague.save(update_fields=["profession", "clinical_lead_since"])


@transaction.atomic
def switch_off(colleague: User, *, by: User, now: datetime) -> None:
    """Close this account: nobody signs in with it, and whoever is signed in is out at once. What they did stays.

    The concerns that they had taken go back into the queue.

    Raises a sentence for one's own account and for the last manager: nobody could switch it on again.
    """
    managers = User.objects.select_for_update().filter(
        service_id=colleague.service_id, role=Role.MANAGER, is_active=True
    )
    if colleague.pk == by.pk:
        raise HalewardError("This is your own account. Another service manager can switch it off.")
    if not managers.exclude(pk=colleague.pk).exists():
        raise HalewardError(f"{colleague.get_full_name()} is the last service manager. Add another one first.")
    colleague.is_active, colleague.clinical_lead_since = False, None
    colleague.save(update_fields=["is_active", "clinical_lead_since"])
    for session in Session.objects.filter(expire_date__gt=now):
        if session.get_decoded().get(SESSION_KEY) == str(colleague.pk):
            session.delete()
    returned = return_to_queue(colleague, by=by, now=now)
    _step(colleague, AccountStep.Kind.OFF, by=by, now=now, concerns_returned=returned)


@transaction.atomic
def switch_on(colleague: User, *, by: User, now: datetime) -> None:
    """Open the account again, with the password it had."""
    colleague.is_active = True
    colleague.save(update_fields=["is_active"])
    _step(colleague, AccountStep.Kind.ON, by=by, now=now)


@transaction.atomic
def give_password(colleague: User, password: str, *, by: User, now: datetime) -> None:
    """A new password. Sessions opened with the old one end, and wrong tries are forgotten."""
    colleague.set_password(password)
    colleague.save(update_fields=["password"])
    reset(username=colleague.get_username())
    _step(colleague, AccountStep.Kind.PASSWORD, by=by, now=now)


def _step(colleague: User, kind: str, *, by: User, now: datetime, concerns_returned: int = 0) -> None:
    AccountStep.objects.create(colleague=colleague, kind=kind, at=now, by=by, concerns_returned=concerns_returned)
