"""Changing a draft: dose, swap, move, remove, add, days. What does not fit is answered and not kept."""

from __future__ import annotations

import pytest
from django.test import Client
from django.utils import timezone

from haleward.dose.model import Exercise, Programme
from haleward.web.accounts.models import User
from haleward.web.assessment.titles import movement_title
from haleward.web.people.models import Person
from haleward.web.prescription import actions, edits, shown
from haleward.web.prescription.ground import Ground, needed_ground
from haleward.web.prescription.models import ProgrammeVersion, draft_of
from tests.web.conftest import as_user

pytestmark = pytest.mark.django_db


@pytest.fixture
def draft(assessed: Person, lead: User) -> ProgrammeVersion:
    return actions.start_draft(assessed, user=lead, now=timezone.now())


@pytest.fixture
def client(lead: User) -> Client:
    return as_user(lead)


def url(draft: ProgrammeVersion, address: str = "") -> str:
    return f"/people/{draft.person_id}/programme/{address}"


def plan_of(draft: ProgrammeVersion) -> Programme:
    row = draft_of(draft.person)
    assert row is not None
    return actions.programme_of(row)


def ground_of(draft: ProgrammeVersion) -> Ground:
    return needed_ground(draft.person, timezone.localdate())


def ids(programme: Programme, part_key: str) -> list[str]:
    return [exercise.movement_id for exercise in edits.part_of(programme, part_key).exercises]


def title_of(exercise: Exercise) -> str:
    return movement_title(exercise.movement_id, exercise.posture)


def repeated(draft: ProgrammeVersion) -> int:
    """Place in part one of an exercise that is counted, not held."""
    exercises = edits.part_of(plan_of(draft), "one").exercises
    return next(place for place, exercise in enumerate(exercises) if not exercise.dose.hold_s)


def test_it_works(client: Client, draft: ProgrammeVersion) -> None:
    text = client.get(url(draft, "one/0/")).content.decode()
    assert "Save the dose" in text
    assert "Swap it for another movement" in text


def test_another_dose_within_the_limits_is_kept_with_who_changed_it(
    client: Client, draft: ProgrammeVersion, lead: User
) -> None:
    place = repeated(draft)
    sent = {"choice": "0", "sets": "2", "repetitions": "12", "rest_s": "60"}
    assert client.post(url(draft, f"one/{place}/"), sent).status_code == 302
    exercise = edits.exercise_of(plan_of(draft), "one", place)
    option = ground_of(draft).options.find(exercise.movement_id)
    assert option is not None
    assert (exercise.dose.repetitions, exercise.dose.rest_s) == (12, 60)
    assert exercise.dose.load == option.choices[0].load
    assert f"Dose changed by {lead}." in exercise.reasons


@pytest.mark.parametrize(
    ("field", "value"),
    [("repetitions", "40"), ("sets", "9"), ("rest_s", "5"), ("repetitions", "ten"), ("choice", "99")],
)
def test_a_dose_outside_the_protocol_is_shown_again_and_not_kept(
    field: str, value: str, client: Client, draft: ProgrammeVersion
) -> None:
    place, before = repeated(draft), plan_of(draft)
    sent = {"choice": "0", "sets": "2", "repetitions": "10", "rest_s": "90"} | {field: value}
    answer = client.post(url(draft, f"one/{place}/"), sent)
    assert answer.status_code == 422
    assert 'class="fault' in answer.content.decode() or "faults" in answer.content.decode()
    assert plan_of(draft) == before


def test_a_swap_brings_an_eligible_movement_at_its_starting_dose(client: Client, draft: ProgrammeVersion) -> None:
    plan, options = plan_of(draft), ground_of(draft).options
    used = ids(plan, "one") + ids(plan, "two")
    other = next(option for option in options.eligible if option.movement_id not in used)
    assert client.post(url(draft, "one/0/movement/"), {"movement": other.movement_id}).status_code == 302
    exercise = edits.exercise_of(plan_of(draft), "one", 0)
    assert exercise.movement_id == other.movement_id
    assert exercise.dose.load == other.start.load


def test_a_swap_says_what_it_did_and_a_heavier_start_before_and_after(client: Client, draft: ProgrammeVersion) -> None:
    ground, now = ground_of(draft), edits.exercise_of(plan_of(draft), "one", 0)
    chosen = next(one for one in shown.swaps_shown(plan_of(draft), now, ground) if one.heavier)
    assert f'<strong class="heavier">{chosen.heavier}</strong>' in client.get(url(draft, "one/0/")).content.decode()
    answer = client.post(url(draft, "one/0/movement/"), {"movement": chosen.movement_id}, follow=True)
    assert f"{chosen.title} takes the place of {title_of(now)}. {chosen.heavier}" in answer.content.decode()


def test_a_movement_that_is_left_out_cannot_be_swapped_in(client: Client, draft: ProgrammeVersion) -> None:
    before = plan_of(draft)
    left_out = next(left.movement_id for left in before.left_out if left.movement_id)
    answer = client.post(url(draft, "one/0/movement/"), {"movement": left_out})
    assert answer.status_code == 422
    assert plan_of(draft) == before


def test_a_removed_region_becomes_a_named_gap(client: Client, draft: ProgrammeVersion) -> None:
    region = edits.exercise_of(plan_of(draft), "one", 0).region
    client.post(url(draft, "one/0/removal/"))
    plan = plan_of(draft)
    still_there = {exercise.region for part in plan.parts for exercise in part.exercises}
    gaps = {left.region for left in plan.left_out if not left.movement_id}
    assert region in still_there or region in gaps


def test_an_added_movement_closes_its_gap(client: Client, draft: ProgrammeVersion) -> None:
    plan, options = plan_of(draft), ground_of(draft).options
    gap = next(left.region for left in plan.left_out if not left.movement_id and left.region)
    option = next(option for option in options.eligible if option.region == gap)
    client.post(url(draft, "two/exercises/"), {"movement": option.movement_id})
    after = plan_of(draft)
    assert ids(after, "two")[-1] == option.movement_id
    assert gap not in {left.region for left in after.left_out if not left.movement_id}


def test_adding_nothing_is_answered(client: Client, draft: ProgrammeVersion) -> None:
    before = plan_of(draft)
    assert client.post(url(draft, "two/exercises/"), {"movement": ""}).status_code == 422
    assert plan_of(draft) == before


def test_an_exercise_moves_to_the_other_part(client: Client, draft: ProgrammeVersion) -> None:
    moved = ids(plan_of(draft), "one")[0]
    client.post(url(draft, "one/0/place/"))
    after = plan_of(draft)
    assert moved not in ids(after, "one")
    assert ids(after, "two")[-1] == moved


def test_days_without_a_rest_day_between_stand_against_signing(client: Client, draft: ProgrammeVersion) -> None:
    sent = {"part_one": ["monday"], "part_two": ["tuesday"], "walking": ["friday"]}
    sent |= {"bouts": "1", "bout_minutes": "15", "rest_minutes": "0"}  # type: ignore[dict-item]
    assert client.post(url(draft, "days/"), sent).status_code == 302
    assert "These stand against signing" in client.get(url(draft)).content.decode()
    assert client.post(url(draft, "signature/")).status_code == 422
    row = draft_of(draft.person)
    assert row is not None


def test_days_that_cannot_be_read_are_shown_again(client: Client, draft: ProgrammeVersion) -> None:
    before = plan_of(draft)
    assert client.post(url(draft, "days/"), {"part_one": ["noday"], "bouts": "x"}).status_code == 422
    assert plan_of(draft) == before


def test_a_line_that_is_gone_is_answered_in_one_sentence(client: Client, draft: ProgrammeVersion) -> None:
    for address in ("one/77/", "five/0/"):
        answer = client.get(url(draft, address))
        assert answer.status_code == 422
        assert "Open the programme again." in answer.content.decode()


def test_a_picture_is_drawn_and_may_be_kept(client: Client, draft: ProgrammeVersion) -> None:
    exercise = edits.exercise_of(plan_of(draft), "one", 0)
    kit = exercise.dose.load.kit
    answer = client.get(f"/figures/{exercise.movement_id}/{exercise.posture}/{kit}/start.svg")
    assert answer["Content-Type"] == "image/svg+xml"
    assert answer.content.startswith(b"<svg")
    assert "private" in answer["Cache-Control"]


@pytest.mark.parametrize("path", ["nothing/seated/own_weight/start", "chest_press/seated/anvil/start"])
def test_a_picture_of_nothing_is_not_found(path: str, client: Client) -> None:
    assert client.get(f"/figures/{path}.svg").status_code == 404


def test_the_movements_of_a_next_plan_can_be_chosen_anew(client: Client, plan: ProgrammeVersion, lead: User) -> None:
    draft = actions.start_draft(plan.person, user=lead, now=timezone.now())
    client.post(url(draft, "one/0/removal/"))
    left = ids(plan_of(draft), "one")
    assert "Choose the movements anew" in client.get(url(draft)).content.decode()
    answer = client.post(url(draft, "draft/"), {"anew": "1"}, follow=True)
    assert ids(plan_of(draft), "one") == ids(actions.programme_of(plan), "one")
    [back] = set(ids(plan_of(draft), "one")) - set(left)
    [place] = [n for n, found in enumerate(ids(plan_of(draft), "one")) if found == back]
    title = title_of(edits.exercise_of(plan_of(draft), "one", place))
    assert f"The movements are chosen anew. New: {title}." in answer.content.decode()
    again = client.post(url(draft, "draft/"), {"anew": "1"}, follow=True)
    assert "They are the same as before." in again.content.decode()


def test_a_first_draft_offers_no_choice_anew(client: Client, draft: ProgrammeVersion) -> None:
    assert "Choose the movements anew" not in client.get(url(draft)).content.decode()


def test_the_swap_list_is_of_the_same_region_with_posture_titles(client: Client, draft: ProgrammeVersion) -> None:
    place = repeated(draft)
    exercise = edits.part_of(plan_of(draft), "one").exercises[place]
    page = client.get(url(draft, f"one/{place}/")).content.decode()
    assert "For the same purpose, nearest first" in page
    assert "Stays: " in page
    ground = ground_of(draft)
    shown = page.split('class="swaps"')[1].split("</ul>")[0]
    used = {one.movement_id for part in plan_of(draft).parts for one in part.exercises}
    for option in ground.options.eligible:
        wanted = option.region == exercise.region and option.movement_id not in used
        assert (f'value="{option.movement_id}"' in shown) is wanted
