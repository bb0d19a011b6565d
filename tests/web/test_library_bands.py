"""A band on a movement's page: every hold on this body, what 5 cm do, doubling, a wanted pull, what to ask first."""

import html
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

import pytest
from django.test import Client, RequestFactory
from django.utils import timezone

from haleward.movement.band_path import band_path
from haleward.movement.body import Body
from haleward.movement.library import default_library
from haleward.record import Band
from haleward.web.accounts.models import User
from haleward.web.library.band_card import BandCard, band_card
from haleward.web.library.chosen import chosen_of
from haleward.web.library.loads import Asked, chosen_load
from haleward.web.library.versions import versions
from haleward.web.people.models import Person
from tests.web.conftest import as_user, complete_record, finish

LIBRARY = default_library()
LONG = Band("strip", 20.0, 4.0, date(2026, 1, 5), latex=False, can_grip=True)
CURL = "/library/movements/biceps_curl/"
Card = Callable[..., BandCard]


@pytest.fixture
def card(lead: User, rf: RequestFactory) -> Card:
    def made(
        movement: str, posture: str, *bands: Band, today: date = date(2026, 1, 6), target_n: float | None = None
    ) -> BandCard:
        request = rf.get("/", {"posture": posture, "kit": "band"})
        request.user = lead
        chosen = chosen_of(request, movement)  # type: ignore[arg-type]
        loaded = chosen_load(chosen, Asked(typed=bands[0] if bands else None))
        found = band_card(chosen, bands, loaded=loaded, target_n=target_n, today=today)
        assert isinstance(found, BandCard)
        return found

    return made


def pull_by_hand(stiffness_n: float, held_cm: float, longest_m: float) -> float:
    stretch = 100 * longest_m / held_cm
    return stiffness_n * (stretch - 1 / stretch**2)


def test_every_hold_says_its_pull_and_what_five_centimetres_do(card: Card) -> None:
    (band,) = card("biceps_curl", "standing", LONG).bands
    path = band_path(LIBRARY.form("biceps_curl", "standing"), Body())
    assert path is not None
    assert len(band.holds) > 1
    assert [hold.here for hold in band.holds] == [True] + [False] * (len(band.holds) - 1)
    for hold in band.holds:
        assert hold.newtons == pytest.approx(pull_by_hand(20, hold.length_cm, path.longest_m), abs=0.1)
        more = pull_by_hand(20, hold.length_cm - 5, path.longest_m)
        assert hold.shorter.startswith(f"5 cm shorter: {more:.0f} N, ")
    doubled = 2 * (band.holds[0].newtons or 0)
    short = card("biceps_curl", "standing", replace(LONG, rest_length_m=2.0)).bands[0]
    assert f"{doubled:.0f} N at most" in band.told[-1]
    assert short.told[-1] == "Folded double it is too short for this movement."


@pytest.mark.parametrize("posture", ["seated", "hand_supported", "standing"])
def test_a_loop_is_measured_laid_flat_and_pulls_with_both_strands(card: Card, posture: str) -> None:
    found = card("side_leg_raise", posture, replace(LONG, rest_length_m=1.5))
    path = band_path(LIBRARY.form("side_leg_raise", posture), Body())  # type: ignore[arg-type]
    assert path is not None
    assert "the loop laid flat" in found.where
    for hold in found.bands[0].holds:
        assert hold.newtons == pytest.approx(2 * pull_by_hand(20, hold.length_cm, path.longest_m), abs=0.1)


def test_without_a_band_the_lengths_are_shown_without_newtons(card: Card) -> None:
    found = card("band_row", "seated")
    assert found.bands == ()
    assert len(found.plain) > 1
    assert all(hold.newtons is None and hold.stretch > 1 for hold in found.plain)


@pytest.mark.parametrize("movement", ["biceps_curl", "side_leg_raise", "band_pull_apart"])
@pytest.mark.parametrize("target_n", [2.0, 8.0, 20.0, 30.0])
def test_the_hold_for_a_wanted_pull_never_pulls_more_than_wanted(card: Card, movement: str, target_n: float) -> None:
    posture = next(iter(LIBRARY.movement(movement).postures))
    path = band_path(LIBRARY.form(movement, posture), Body())
    assert path is not None
    (line,) = card(movement, posture, replace(LONG, stiffness_n=12.0), target_n=target_n).target
    held = re.search(r"hold it at (\d+) cm", line)
    if held is None:
        assert "cannot pull" in line
        assert path.together * 12 * (3.5 - 1 / 3.5**2) < target_n
        return
    one, shorter = (path.together * pull_by_hand(12.0, int(held[1]) - less, path.longest_m) for less in (0, 1))
    assert one <= target_n + 1e-6 < shorter + 1e-6
    assert ("slack for the first part" in line) == (int(held[1]) > 100 * path.start_m)


@pytest.mark.parametrize(
    ("band", "told"),
    [
        (replace(LONG, latex=None), "Ask whether it is made of latex."),
        (replace(LONG, latex=True), "Ask whether rubber is safe for the person's skin."),
        (replace(LONG, latex=True, latex_ok=False), "rubber is not safe for their skin"),
        (replace(LONG, can_grip=None), "Ask whether the person can hold its ends."),
        (replace(LONG, can_grip=False), "who cannot hold its ends"),
        (LONG, "Measured on 5 January 2026; measure it again by 2 March 2026."),
        (replace(LONG, measured_on=date(2025, 10, 1)), "it was due to be measured again by 26 November 2025"),
        (replace(LONG, measured_on=None), "Measure it before it is used."),
    ],
)
def test_what_must_be_known_before_a_band_is_used_is_said(card: Card, band: Band, told: str) -> None:
    said = card("biceps_curl", "seated", band).bands[0].told
    assert any(told in line for line in said), said


def test_a_loop_that_is_worn_needs_no_grip(card: Card) -> None:
    said = card("side_leg_raise", "seated", replace(LONG, can_grip=None)).bands[0].told
    assert not any("ends" in line for line in said)


@pytest.mark.parametrize("movement", ["side_leg_raise", "biceps_curl", "sit_to_stand", "walking"])
def test_every_posture_and_kit_is_among_the_versions(lead: User, rf: RequestFactory, movement: str) -> None:
    request = rf.get("/")
    request.user = lead
    chosen = chosen_of(request, movement)  # type: ignore[arg-type]
    found = versions(chosen, chosen_load(chosen, Asked()), (LONG,))
    assert len(found) == sum(len(form.kits) for form in chosen.movement.postures.values())
    assert [load.here for one in found for load in one.loads].count(True) == 1
    assert all(bool(one.peak) == (chosen.movement.working_joint is not None) for one in found)


def test_a_hold_of_a_typed_band_can_be_shown_and_keeps_the_typing(lead: User) -> None:
    client: Client = as_user(lead)
    query = {"posture": "standing", "kit": "band", "pull": "2.4 kg", "length": "4 m", "target": "2 kg"}
    page = html.unescape(client.get(CURL, query).content.decode())
    assert "to pull 20 N at most, hold it at" in page
    links = re.findall(r'href="\?([^"#]*hold=\d+)#load"', page)
    assert links
    answer = client.get(f"{CURL}?{links[-1]}")
    held = re.search(r"hold=(\d+)", links[-1])
    assert held is not None
    assert f"{held[1]} cm (shown above)" in answer.content.decode()


def test_a_persons_page_shows_their_own_loads_and_what_the_sheet_will_say(
    person: Person, nurse: User, lead: User
) -> None:
    today = timezone.localdate()
    record = complete_record(person, today)
    band = replace(LONG, latex=True, latex_ok=False, measured_on=today - timedelta(days=1))
    kit = replace(record.kit, hand_weight_pairs_kg=(1.0, 2.0), bottle_pairs_kg=(0.5,), bands=(band,))
    finish(person, replace(record, kit=kit), nurse)
    query = {"posture": "standing", "kit": "hand_weight", "person": str(person.pk), "load": "2 kg"}
    page = html.unescape(as_user(lead).get(CURL, query).content.decode())
    assert "The same in the kit of Ana" in page
    assert "At home: 0.5 kg." in page
    assert "not for Ana now" in page  # the band: rubber is not safe
    assert "Not possible safely with the kit at home: the limits for this person allow no such load." in page
