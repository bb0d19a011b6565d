"""P-029: a nurse's restriction against a movement that a lead chose. The stricter wins, whoever wrote last."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from haleward.errors import HalewardError
from haleward.record import Restriction
from haleward.web.accounts.models import User
from haleward.web.assessment.mapping import record_of
from haleward.web.assessment.models import finished_of
from haleward.web.delivery.diary import days_of
from haleward.web.delivery.landing import landing_of
from haleward.web.delivery.left_out import open_places
from haleward.web.delivery.links import Holder
from haleward.web.delivery.sheets import page_of as page_of_session
from haleward.web.delivery.sheets import sheet_of
from haleward.web.people.models import Person
from haleward.web.prescription import actions, edits
from haleward.web.prescription.blocked import blocked_in
from haleward.web.prescription.ground import ground_of, needed_ground
from haleward.web.prescription.models import ProgrammeVersion
from tests.web.conftest import as_user, complete_record, finish

pytestmark = pytest.mark.django_db
WORDS = "No arm over the head until the device check"


def with_press(person: Person, lead: User) -> ProgrammeVersion:
    """A draft to which the lead adds the press."""
    row, today = actions.start_draft(person, user=lead, now=timezone.now()), timezone.localdate()
    ground, plan = needed_ground(person, today), actions.programme_of(row)
    press = ground.options.find("overhead_press")
    assert press is not None
    added = edits.exercise_from(press, by=lead.get_full_name(), ground=ground)
    actions.keep(row, edits.with_exercise(plan, "one", 0, added), ground)
    return row


def note(person: Person, nurse: User) -> None:
    """The nurse writes the restriction into an assessment."""
    today = timezone.localdate()
    told = Restriction("no_overhead", WORDS, nurse.get_full_name(), today, today + timedelta(days=28))
    finish(person, replace(complete_record(person, today), restrictions=(told,)), nurse)


def sign(row: ProgrammeVersion, lead: User) -> None:
    actions.sign(row, decision=actions.Decision(), user=lead, now=timezone.now())


def page_of(person: Person, user: User) -> str:
    return as_user(user).get(reverse("programme", args=[person.pk])).content.decode()


def test_it_works(assessed: Person, lead: User, nurse: User) -> None:
    row = with_press(assessed, lead)
    assert "Blocked" not in page_of(assessed, lead)
    note(assessed, nurse)
    page, today = page_of(assessed, lead), timezone.localdate()
    card = page[page.index("Blocked: a restriction") :]
    assert f"{WORDS}. Set by {nurse.get_full_name()}, from {today.day} {today:%B %Y}" in card
    assert f"a draft begun by {lead}, {today.day} {today:%B %Y}" in card
    assert "Change the movement" in card
    with pytest.raises(HalewardError, match="stand"):
        sign(row, lead)


@pytest.mark.parametrize("note_first", [True, False])
def test_the_stricter_wins_whoever_wrote_last(note_first: bool, assessed: Person, lead: User, nurse: User) -> None:
    row = with_press(assessed, lead)
    if note_first:  # the lead's draft is kept again after the note
        note(assessed, nurse)
        ground = needed_ground(assessed, timezone.localdate())
        actions.keep(row, actions.programme_of(row), ground)
    else:
        sign(row, lead)
        note(assessed, nurse)
    (one,) = blocked_in(row, ground_of(assessed, timezone.localdate()))
    assert (one.part_key, one.index, one.note.restriction.shown) == ("one", 0, WORDS)
    assert one.chosen_by == str(lead)


def test_a_signed_plan_says_since_which_version_and_a_nurse_resolves_it_with_a_reason(
    assessed: Person, lead: User, nurse: User, assistant: User
) -> None:
    sign(with_press(assessed, lead), lead)
    sign(actions.start_draft(assessed, user=lead, now=timezone.now()), lead)
    note(assessed, nurse)
    assert "In the plan since plan 1, signed by" in page_of(assessed, nurse)
    assert "Resolve:" not in page_of(assessed, assistant)
    address = reverse("restriction_release", args=[assessed.pk, 0])
    assert as_user(assistant).post(address, {"reason": "x"}).status_code == 403
    assert as_user(nurse).post(address, {"reason": ""}).status_code == 422
    assert "Blocked" in page_of(assessed, lead)
    assert as_user(nurse).post(address, {"reason": "Device checked; the clinic agreed."}).status_code == 302
    assert "Blocked" not in page_of(assessed, lead)
    newest = finished_of(assessed)
    assert newest is not None
    (kept,) = record_of(newest).restrictions
    assert (kept.released_by, kept.release_reason) == (str(nurse), "Device checked; the clinic agreed.")


def test_the_session_at_home_leaves_the_movement_out_until_it_is_resolved_and_logs_the_others_in_their_places(
    assessed: Person, lead: User, nurse: User
) -> None:
    row = with_press(assessed, lead)
    sign(row, lead)
    part = actions.programme_of(row).parts[0]
    whole, _ = sheet_of(row, "one")
    assert len(whole.exercises) == len(part.exercises)
    note(assessed, nurse)
    places = tuple(range(1, len(part.exercises)))
    assert open_places(row, "one") == places
    sheet, _ = sheet_of(row, "one")
    assert [one.movement_id for one in sheet.exercises] == [part.exercises[place].movement_id for place in places]
    assert sheet.sheet_id != whole.sheet_id
    data = json.loads(re.findall(r'id="data">(.*?)</script>', page_html(row), re.DOTALL)[0])
    assert data["places"] == list(places)
    today = timezone.localdate()
    for day in days_of(row, ["one", "two", "walk"], first=today, last=today + timedelta(days=6)):
        for one in (*day["sessions"], *day["others"]):
            assert one["part_key"] != "one" or one["exercises"] == list(places)
    as_user(nurse).post(reverse("restriction_release", args=[assessed.pk, 0]), {"reason": "Device checked."})
    assert sheet_of(row, "one")[0] == whole


def test_the_first_page_counts_what_is_left_and_says_what_is_not(assessed: Person, lead: User, nurse: User) -> None:
    row = with_press(assessed, lead)
    sign(row, lead)
    whole = len(actions.programme_of(row).parts[0].exercises)
    holder = Holder(assessed, "person")
    assert landing_of(holder, today=timezone.localdate())["left_out"] == ""
    note(assessed, nurse)
    page = landing_of(holder, today=timezone.localdate())
    title = blocked_in(row, ground_of(assessed, timezone.localdate()))[0].title
    assert page["left_out"] == f"Your team left this out for now: {title}. Ask them if you wonder why."
    cards = [one["line"] for day in (page["today"], *page["later"]) for one in day["sessions"] if one["strength"]]
    assert {line for line in cards if "one" in line} == {f"Part one has {whole - 1} movements."}


def page_html(row: ProgrammeVersion) -> str:
    return page_of_session(row, "one", post_url="/log/", token="t")


def test_a_part_of_which_a_restriction_leaves_nothing_is_not_played(assessed: Person, lead: User, nurse: User) -> None:
    row, today = with_press(assessed, lead), timezone.localdate()
    sign(row, lead)
    every = tuple(one.movement_id for one in actions.programme_of(row).parts[0].exercises)
    told = Restriction("movement", "None of these", "Nurse N", today, today, movement_ids=every)
    finish(assessed, replace(complete_record(assessed, today), restrictions=(told,)), nurse)
    assert open_places(row, "one") == ()
    with pytest.raises(HalewardError, match="leaves no movement of this part"):
        page_html(row)
