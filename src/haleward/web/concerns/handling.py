"""What staff do about a concern: take it, contact the person, note, hand over, close. Each is a step of its history.

A concern is open until somebody closes it with an outcome; the store refuses anything else.
"""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from haleward.errors import HalewardError
from haleward.web.accounts.models import User
from haleward.web.concerns.models import Concern, ConcernStep
from haleward.web.prescription.proposals import renew_proposals

Kind = ConcernStep.Kind
HANDLING_ROLES = ("nurse", "lead")


@transaction.atomic
def take(row: Concern, *, user: User, now: datetime) -> None:
    """Put a name on it. Of two who press at the same moment one gets it, and the other is told who did."""
    free = Concern.objects.filter(pk=row.pk, closed_at__isnull=True, taken_by__isnull=True)
    if not free.update(taken_by=user, taken_at=now):
        row.refresh_from_db()
        _refuse_closed(row)
        assert row.taken_by is not None  # neither free nor closed
        who = "You have" if row.taken_by == user else f"{row.taken_by.get_full_name()} has"
        raise HalewardError(f"{who} taken this already. Nothing was changed; ask them if you want to take over.")
    _step(row, Kind.TAKEN, user=user, now=now)


@transaction.atomic
def add_call(row: Concern, text: str, *, user: User, now: datetime, way: str = "") -> None:
    """The person was called, or contacted in another ``way``; ``text`` says whether they were reached and more."""
    _refuse_closed(_locked(row))
    _step(row, Kind.CALLED, text, user=user, now=now, way=way)


@transaction.atomic
def add_note(row: Concern, text: str, *, user: User, now: datetime) -> None:
    """Something that the next reader should know."""
    _refuse_closed(_locked(row))
    _step(row, Kind.NOTED, text, user=user, now=now)


@transaction.atomic
def hand_over(row: Concern, to: str, text: str, *, user: User, now: datetime) -> None:
    """Give it to a colleague (``to`` is "user:7") or back into the queue of a role ("role:nurse")."""
    fresh = _locked(row)
    _refuse_closed(fresh)
    kind, _, name = to.partition(":")
    if kind == "role":
        fresh.for_role, fresh.taken_by, fresh.taken_at = name, None, None
        fresh.save(update_fields=["for_role", "taken_by", "taken_at"])
        _step(fresh, Kind.HANDED_OVER, text, user=user, now=now, to_role=name)
        return
    colleague = User.objects.get(pk=int(name), service_id=user.service_id, role__in=HANDLING_ROLES, is_active=True)
    fresh.taken_by, fresh.taken_at = colleague, now
    fresh.save(update_fields=["taken_by", "taken_at"])
    _step(fresh, Kind.HANDED_OVER, text, user=user, now=now, to_user=colleague)


@transaction.atomic
def return_to_queue(colleague: User, *, by: User, now: datetime) -> int:
    """Whatever a colleague had taken waits for somebody else, with a step that says so; how many that were.

    It goes to the role it was for.
    """
    rows = list(Concern.objects.select_for_update().filter(taken_by=colleague, closed_at__isnull=True))
    for row in rows:
        row.taken_by, row.taken_at = None, None
        row.save(update_fields=["taken_by", "taken_at"])
        text = f"The account of {colleague.get_full_name()}, who had taken it, is switched off."
        _step(row, Kind.HANDED_OVER, text, user=by, now=now, to_role=row.for_role)
    return len(rows)


@transaction.atomic
def close(row: Concern, outcome: str, *, user: User, now: datetime) -> None:
    """End it with what was done. Without an outcome nothing leaves the queue."""
    fresh = _locked(row)
    _refuse_closed(fresh)
    if not outcome.strip():
        raise HalewardError("A concern is closed only with its outcome. Say what was done, then close it.")
    fresh.closed_by, fresh.closed_at, fresh.what_was_done = user, now, outcome.strip()
    fresh.save(update_fields=["closed_by", "closed_at", "what_was_done"])
    _step(fresh, Kind.CLOSED, outcome.strip(), user=user, now=now)
    renew_proposals(fresh.person, now)  # a report that is settled no longer stands against the next step


def targets(user: User) -> list[tuple[str, str]]:
    """To whom this member of staff may hand a concern over: each colleague, or a role."""
    colleagues = User.objects.filter(service_id=user.service_id, role__in=HANDLING_ROLES, is_active=True)
    named = [
        (f"user:{one.pk}", f"{one.get_full_name()}, {one.get_role_display()}") for one in colleagues.exclude(pk=user.pk)
    ]
    return [*named, ("role:nurse", "any nurse"), ("role:lead", "any exercise lead")]


def _locked(row: Concern) -> Concern:
    """The concern as it is now; a second press at the same moment waits for the first."""
    return Concern.objects.select_for_update().get(pk=row.pk)


def _refuse_closed(row: Concern) -> None:
    if row.closed_at is not None:
        who = row.closed_by.get_full_name() if row.closed_by else "somebody"
        raise HalewardError(f"{who} has closed this: {row.what_was_done} Report it anew if it is still there.")


def _step(
    row: Concern,
    kind: str,
    text: str = "",
    *,
    user: User,
    now: datetime,
    to_user: User | None = None,
    to_role: str = "",
    way: str = "",
) -> None:
    ConcernStep.objects.create(
        concern=row, kind=kind, at=now, by=user, text=text, to_user=to_user, to_role=to_role, way=way
    )
