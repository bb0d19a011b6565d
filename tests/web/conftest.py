"""Stock people for the tests of the web application: one service with four members of staff, and a stranger to it."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.test import Client
from django.utils import timezone

from haleward.record import (
    BloodPressure,
    Device,
    Event,
    FunctionTests,
    HeartRate,
    Kit,
    Medicine,
    Record,
    WalkTest,
)
from haleward.web.accounts.models import Role, User
from haleward.web.assessment.mapping import identity, stored
from haleward.web.assessment.models import Assessment
from haleward.web.delivery.links import make_link, token_of
from haleward.web.people.models import Person
from haleward.web.prescription import actions
from haleward.web.prescription.models import ProgrammeVersion
from haleward.web.team.demo import NUMBERS
from haleward.web.team.models import Service


@pytest.fixture
def service(db: None) -> Service:
    return Service.objects.create(name="Test team", values=NUMBERS)


def _user(service: Service, role: Role, username: str = "") -> User:
    name = username or role.value
    return User.objects.create(
        username=name, role=role, service=service, first_name=name.capitalize(), last_name="Test"
    )


@pytest.fixture
def lead(service: Service) -> User:
    return _user(service, Role.LEAD)


@pytest.fixture
def nurse(service: Service) -> User:
    return _user(service, Role.NURSE)


@pytest.fixture
def assistant(service: Service) -> User:
    return _user(service, Role.ASSISTANT)


@pytest.fixture
def manager(service: Service) -> User:
    return _user(service, Role.MANAGER)


@pytest.fixture
def staff(lead: User, nurse: User, assistant: User, manager: User) -> dict[str, User]:
    """One member of staff of each role, by role."""
    return {user.role: user for user in (lead, nurse, assistant, manager)}


@pytest.fixture
def outsider(db: None) -> User:
    """The lead of another service."""
    return _user(Service.objects.create(name="Other team", values=NUMBERS), Role.LEAD, "outsider")


@pytest.fixture
def person(service: Service) -> Person:
    return Person.objects.create(
        service=service, first_name="Ana", last_name="Hill", born_on=date(1956, 5, 4), sex="female"
    )


def as_user(user: User) -> Client:
    """A browser signed in as this member of staff."""
    client = Client()
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    return client


ENTRY_ANSWERS: dict[str, bool | float | str] = {
    **dict.fromkeys(
        (
            "angina_rest_or_worse",
            "hf_worsening_signs",
            "chf_present",
            "active_peri_myo_endocarditis",
            "thrombophlebitis_or_dvt",
            "acute_dissection",
            "avblock3_no_pacer",
            "hocm_severe",
            "embolism",
            "stroke",
            "foot_ulcer",
            "marfan_like",
            "retinopathy_proliferative_active",
            "pulmonary_hypertension",
            "complex_va_rest",
            "complex_va_exercise",
            "cardiac_arrest_hx",
            "symptoms_on_exertion",
            "symptoms_in_recovery",
            "haemodynamics_abnormal",
            "post_event_ischaemia",
            "clinical_depression",
            "insulin_or_su",
            "frailty_high",
        ),
        False,
    ),
    "lvef_pct": 55.0,
    "st_depression_mm": 0.0,
    "aortic_stenosis": "none",
    "falls_12m": 0.0,
    "can_self_monitor": True,
    "phone_available": True,
}


def complete_record(person: Person, today: date) -> Record:
    """Everything the gate asks, answered so that nothing stands against exercise; dates follow ``today``."""
    recent = today - timedelta(days=7)
    return Record(
        **identity(person),
        assessed_on=today,
        stature_m=1.65,
        mass_kg=70.0,
        goal="walk to the shop",
        events=(Event("pci", today - timedelta(days=70), sternotomy=False, complicated=False),),
        medicines=(Medicine("statin", "atorvastatin", "40 mg", today - timedelta(days=70)),),
        rhythm="sinus",
        device=Device("none"),
        resting_heart_rate=HeartRate(64.0, recent, "counted for 60 s"),
        blood_pressure=BloodPressure(126.0, 74.0, recent, "seated"),
        kit=Kit((1.0, 2.0), (), (), (), True, True, True, True, False, 0.15, "two steps each way"),
        tests=FunctionTests(recent, True, 14, 10.0, 10.0, 10.0, 1.2, 8.0, 12),
        walk=WalkTest("six_minute_walk", 420.0, recent, 30.0, True, 112.0, 4.0, "completed", "", False),
        new_to_exercise=True,
        nitrate_prescribed=False,
        fluid_limited=False,
        exercise_days=("monday", "wednesday", "friday", "saturday"),
        answers=dict(ENTRY_ANSWERS),
    )


def finish(person: Person, record: Record, author: User) -> Assessment:
    """Store a record as a finished assessment."""
    return Assessment.objects.create(
        person=person, assessed_on=record.assessed_on, author=author, record=stored(record), finished_at=timezone.now()
    )


@pytest.fixture
def assessed(person: Person, nurse: User) -> Person:
    """A person whose finished assessment lets the gate say "go ahead"."""
    finish(person, complete_record(person, timezone.localdate()), nurse)
    return person


@pytest.fixture
def plan(assessed: Person, lead: User) -> ProgrammeVersion:
    """The signed first plan of the assessed person."""
    now = timezone.now()
    row = actions.start_draft(assessed, user=lead, now=now)
    actions.sign(row, decision=actions.Decision(), user=lead, now=now)
    return row


@pytest.fixture
def token(plan: ProgrammeVersion, nurse: User) -> str:
    """The token in the open link of the person with the signed plan."""
    return token_of(make_link(plan.person, user=nurse, now=timezone.now()))
