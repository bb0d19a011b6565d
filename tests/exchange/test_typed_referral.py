"""A typed referral proposes and asks like a file does."""

from datetime import date

from haleward.exchange.proposal import ReferralProposal
from haleward.exchange.typed_referral import typed_referral
from haleward.plain import from_plain, to_plain

WHO = {"first_name": "Wren", "last_name": "Sample", "sex": "female", "language": "", "request": "Exercise"}


def proposal(**changes):
    values = {
        "born_on": date(1955, 3, 4),
        "event": "Heart attack treated with a stent",
        "event_on": date(2026, 9, 1),
        "medicines": ["Bisoprolol 2.5 mg once daily", "", "a small white tablet"],
    }
    return typed_referral(WHO, **{**values, **changes})


def test_event_and_medicines_are_read_and_marked_to_check():
    read = proposal()
    assert {event.kind for event in read.events} == {"mi", "pci"}
    assert all("check" in event.assumed for event in read.events)
    assert (read.medicines[0].drug_class, read.medicines[0].dose) == ("beta_blocker", "2.5 mg once daily")
    assert read.medicines[1].drug_class is None
    assert len(read.medicines) == 2


def test_what_is_missing_is_listed_with_its_question():
    asked = {gap.what: gap.question for gap in proposal(born_on=None, event_on=None, medicines=[]).missing}
    assert {"date of birth", "day of the event", "medicines", "heart rhythm", "language"} <= asked.keys()
    assert all("?" in question for question in asked.values())


def test_words_that_name_no_known_event_stay_open():
    read = proposal(event="something with the heart")
    assert read.events[0].kind is None


def test_it_is_stored_and_read_back():
    assert from_plain(ReferralProposal, to_plain(proposal())) == proposal()
