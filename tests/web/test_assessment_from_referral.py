"""What an imported referral proposes opens the first assessment; staff complete what it leaves open."""

from __future__ import annotations

from datetime import date

import pytest

from haleward.exchange.proposal import ProposedEvent, ProposedMedicine, ProposedReading, ReferralProposal
from haleward.plain import to_plain
from haleward.web.accounts.models import User
from haleward.web.assessment.models import Assessment
from haleward.web.people.models import Person, Referral
from tests.web.conftest import as_user
from tests.web.test_assessment_views import page, shown_form

pytestmark = pytest.mark.django_db

PROPOSAL = ReferralProposal(
    bundle_type="collection",
    events=(
        ProposedEvent("heart attack", "mi", date(2026, 1, 9), "2026-01-09", "entry 2"),
        ProposedEvent("procedure not told apart", None, date(2026, 1, 10), "2026-01-10", "entry 3"),
    ),
    medicines=(
        ProposedMedicine("bisoprolol 5 mg", "bisoprolol", "5 mg", "beta_blocker", None, "entry 4"),
        ProposedMedicine("tablet unknown here", "", "", None, None, "entry 5"),
    ),
    readings=(
        ProposedReading("lvef_pct", 45.0, "%", date(2026, 1, 11), "entry 6"),
        ProposedReading("resting_bpm", 64.0, "bpm", None, "entry 7"),
    ),
)


@pytest.fixture
def referred(person: Person, nurse: User) -> Person:
    Referral.objects.create(
        service=person.service, person=person, state=Referral.State.CONFIRMED, proposal=to_plain(PROPOSAL)
    )
    return person


def test_proposed_values_are_filled_in_to_be_checked(nurse: User, referred: Person) -> None:
    text = as_user(nurse).get(page(referred)).content.decode()
    assert "check every item" in text
    assert "bisoprolol" in text
    assert "9 January 2026" in text
    assert 'value="45"' in text
    assert not Assessment.objects.exists()


def test_a_reading_without_its_day_is_not_filled_in(nurse: User, referred: Person) -> None:
    assert "readings-bpm" not in shown_form(referred)


def test_what_the_file_left_open_must_be_chosen_by_staff(nurse: User, referred: Person) -> None:
    data = shown_form(referred)
    assert data["medicine-1-name"] == "tablet unknown here"
    assert as_user(nurse).post(page(referred), data).status_code == 422
    assert not Assessment.objects.exists()
