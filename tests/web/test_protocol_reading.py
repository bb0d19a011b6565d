"""The protocol as a document, its versions and its file."""

from __future__ import annotations

import re
from dataclasses import fields, replace

import pytest
from django.urls import reverse

from haleward.safety.field_words import field_words
from haleward.safety.parts import OwnWording
from haleward.safety.protocol import DEFAULT_FILE, default_protocol, read_protocol
from haleward.web.accounts.models import User
from haleward.web.protocol.document import sources_of
from haleward.web.protocol.sections import anchors_of, sections_of
from tests.web.conftest import as_user

POLICIES = ("intensity", "dose", "progression")


def lines(jurisdiction="UK"):
    sections = sections_of(default_protocol(jurisdiction=jurisdiction))
    return [line for section in sections for part in section.parts for line in part.lines]


@pytest.mark.parametrize("jurisdiction", ["UK", "US", "EU"])
def test_every_part_of_the_protocol_has_one_place_in_the_document(jurisdiction: str) -> None:
    protocol = default_protocol(jurisdiction=jurisdiction)  # type: ignore[arg-type]
    shown = [anchor for line in lines(jurisdiction) for anchor in line.anchors]
    assert len(shown) == len(set(shown))
    wanted = {
        *(rule.id for rule in protocol.rules),
        *(item.id for item in protocol.stratification.items),
        *(rule.id for rule in protocol.placement.rules),
        *(f"symptom.{symptom.key}" for symptom in protocol.concerns.symptoms),
        *(f"setting.{name}" for name in protocol.settings),
        *(f"number.{name}" for name in protocol.numbers),
        *(f"accepted.{one.finding.replace(' ', '.')}" for one in protocol.accepted),
        *(f"check.{check.wording}" for check in protocol.checks),
        *(f"{gate.name}.{need.input}" for gate in protocol.gates.values() for need in gate.needs),
    }
    assert wanted - set(shown) == set()


def test_every_field_of_a_policy_is_a_sentence_with_its_value() -> None:
    policies = default_protocol().policies
    for name in POLICIES:
        policy = getattr(policies, name)
        for field in fields(policy):
            if field.name != "source":
                said = field_words()[f"{name}.{field.name}"]
                assert said.filled(getattr(policy, field.name)) != said.sentence, field.name


def test_worksheets_find_the_rules_they_cite() -> None:
    found = anchors_of(default_protocol())
    assert {"R023", "H01", "P1", "G04", "intensity", "intensity.ceilings", "progression.one_change"} <= found


def test_the_words_of_a_policy_name_nothing_that_is_not_there() -> None:
    policies = default_protocol().policies
    known = {f"{name}.{field.name}" for name in POLICIES for field in fields(getattr(policies, name))}
    settings = {f"setting.{name}" for name in default_protocol().settings}
    valued = {key for key, said in field_words().items() if "{" in said.sentence or key.startswith("setting.")}
    assert valued - known - settings == set()


def test_every_source_that_a_line_cites_is_listed_at_the_end() -> None:
    listed = {source.id for source in sources_of(sections_of(default_protocol()))}
    assert {source for line in lines() for source in line.sources} == listed


def test_a_rule_reads_as_a_sentence_with_level_source_and_trust() -> None:
    rule = next(line for line in lines() if line.anchor == "R023")
    assert rule.when.startswith("Resting systolic blood pressure is over 180 mmHg")
    assert (rule.level_words, rule.soon_words, rule.mark) == ("Not today", "", "second")
    urgent = next(line for line in lines() if line.anchor == "R013")
    assert urgent.soon_words == "emergency, now"


def test_own_wording_stands_beside_the_line_it_replaces() -> None:
    own = OwnWording("check_well", "Are you well today?", "Team meeting")
    section = next(
        one for one in sections_of(replace(default_protocol(), wording_overrides=(own,))) if one.key == "wording"
    )
    line = section.parts[0].lines[0]
    assert "Are you well today?" in line.when
    assert "Do you feel well today?" in line.then
    assert "Team meeting" in line.then


@pytest.mark.django_db
def test_the_default_says_that_nobody_signed_it(nurse: User) -> None:
    text = as_user(nurse).get(reverse("protocol")).content.decode()
    assert "not approved for clinical use" in text
    for rule in default_protocol().rules:
        assert text.count(f'id="{rule.id}"') == 1


@pytest.mark.django_db
def test_the_document_is_searched_without_script(nurse: User) -> None:
    text = as_user(nurse).get(reverse("protocol"), {"q": "glucose ketones"}).content.decode()
    assert 'id="R057"' in text
    assert 'id="R023"' not in text
    nothing = as_user(nurse).get(reverse("protocol"), {"q": "zeppelin"}).content.decode()
    assert "Nothing holds" in nothing


@pytest.mark.django_db
def test_the_file_that_is_saved_reads_as_the_same_protocol(nurse: User) -> None:
    answer = as_user(nurse).get(reverse("protocol_file", args=["default"]))
    assert "attachment" in answer["Content-Disposition"]
    assert answer.content.decode() == DEFAULT_FILE.read_text(encoding="utf-8")
    assert read_protocol(answer.content.decode(), name="file", jurisdiction="UK") == default_protocol()


@pytest.mark.django_db
def test_a_version_that_the_service_does_not_have_is_not_found(nurse: User) -> None:
    assert as_user(nurse).get(reverse("protocol_version", args=["7"])).status_code == 404
    assert as_user(nurse).get(reverse("protocol_comparison"), {"old": "default", "new": "x"}).status_code == 404


@pytest.mark.django_db
def test_the_contents_lead_to_every_section(nurse: User) -> None:
    text = as_user(nurse).get(reverse("protocol")).content.decode()
    contents = text.split('aria-label="Contents"')[1].split("</nav>")[0]
    wanted = re.findall(r'href="#([a-z]+)"', contents)
    assert wanted[:4] == ["entry", "risk", "gate", "stop"]
    assert all(f'id="{key}"' in text for key in wanted)
