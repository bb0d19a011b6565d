"""The clinical lead: named by the manager, one at a time, with a profession."""

from __future__ import annotations

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from haleward.web.accounts.actions import name_clinical_lead
from haleward.web.accounts.models import User
from haleward.web.team.demo import CLINICAL_LEAD, load_demo_if_empty
from haleward.web.team.models import Service
from haleward.web.team.protocol import protocol_of
from tests.web.conftest import as_user

pytestmark = pytest.mark.django_db
ADDRESS = "/staff/clinical-lead/"


def choice(user: User, **more: str) -> dict[str, str]:
    return {"colleague": str(user.pk), "profession": "consultant nurse", "agreed": "on"} | more


def test_the_manager_names_a_lead_or_a_nurse(manager: User, nurse: User) -> None:
    assert as_user(manager).post(ADDRESS, choice(nurse)).status_code == 302
    nurse.refresh_from_db()
    assert (nurse.is_clinical_lead, nurse.profession) == (True, "consultant nurse")
    assert nurse.clinical_lead_since == timezone.localdate()
    assert "consultant nurse" in as_user(manager).get(reverse("staff")).content.decode()


def test_naming_another_ends_the_earlier_one(manager: User, nurse: User, lead: User) -> None:
    as_user(manager).post(ADDRESS, choice(nurse))
    as_user(manager).post(ADDRESS, choice(lead, profession="physiotherapist"))
    nurse.refresh_from_db()
    lead.refresh_from_db()
    assert (nurse.is_clinical_lead, lead.is_clinical_lead) == (False, True)


def test_who_is_no_clinician_of_the_service_is_not_named(manager: User, assistant: User, outsider: User) -> None:
    for user in (assistant, manager, outsider):
        assert as_user(manager).post(ADDRESS, choice(user)).status_code == 422
    assert not User.objects.filter(clinical_lead_since__isnull=False).exists()


@pytest.mark.parametrize("left_out", ["profession", "agreed", "colleague"])
def test_naming_needs_the_profession_and_the_agreement(left_out: str, manager: User, nurse: User) -> None:
    assert as_user(manager).post(ADDRESS, choice(nurse, **{left_out: ""})).status_code == 422
    nurse.refresh_from_db()
    assert not nurse.is_clinical_lead


def test_nobody_else_names_one(lead: User, nurse: User) -> None:
    assert as_user(lead).post(ADDRESS, choice(nurse)).status_code == 403


def test_the_database_refuses_a_second_one_and_one_without_a_profession(nurse: User, lead: User) -> None:
    name_clinical_lead(nurse, "consultant nurse", today=timezone.localdate())
    lead.clinical_lead_since = timezone.localdate()
    for profession in ("physiotherapist", ""):
        lead.profession = profession
        with pytest.raises(IntegrityError), transaction.atomic():
            lead.save()


def test_the_demo_has_a_clinical_lead_and_works_by_the_unsigned_default() -> None:
    assert load_demo_if_empty()
    service = Service.objects.get(is_demo=True)
    assert User.objects.get(service=service, clinical_lead_since__isnull=False).profession == CLINICAL_LEAD
    assert protocol_of(service).signed_by == ""
