"""A team in the middle of its work, made by the actions themselves: one address for every kind of page."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from django.urls import reverse
from django.utils import timezone

from haleward.dose.model import Programme
from haleward.web.accounts.models import User
from haleward.web.delivery.actions import store_entries
from haleward.web.delivery.links import Holder, make_link, token_of
from haleward.web.people.actions import import_referral
from haleward.web.people.models import Person
from haleward.web.prescription.actions import Decision, check_day, programme_of, sign, start_draft
from haleward.web.team.demo import DEMO_FOLDER, assessed_person
from haleward.web.team.models import Service


@dataclass(frozen=True)
class Filled:
    """Addresses by what they show, for each role that looks at them."""

    lead: dict[str, str]
    manager: dict[str, str]
    assistant: dict[str, str]
    person: dict[str, str]


def filled_team(team: Service) -> Filled:
    """Rowan has logs and a proposal, Leila a concern that holds her plan, Hamish a draft; a referral waits."""
    now = timezone.now()
    lead, nurse = (User.objects.get(service=team, username=name) for name in ("lead", "nurse"))
    referral = import_referral(Path(DEMO_FOLDER / "referral.json").read_bytes(), user=nurse)
    hamish = assessed_person("hamish", reason="Exercise after a heart attack", lead=lead, nurse=nurse, now=now)
    start_draft(hamish, user=lead, now=now)
    rowan = assessed_person("rowan", reason="Exercise after a stent", lead=lead, nurse=nurse, now=now)
    row = start_draft(rowan, user=lead, now=now)
    sign(row, decision=Decision(), user=lead, now=now)
    check_day(rowan, {"hr_rest": 62.0, "sbp_rest": 184.0, "dbp_rest": 92.0}, user=nurse, now=now)
    for hours in (3, 2):
        log_session(rowan, programme_of(row), now - timedelta(hours=hours), lead)
    proposal = rowan.proposals.filter(proposal__kind__startswith="raise_").earliest("pk")
    leila = assessed_person("leila", reason="Exercise with a defibrillator", lead=lead, nurse=nurse, now=now)
    sign(start_draft(leila, user=lead, now=now), decision=Decision("Dr A. Lunn", "Seen in clinic"), user=lead, now=now)
    store_entries(unwell(now), holder=Holder(leila, "person"), now=now)
    open_link, closed_link = make_link(hamish, user=lead, now=now), make_link(leila, user=lead, now=now)
    link = make_link(leila, user=lead, now=now)
    concern = leila.concerns.get(topic="faint")
    part = {"person_id": hamish.pk, "part_key": "one", "index": 0}
    return Filled(
        lead={
            "today": reverse("today"),
            "people": reverse("people"),
            "person": reverse("person", args=[rowan.pk]),
            "person-concern": reverse("person", args=[leila.pk]),
            "person-draft": reverse("person", args=[hamish.pk]),
            "person-details": reverse("person_details", args=[rowan.pk]),
            "referrals": reverse("referrals"),
            "referral-new": reverse("new_referral"),
            "referral": reverse("referral", args=[referral.pk]),
            "assessment": reverse("assessment", args=[rowan.pk]),
            "numbers": reverse("numbers", args=[rowan.pk]),
            "numbers-no-rate": reverse("numbers", args=[hamish.pk]),
            "programme": reverse("programme", args=[rowan.pk]),
            "programme-draft": reverse("programme", args=[hamish.pk]),
            "exercise": reverse("exercise", kwargs=part),
            "day-checks": reverse("day_checks", args=[rowan.pk]),
            "proposal": reverse("proposal", args=[rowan.pk, proposal.pk]),
            "link": reverse("person_link", args=[leila.pk]),
            "sessions": reverse("sessions", args=[rowan.pk]),
            "concerns": reverse("concerns"),
            "concern": reverse("concern", args=[concern.pk]),
            "brief": reverse("phone_brief", args=[leila.pk]),
            "end": reverse("person_end", args=[leila.pk]),
            "course": reverse("course", args=[rowan.pk]),
            "proposals": reverse("proposals"),
            "protocol": reverse("protocol"),
            "protocol-versions": reverse("protocol_versions"),
            "protocol-comparison": reverse("protocol_comparison"),
            "studio-people": reverse("studio_people"),
            "studio": reverse("studio", args=[rowan.pk, "one"]),
            "calendar-staff": reverse("person_calendar", args=[rowan.pk]),
            "paper-week": reverse("paper_week", args=[rowan.pk, "this"]),
            "days-staff": reverse("person_days", args=[rowan.pk]),
            "helpers-staff": reverse("person_carers", args=[rowan.pk]),
            "reckoner": reverse("reckoner"),
            "reckoner-formulas": reverse("formulas"),
            "reckoner-activities": reverse("activities"),
            "service": reverse("service"),
            "fault": reverse("booklet", args=[hamish.pk, "one"]),
        },
        manager={"service-form": reverse("service"), "staff": reverse("staff"), "refused": reverse("people")},
        assistant={"person-assistant": reverse("person", args=[rowan.pk])},
        person={
            "landing-held": reverse("me", args=[token_of(link)]),
            "landing-waiting": reverse("me", args=[token_of(open_link)]),
            "safety": reverse("me_safety", args=[token_of(link)]),
            "diary": reverse("me_diary", args=[token_of(link)]),
            "days": reverse("me_days", args=[token_of(link)]),
            "tell": reverse("me_tell", args=[token_of(link)]),
            "doing": reverse("me_doing", args=[token_of(link)]),
            "helpers": reverse("me_carers", args=[token_of(link)]),
            "closed-link": reverse("me", args=[token_of(closed_link)]),
        },
    )


def entry(kind: str, at: datetime, session_id: uuid.UUID, **data: object) -> dict[str, object]:
    """One entry of the log format."""
    about = {"session_id": str(session_id), "sheet_id": str(uuid.uuid4()), "plan_version": 1, "part_key": "one"}
    return {"entry_id": str(uuid.uuid4()), "kind": kind, "at": at.isoformat(), "data": about | data}


def started(at: datetime, session_id: uuid.UUID) -> dict[str, object]:
    """A check that said "go ahead"."""
    nothing: dict[str, object] = {"facts": {}, "unsure": [], "missing": [], "rule_ids": [], "topics": []}
    return entry("check", at, session_id, outcome="go_ahead", **nothing)


def log_session(person: Person, plan: Programme, at: datetime, user: User) -> None:
    """Part one as planned, every set at effort 3."""
    session_id = uuid.uuid4()
    entries = [started(at, session_id)]
    for index, exercise in enumerate(plan.parts[0].exercises):
        for number in range(1, exercise.dose.sets + 1):
            about = {"exercise_index": index, "movement_id": exercise.movement_id, "set_number": number}
            at += timedelta(minutes=2)
            entries.append(entry("set", at, session_id, repetitions=exercise.dose.repetitions, **about))
            entries.append(entry("effort", at + timedelta(seconds=5), session_id, effort=3, **about))
    count = sum(exercise.dose.sets for exercise in plan.parts[0].exercises)
    ending = {"done_count": count, "planned_count": count, "whole_effort": 3, "worried": False, "stopped": False}
    entries.append(entry("done", at + timedelta(minutes=1), session_id, **ending))
    store_entries(entries, holder=Holder(person, "staff"), now=at)


def unwell(at: datetime) -> list[dict[str, object]]:
    """A session that ended in "I feel unwell"."""
    session_id = uuid.uuid4()
    note = entry("note", at + timedelta(seconds=9), session_id, text="It passed after a minute.")
    return [started(at, session_id), entry("unwell", at + timedelta(seconds=5), session_id, topic="faint"), note]
