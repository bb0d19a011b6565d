"""The service's own numbers, and the protocol in force."""

from __future__ import annotations

from dataclasses import replace

import pytest
from django.urls import reverse

from haleward.safety.protocol import default_protocol
from haleward.web.accounts.models import User
from haleward.web.team.demo import NUMBERS
from haleward.web.team.protocol import numbers_of, protocol_sections
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


@pytest.mark.parametrize("needed", ["emergency_number", "nurse_line", "team_phone", "hours", "name"])
def test_a_needed_number_may_not_be_blank(needed: str, manager: User) -> None:
    answer = as_user(manager).post(PAGE, NUMBERS | {"name": "Test team", needed: " "})
    assert answer.status_code == 422
    assert "This field is required." in answer.content.decode()
    manager.service.refresh_from_db()
    assert manager.service.values == NUMBERS


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


def test_the_protocol_page_shows_every_rule_as_a_sentence_with_its_source(nurse: User) -> None:
    text = as_user(nurse).get(reverse("protocol")).content.decode()
    protocol = default_protocol()
    assert protocol.version in text
    for rule in protocol.rules:
        assert f'id="{rule.id}"' in text


def test_each_rule_stands_in_one_section() -> None:
    protocol = default_protocol()
    lines = [line for _, rules in protocol_sections(protocol) for line in rules]
    assert sorted(line.rule_id for line in lines) == sorted(rule.id for rule in protocol.rules)
    assert all(line.sentence and line.sources for line in lines)
    assert protocol_sections(replace(protocol, rules=())) == []
