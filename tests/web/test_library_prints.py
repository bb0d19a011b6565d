"""Prints from the library: cards and sheets as PDF, and a sentence in place of one that must not be printed."""

import io
from dataclasses import replace

import pypdf
import pytest
from django.test import Client
from django.utils import timezone

from haleward.web.accounts.models import User
from haleward.web.people.models import Person
from haleward.web.team.demo import NUMBERS
from haleward.web.team.models import Service
from tests.web.conftest import as_user, complete_record, finish

CARD, SHEET = (f"/library/movements/biceps_curl/{name}.pdf" for name in ("station-card", "home-sheet"))
CARDS = "/library/station-cards.pdf"


def text_of(content: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in pypdf.PdfReader(io.BytesIO(content)).pages]


@pytest.mark.parametrize("role", ["lead", "nurse", "assistant", "manager"])
def test_every_role_prints_a_card(role: str, staff: dict[str, User]) -> None:
    answer = as_user(staff[role]).get(CARD, {"posture": "seated", "kit": "bottle"})
    assert answer.headers["Content-Type"] == "application/pdf"
    (page,) = text_of(answer.content)
    assert page.startswith("Call 999 now if you feel very ill. Arm curl")


def test_the_ticked_movements_are_one_print_in_the_order_of_the_list(lead: User) -> None:
    ticked = ["biceps_curl.seated.bottle", "side_leg_raise.hand_supported.band"]
    pages = text_of(as_user(lead).get(CARDS, {"card": ticked}).content)
    assert [title in page for title, page in zip(("Arm curl", "Side leg raise"), pages, strict=True)] == [True, True]


@pytest.mark.parametrize(
    ("cards", "said"),
    [
        ([], "No movement is ticked."),
        (["biceps_curl.seated.bottle"] * 21, "21 movements were chosen"),
        (["biceps_curl.lying.bottle"], "has no posture"),
        (["nothing"], "There is no movement"),
        (["biceps_curl.seated.rope"], "is not done with"),
    ],
)
def test_what_cannot_be_printed_is_one_sentence(lead: User, cards: list[str], said: str) -> None:
    answer = as_user(lead).get(CARDS, {"card": cards})
    assert answer.status_code == 422
    assert said in answer.content.decode()


@pytest.mark.parametrize("address", [CARD, SHEET])
def test_a_service_without_its_emergency_number_prints_nothing(address: str, lead: User, service: Service) -> None:
    service.values = {**NUMBERS, "emergency_number": ""}
    service.save()
    client: Client = as_user(lead)
    answer = client.get(address)
    if answer.status_code == 200:  # the protocol may give the number of its country
        assert "Call 999 now" in text_of(answer.content)[0]
    service.values = {**NUMBERS, "nurse_line": ""}
    service.save()
    assert client.get(SHEET).status_code == 422


def test_a_persons_sheet_has_the_first_name_and_nothing_else_of_the_person(lead: User, assessed: Person) -> None:
    query = {"posture": "seated", "kit": "hand_weight", "person": str(assessed.pk)}
    (page,) = text_of(as_user(lead).get(SHEET, query).content)
    assert "For Ana" in page
    assert assessed.last_name not in page


def test_a_persons_sheet_says_what_else_at_home_loads_as_much(lead: User, nurse: User, person: Person) -> None:
    record = complete_record(person, timezone.localdate())
    kit = replace(record.kit, hand_weight_pairs_kg=(1.0, 2.0), bottle_pairs_kg=(0.5,), ankle_weight_pairs_kg=())
    finish(person, replace(record, kit=kit), nurse)
    query = {"posture": "seated", "kit": "hand_weight", "person": str(person.pk)}
    (page,) = text_of(as_user(lead).get(SHEET, {**query, "load": "2 kg"}).content)
    assert "The same with your kit As much as 2 kg in each hand: • Bottle: 0.5 kg." in page
    (light,) = text_of(as_user(lead).get(SHEET, {**query, "kit": "bottle", "load": "0.5 kg"}).content)
    assert "Hand weight: not possible safely with your kit." in light
    (alone,) = text_of(as_user(lead).get(SHEET, {"posture": "seated", "kit": "bottle"}).content)
    assert "The same with your kit" not in alone
