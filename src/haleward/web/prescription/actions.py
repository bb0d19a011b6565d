"""What staff do with programmes, checks and signatures, each in one transaction."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

from django.db import transaction
from django.utils import timezone

from haleward.dose.anew import chosen_anew
from haleward.dose.model import Programme
from haleward.dose.programme import draft_programme
from haleward.errors import HalewardError
from haleward.plain import to_plain
from haleward.record import DayCheck
from haleward.safety.facts import facts_of
from haleward.safety.gate import session_gate
from haleward.safety.model import Gate
from haleward.safety.recheck import Answers, Standing, Taken, decide, standing_at
from haleward.web.accounts.models import User
from haleward.web.people.models import Person
from haleward.web.prescription.edits import with_gaps
from haleward.web.prescription.ground import Ground, ground_of, needed_ground
from haleward.web.prescription.models import CheckOfDay, ProgrammeVersion, draft_of, signed_of
from haleward.web.prescription.proposals import proposals_now, renew_proposals
from haleward.web.prescription.signing import Decision, content_of, digest_of, programme_of, sign

__all__ = ["Decision", "digest_of", "programme_of", "renew_proposals", "sign"]


@transaction.atomic
def start_draft(person: Person, *, user: User, now: datetime) -> ProgrammeVersion:
    """The person's draft: the one that is open, the next version of the signed plan, or a first plan."""
    if (row := draft_of(person)) is not None:
        return row
    ground = needed_ground(person, timezone.localdate(now))
    signed = signed_of(person)
    version = signed.version + 1 if signed else 1
    programme = _following(programme_of(signed), ground, version) if signed else _first(ground, version)
    return ProgrammeVersion.objects.create(
        person=person, version=version, made_by=user, **content_of(programme, ground)
    )


@transaction.atomic
def choose_anew(person: Person, *, now: datetime) -> tuple[Programme, Programme]:
    """Fill the open draft with the best set of movements of today; what went well in the signed plan stays.

    Returns the draft as it was and as it is.
    """
    row, signed = draft_of(person), signed_of(person)
    if row is None or signed is None:
        raise HalewardError("There is no draft after a signed plan. Begin the next plan first.")
    ground = needed_ground(person, timezone.localdate(now))
    programme = chosen_anew(
        programme_of(signed),
        proposals_now(person, ground),
        ground.record,
        ground.prescription,
        protocol=ground.protocol,
        library=ground.library,
        version=row.version,
    )
    before = programme_of(row)
    keep(row, programme, ground)
    return before, programme


@transaction.atomic
def keep(row: ProgrammeVersion, programme: Programme, ground: Ground) -> None:
    """Store a changed draft with today's prescription; its gaps are named anew."""
    for name, value in content_of(with_gaps(programme, ground), ground).items():
        setattr(row, name, value)
    row.save()


@transaction.atomic
def discard(row: ProgrammeVersion) -> None:
    """Throw an unsigned draft away."""
    if row.signed_at is not None:
        raise HalewardError(f"Plan {row.version} is signed and is kept.")
    row.delete()


@transaction.atomic
def check_day(person: Person, answers: dict[str, bool | float | str], *, user: User, now: datetime) -> CheckOfDay:
    """Ask the session rules with the day's answers, keep both. A reading that stopped stands until after the rest."""
    local = timezone.localtime(now)
    ground = needed_ground(person, local.date())

    def gate_of(given: Answers) -> Gate:
        day = DayCheck(asked_at=local, answers=dict(given), entered_by="staff")
        return session_gate(facts_of(ground.record, today=ground.today, day_check=day), ground.protocol)

    gate = decide(Taken(now, answers), taken_on(person, ground.today), gate_of=gate_of, protocol=ground.protocol)
    return CheckOfDay.objects.create(
        person=person,
        assessment=ground.assessment,
        asked_at=now,
        asked_by=user,
        answers=answers,
        gate=to_plain(gate),
    )


def taken_on(person: Person, day: date) -> list[Taken]:
    """The checks of one day, oldest first."""
    rows = person.day_checks.filter(asked_at__date=day).order_by("asked_at", "pk")
    return [Taken(row.asked_at, row.answers) for row in rows]


def standing_on(person: Person, ground: Ground) -> tuple[Standing, ...]:
    """The readings of today that stop the session and wait to be measured again after rest."""
    return standing_at(taken_on(person, ground.today), protocol=ground.protocol)


def ground_today(person: Person) -> Ground | None:
    """Where the person stands on the service's local day."""
    return ground_of(person, timezone.localdate())


def _first(ground: Ground, version: int) -> Programme:
    return draft_programme(
        ground.record,
        ground.prescription,
        protocol=ground.protocol,
        library=ground.library,
        today=ground.today,
        version=version,
    )


def _following(programme: Programme, ground: Ground, version: int) -> Programme:
    """A copy of a signed programme under today's protocol, to be changed and signed again."""
    copy = replace(
        programme,
        version=version,
        made_on=ground.today,
        protocol_id=ground.protocol.id,
        protocol_version=ground.protocol.version,
        signed_by="",
        signed_on=None,
    )
    return with_gaps(copy, ground)
