"""The service's own numbers, over those of its protocol."""

from __future__ import annotations

from dataclasses import replace

import pytest

from haleward.safety.parts import ServiceNumber
from haleward.safety.protocol import Protocol
from haleward.web.accounts.models import User
from haleward.web.protocol.checks import numbers_missing
from haleward.web.team.demo import NUMBERS
from haleward.web.team.forms import ServiceForm
from haleward.web.team.protocol import numbers_of, protocol_of
from tests.web.conftest import as_user

pytestmark = pytest.mark.django_db
PAGE = "/service/"


def test_the_manager_changes_a_number_and_the_history_keeps_the_old_one(manager: User) -> None:
    answer = as_user(manager).post(PAGE, NUMBERS | {"name": "Test team", "team_phone": "01632 960999"})
    assert answer.status_code == 302
    service = manager.service
    service.refresh_from_db()
    assert numbers_of(service).values["team_phone"] == "01632 960999"
    assert [row.values["team_phone"] for row in service.history.all()] == ["01632 960999", NUMBERS["team_phone"]]


@pytest.mark.parametrize("needed", ["nurse_line", "team_phone", "hours", "name"])
def test_a_needed_number_may_not_be_blank(needed: str, manager: User) -> None:
    answer = as_user(manager).post(PAGE, NUMBERS | {"name": "Test team", needed: " "})
    assert answer.status_code == 422
    assert "This field is required." in answer.content.decode()
    manager.service.refresh_from_db()
    assert manager.service.values == NUMBERS


def test_a_number_left_blank_that_the_protocol_gives_is_the_protocols(manager: User) -> None:
    given = protocol_of(manager.service).numbers["emergency_number"].text
    assert given
    answer = as_user(manager).post(PAGE, NUMBERS | {"name": "Test team", "emergency_number": ""})
    assert answer.status_code == 302
    manager.service.refresh_from_db()
    assert "emergency_number" not in manager.service.values
    assert numbers_of(manager.service).values["emergency_number"] == given


def test_a_number_left_blank_is_not_kept_as_an_empty_word(manager: User) -> None:
    as_user(manager).post(PAGE, NUMBERS | {"name": "Test team", "device_clinic": ""})
    manager.service.refresh_from_db()
    assert "device_clinic" not in manager.service.values


def test_the_lead_reads_the_numbers_but_does_not_change_them(lead: User) -> None:
    client = as_user(lead)
    text = client.get(PAGE).content.decode()
    assert NUMBERS["nurse_line"] in text
    assert "<input" not in text.split("<main")[1]
    answer = client.post(PAGE, NUMBERS | {"name": "Other name", "emergency_number": "0"})
    assert answer.status_code == 403
    assert "Ask service manager." in answer.content.decode()
    lead.service.refresh_from_db()
    assert (lead.service.name, lead.service.values) == ("Test team", NUMBERS)


def test_the_service_page_names_each_number_that_nobody_has_given(lead: User) -> None:
    protocol = with_number(protocol_of(lead.service), "crisis_line", "")
    assert numbers_missing(protocol, lead.service) == ("the line for people in despair",)
    lead.service.values = NUMBERS | {"crisis_line": "the listening line on 01632 960177"}
    assert numbers_missing(protocol, lead.service) == ()


def test_a_number_of_the_protocol_stands_in_until_the_service_gives_its_own(lead: User) -> None:
    protocol = with_number(protocol_of(lead.service), "emergency_number", "112")
    without = {name: value for name, value in NUMBERS.items() if name != "emergency_number"}
    form = ServiceForm({"name": "Test team"} | without, protocol=protocol)
    assert form.is_valid()
    assert "112" in str(form.fields["emergency_number"].help_text)
    needed = ServiceForm({"name": "Test team"} | without, protocol=with_number(protocol, "emergency_number", ""))
    assert list(needed.errors) == ["emergency_number"]


def test_a_number_that_its_sentence_cannot_say_is_refused_and_asked_for_where_it_is_stored(lead: User) -> None:
    protocol = with_number(protocol_of(lead.service), "nitrate_doses", "")
    told = "“two doses” cannot be said in its sentence; give the number alone: one, two, three, 1, 2 or 3."
    stored = ServiceForm(initial={"nitrate_doses": "two doses"}, protocol=protocol)
    assert stored.fields["nitrate_doses"].help_text == told
    assert 'value="two doses"' in stored.as_p()
    given = NUMBERS | {"name": "Test team"}
    refused = ServiceForm(given | {"nitrate_doses": "two doses"}, protocol=protocol)
    assert refused.errors == {"nitrate_doses": [told]}
    assert ServiceForm(given | {"nitrate_doses": "two"}, protocol=protocol).is_valid()


def with_number(protocol: Protocol, name: str, text: str) -> Protocol:
    """The protocol with one number of its own."""
    number = ServiceNumber(name, "ALL", text, needed=True, sources=("S00",), trust="common practice, no source")
    return replace(protocol, numbers={name: number})
