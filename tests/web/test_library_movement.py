"""A movement's page: its words, ladder, cautions and loads, on the stated figure or on a person of the team."""

import html
from datetime import timedelta

import pytest
from django.test import Client, RequestFactory
from django.utils import timezone

from haleward.movement.body import Body
from haleward.movement.library import default_library
from haleward.movement.loads import LoadSpec
from haleward.movement.torque import load_path
from haleward.record import Band, Kit, Restriction
from haleward.web.accounts.models import User
from haleward.web.library import shown
from haleward.web.library.chosen import chosen_of
from haleward.web.people.models import Person
from haleward.web.prescription.models import ProgrammeVersion
from haleward.wording import default_wording
from tests.web.conftest import as_user, complete_record, finish

CURL = "/library/movements/biceps_curl/"
WITH_BOTTLE = {"posture": "standing", "kit": "bottle"}


@pytest.fixture
def client_(lead: User) -> Client:
    return as_user(lead)


def page_of(client: Client, address: str, query: dict[str, str] | None = None) -> str:
    answer = client.get(address, query or {})
    assert answer.status_code == 200
    return html.unescape(answer.content.decode())


@pytest.mark.parametrize("movement_id", ["biceps_curl", "side_leg_raise", "sit_to_stand", "walking", "wall_press"])
def test_a_page_says_all_that_the_library_and_the_wording_say(client_: Client, movement_id: str) -> None:
    movement = default_library().movement(movement_id)
    posture = next(iter(movement.postures))
    page = page_of(client_, f"/library/movements/{movement_id}/", {"posture": posture})
    words = default_wording().movement(movement_id, posture)
    lines = (*words.setup, words.breathing, *words.faults, words.stop_if, words.make_it_easier, words.make_it_harder)
    for text in (*lines, words.alt_text_start, words.alt_text_end, *movement.caution_sources.values()):
        assert text in page, text
    if movement.met is not None:
        assert movement.met_source in page
    assert page.count("<li") > len(movement.ladder)
    assert ("no load on a joint is computed" in page) == (movement.working_joint is None)


def test_every_movement_has_its_words_in_every_posture_with_every_kit(lead: User, rf: RequestFactory) -> None:
    count = 0
    for movement in default_library().movements.values():
        for posture, form in movement.postures.items():
            for kit in form.kits:
                request = rf.get("/", {"posture": posture, "kit": kit})
                request.user = lead
                chosen = chosen_of(request, movement.id)  # type: ignore[arg-type]
                assert (chosen.posture, chosen.kit) == (posture, kit)
                assert shown.needs(form, kit)
                assert [rung.here for rung in shown.ladder(chosen)].count(True) == 1
                assert [link.here for link in shown.choices(chosen)["kits"]].count(True) == 1
                count += 1
        assert len(shown.caution_rows(movement, light_kg=1.0)) == len(movement.cautions)
    assert count > 200


def test_the_numbers_are_those_of_the_stated_figure_and_say_so(client_: Client) -> None:
    page = page_of(client_, CURL, WITH_BOTTLE)
    form, body = default_library().form("biceps_curl", "standing"), Body(stature_m=1.70, mass_kg=70)
    path = load_path(form, body, joint="elbow", scheme="winter", load=LoadSpec("bottle", mass_kg=1.0))
    assert f"{path.peak.torque_nm:.1f} N·m" in page
    assert "a figure of 1.70 m and 70 kg; nobody's own numbers" in page
    assert "Hardest when the forearm is level" in page
    assert "an example" in page
    assert "segment masses after Winter" in page


def test_a_typed_load_and_a_typed_band_are_matched_and_the_safer_is_marked(client_: Client) -> None:
    page = page_of(client_, CURL, {**WITH_BOTTLE, "load": "1.5 kg", "pull": "2.4 kg", "length": "3 m"})
    assert "1.5 kg in each hand" in page
    assert "Band: the band you typed" in page
    assert "(safer)" in page
    assert "hold " in page


@pytest.mark.parametrize(
    ("typed", "said"),
    [({"load": "900 kg"}, "is outside 0.1 to 25 kg"), ({"pull": "2 kg"}, "A band needs both"), ({"load": "1"}, "unit")],
)
def test_a_load_that_cannot_be_is_refused_with_a_sentence(client_: Client, typed: dict[str, str], said: str) -> None:
    answer = client_.get(CURL, {**WITH_BOTTLE, **typed})
    assert answer.status_code == 422
    assert said in html.unescape(answer.content.decode())


@pytest.mark.parametrize("query", [{"posture": "lying"}, {"person": "not-an-id"}])
def test_what_does_not_exist_is_not_found(client_: Client, query: dict[str, str]) -> None:
    assert client_.get(CURL, query).status_code == 404


def test_a_person_lends_size_sex_and_kit(client_: Client, assessed: Person) -> None:
    page = page_of(client_, CURL, {"posture": "seated", "kit": "hand_weight", "person": str(assessed.pk)})
    assert "Ana, 1.65 m and 70 kg" in page
    assert "de Leva 1996, women" in page
    assert "The plan can use it for Ana" in page
    assert "For Ana: 1 kg, 2 kg" in page


def test_a_restriction_is_said_and_stops_the_sheet(client_: Client, person: Person, nurse: User) -> None:
    today = timezone.localdate()
    record = complete_record(person, today)
    held = Restriction(
        "movement",
        shown="No arm curls yet.",
        author="the surgeon",
        start_on=today - timedelta(days=1),
        review_on=today + timedelta(days=14),
        movement_ids=("biceps_curl",),
    )
    finish(person, type(record)(**{**vars(record), "restrictions": (held,)}), nurse)
    query = {"posture": "seated", "kit": "hand_weight", "person": str(person.pk)}
    page = page_of(client_, CURL, query)
    assert "Not so for Ana." in page
    assert "Print the home sheet" not in page
    answer = client_.get(f"{CURL}home-sheet.pdf", query)
    assert answer.status_code == 422
    assert "No sheet is printed for Ana." in answer.content.decode()


def test_kit_that_the_person_does_not_have_is_not_offered(client_: Client, assessed: Person) -> None:
    page = page_of(client_, CURL, {"posture": "seated", "kit": "bottle", "person": str(assessed.pk)})
    assert "Not in this posture with this kit. What can be used: seated, " in page


def test_a_person_without_an_assessment_gets_the_stated_figure_and_a_sentence(client_: Client, person: Person) -> None:
    page = page_of(client_, CURL, {"person": str(person.pk)})
    assert "Ana has no finished assessment yet" in page
    assert "nobody's own numbers" in page


def test_a_person_whose_mass_is_unknown_gets_no_numbers_of_their_own(
    client_: Client, person: Person, nurse: User
) -> None:
    record = complete_record(person, timezone.localdate())
    finish(person, type(record)(**{**vars(record), "mass_kg": None}), nurse)
    page = page_of(client_, CURL, {"posture": "seated", "person": str(person.pk)})
    assert "the body mass of Ana is not recorded" in page
    assert "nobody's own numbers" in page


def test_the_band_of_a_person_has_a_length_to_hold(client_: Client, person: Person, nurse: User) -> None:
    record = complete_record(person, timezone.localdate())
    kit = Kit((1.0, 2.0), (1.0,), (), (Band("band A", 20.0, 3.0),), True, True, True, True, False, 0.15, "")
    finish(person, type(record)(**{**vars(record), "kit": kit}), nurse)
    query = {"posture": "seated", "kit": "hand_weight", "person": str(person.pk)}
    page = page_of(client_, CURL, query)
    assert "Band: band A" in page
    assert "hold " in page
    assert "At home: 1 kg." in page
    assert "band A held at" in page_of(client_, CURL, {**query, "kit": "band"})


def test_another_team_and_a_manager_see_no_person(outsider: User, manager: User, assessed: Person) -> None:
    query = {"person": str(assessed.pk)}
    assert as_user(outsider).get(CURL, query).status_code == 404
    answer = as_user(manager).get(CURL, query)
    assert answer.status_code == 403
    assert b"Ana" not in answer.content


def test_frames_play_the_chosen_posture_and_are_kept_only_when_nobodys(client_: Client, assessed: Person) -> None:
    page = client_.get(CURL, WITH_BOTTLE).content.decode()
    address = html.unescape(page.split('data-player="')[1].split('"')[0])
    answer = client_.get(address)
    data = answer.json()
    assert (data["out_s"], data["back_s"]) == (2, 3)
    assert data["figure"]["frames"]
    assert "immutable" in answer.headers["Cache-Control"]
    of_person = client_.get(address, QUERY_STRING=f"{address.split('?')[1]}&person={assessed.pk}")
    assert "Cache-Control" not in of_person.headers


def test_a_plan_leads_to_each_movement_with_the_persons_body(client_: Client, plan: ProgrammeVersion) -> None:
    page = client_.get(f"/people/{plan.person.pk}/programme/").content.decode()
    address = html.unescape(page.split('href="/library/movements/')[1].split('"')[0])
    answer = client_.get(f"/library/movements/{address}")
    assert answer.status_code == 200
    assert "Ana, 1.65 m and 70 kg" in answer.content.decode()
