"""The assessment page: who opens it, what it keeps, what it refuses."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from django.http import QueryDict
from django.test import Client
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from haleward.errors import Inconsistent
from haleward.record import Band, Medicine, Record, Restriction
from haleward.web.accounts.models import User
from haleward.web.assessment import mapping
from haleward.web.assessment.actions import form_of
from haleward.web.assessment.mapping import record_of, stored
from haleward.web.assessment.models import Assessment, draft_of, finished_of
from haleward.web.people.models import Person
from tests.web.conftest import as_user, complete_record, finish
from tests.web.test_assessment_mapping import posted

pytestmark = pytest.mark.django_db


def page(person: Person) -> str:
    return f"/people/{person.pk}/assessment/"


def shown_form(person: Person, **changes: str) -> QueryDict:
    """What the page would send back untouched, with these changes."""
    data = posted(form_of(person))
    data["start-assessed_on"] = timezone.localdate().isoformat()
    for name, value in changes.items():
        data[name.replace("__", "-")] = value
    return data


def test_it_works(lead: User, person: Person) -> None:
    answer = as_user(lead).get(page(person))
    assert answer.status_code == 200
    assert b"Finish the assessment" in answer.content


@pytest.mark.parametrize("role", ["assistant", "manager"])
def test_the_wrong_role_is_refused(role: str, staff: dict[str, User], person: Person) -> None:
    assert as_user(staff[role]).get(page(person)).status_code == 403


def test_the_lead_of_another_team_does_not_find_the_person(outsider: User, person: Person) -> None:
    assert as_user(outsider).get(page(person)).status_code == 404


def test_someone_signed_out_is_sent_to_sign_in(person: Person) -> None:
    assert Client().get(page(person)).status_code == 302


def test_a_draft_is_kept_with_what_is_known_so_far(nurse: User, person: Person) -> None:
    data = shown_form(person, readings__bpm="64", readings__bpm_on="1 February 2026", draft="1")
    answer = as_user(nurse).post(page(person), data)
    assert answer.status_code == 302
    draft = draft_of(person)
    assert draft is not None
    record = record_of(draft)
    assert record.resting_heart_rate is not None
    assert record.resting_heart_rate.taken_on == date(2026, 2, 1)
    assert record.medicines is None
    assert finished_of(person) is None


def test_the_draft_opens_again_where_it_was_left(nurse: User, lead: User, person: Person) -> None:
    as_user(nurse).post(page(person), shown_form(person, plan__goal="walk the dog", draft="1"))
    assert b"walk the dog" in as_user(lead).get(page(person)).content


def test_a_fault_is_shown_again_and_nothing_is_saved(nurse: User, person: Person) -> None:
    answer = as_user(nurse).post(page(person), shown_form(person, body__mass_kg="180", finish="1"))
    assert answer.status_code == 422
    assert "has no unit" in answer.content.decode()
    assert not Assessment.objects.exists()


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("body__stature_m", "172 m", "If you meant centimetres"),
        ("body__mass_kg", "300 kg", "pounds or stones"),
        ("readings__glucose_mmol_0", "110", "has no unit"),
        ("readings__bpm", "6x", "is not a number"),
        ("readings__bpm", "300", "is outside"),
        ("readings__systolic_mmhg", "120", "Enter both values"),
        ("start__assessed_on", "04/05/2026", "could be two dates"),
        ("kit__bottle_pairs_kg", "2 pints", "cannot be read"),
        ("heart__lowest_detection_bpm", "170", "Choose which device"),
        ("walk__distance_m", "400", "Choose which test it was"),
        ("event-0-on", "2026-02-01", "This field is required"),
    ],
)
def test_each_slip_of_the_pen_is_answered_in_one_sentence(
    field: str, value: str, sentence: str, nurse: User, person: Person
) -> None:
    answer = as_user(nurse).post(page(person), shown_form(person, **{field: value}))
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert not Assessment.objects.exists()


def test_glucose_in_the_other_unit_is_questioned(nurse: User, person: Person) -> None:
    data = shown_form(person, readings__glucose_mmol_0="110", readings__glucose_mmol_1="mmol/L")
    answer = as_user(nurse).post(page(person), data)
    assert "looks like mg/dL" in answer.content.decode()


def test_stones_and_feet_are_stored_in_metric(nurse: User, person: Person) -> None:
    data = shown_form(person, body__stature_m="5 ft 8 in", body__mass_kg="12 st 10 lb", draft="1")
    as_user(nurse).post(page(person), data)
    draft = draft_of(person)
    assert draft is not None
    record = record_of(draft)
    assert record.stature_m == pytest.approx(1.7272)
    assert record.mass_kg == pytest.approx(80.7395, abs=0.001)


def test_a_litre_bottle_weighs_a_kilogram(nurse: User, person: Person) -> None:
    as_user(nurse).post(page(person), shown_form(person, kit__bottle_pairs_kg="1 L, 500 ml", draft="1"))
    draft = draft_of(person)
    assert draft is not None
    assert record_of(draft).kit.bottle_pairs_kg == (0.5, 1.0)


def test_three_scale_readings_give_the_stiffness_of_a_band(nurse: User, person: Person) -> None:
    data = shown_form(person, draft="1")
    data.update({"band-0-name": "long and thin", "band-0-rest_length": "1.5 m"})
    data["band-0-readings"] = "1.5 at 2.153, 2 at 3.568, 2.5 at 4.772"
    assert as_user(nurse).post(page(person), data).status_code == 302
    draft = draft_of(person)
    assert draft is not None
    bands = record_of(draft).kit.bands
    assert bands is not None
    assert bands[0].stiffness_n == pytest.approx(20.0, abs=0.05)  # by hand: 3.568 kg x 9.81 / (2 - 1/4) = 20.00 N


def test_readings_between_two_marks_are_kept_with_how_well_they_agree(nurse: User, person: Person) -> None:
    data = shown_form(person, draft="1")
    data.update({"band-0-name": "wide", "band-0-rest_length": "2 m", "band-0-marks": "50 cm"})
    data.update({"band-0-readings": "75 cm at 2.2 kg, 100 cm at 3.5, 1.25 m at 4.8", "band-0-can_grip": "yes"})
    data["band-0-measured_on"] = "2026-01-05"
    assert as_user(nurse).post(page(person), data).status_code == 302
    draft = draft_of(person)
    assert draft is not None
    (band,) = record_of(draft).kit.bands or ()
    assert band.readings == ((1.5, 2.2), (2.0, 3.5), (2.5, 4.8))
    assert band.can_grip is True
    assert band.misfit is not None
    assert 0 < band.misfit < 0.05
    text = as_user(nurse).get(page(person)).content.decode()
    assert f"The three readings agree within {100 * band.misfit:.0f} %." in text
    assert "Measure it again by 2 March 2026." in text
    assert "1.5 at 2.2, 2 at 3.5, 2.5 at 4.8" in text


@pytest.mark.parametrize(
    ("marks", "readings", "sentence"),
    [
        ("", "75 cm at 2.2, 100 cm at 3.5, 125 cm at 4.8", "enter the length between the two marks"),
        ("50 cm", "75 cm at 2.2, 100 cm at 3.5", "pull it to three different lengths"),
        ("50 cm", "75 cm at 2.2, 100 cm at 5.5, 125 cm at 4.8", "but by the other readings it would be 3.6 kg"),
        ("50 cm", "75 cm at 2.2, 100 cm at 3.5, 190 cm at 4.8", "stretch of the band"),
        ("50 cm", "much", "cannot be read"),
    ],
)
def test_readings_that_cannot_be_right_are_answered(
    nurse: User, person: Person, marks: str, readings: str, sentence: str
) -> None:
    data = shown_form(person, draft="1")
    data.update({"band-0-name": "wide", "band-0-rest_length": "2 m", "band-0-marks": marks})
    data["band-0-readings"] = readings
    answer = as_user(nurse).post(page(person), data)
    assert answer.status_code == 422
    assert sentence in answer.content.decode()


def test_an_answer_on_insulin_must_agree_with_the_medicines(nurse: User, assessed: Person) -> None:
    answer = as_user(nurse).post(page(assessed), shown_form(assessed, questions__insulin_or_su="yes", finish="1"))
    assert answer.status_code == 422
    assert "the list of medicines disagree" in answer.content.decode()
    assert assessed.assessments.count() == 1


def test_a_finished_assessment_is_never_changed(nurse: User, person: Person) -> None:
    row = finish(person, complete_record(person, timezone.localdate()), nurse)
    row.record = {}
    with pytest.raises(Inconsistent, match="never changed"):
        row.save()
    assert Assessment.objects.get(pk=row.pk).record != {}


def test_the_next_assessment_opens_with_the_last_answers(nurse: User, assessed: Person) -> None:
    assert b"walk to the shop" in as_user(nurse).get(page(assessed)).content
    as_user(nurse).post(page(assessed), shown_form(assessed, plan__goal="dance", finish="1"))
    goals = [record_of(row).goal for row in assessed.assessments.order_by("created_at")]
    assert goals == ["walk to the shop", "dance"]


def test_a_colleagues_newer_draft_is_not_overwritten_unseen(lead: User, nurse: User, person: Person) -> None:
    late = shown_form(person, plan__goal="mine", seen="", draft="1")
    as_user(nurse).post(page(person), shown_form(person, plan__goal="theirs", draft="1"))
    answer = as_user(lead).post(page(person), late)
    assert answer.status_code == 422
    assert "while you were editing" in answer.content.decode()
    draft = draft_of(person)
    assert draft is not None
    assert record_of(draft).goal == "theirs"


def restricted(person: Person) -> Record:
    today = timezone.localdate()
    limit = Restriction("sternum", "Nothing over 2 kg.", "Mr Vale, surgeon", today - timedelta(days=9), today)
    return replace(complete_record(person, today), restrictions=(limit,))


def test_a_restriction_past_its_review_still_shows_and_asks(nurse: User, person: Person) -> None:
    finish(person, restricted(person), nurse)
    text = as_user(nurse).get(f"/people/{person.pk}/").content.decode()
    assert "Nothing over 2 kg." in text
    assert "Review was due" in text


def test_a_restriction_due_for_review_is_on_today_and_is_not_released(nurse: User, person: Person) -> None:
    finish(person, restricted(person), nurse)
    text = as_user(nurse).get("/").content.decode()
    assert "Review the restriction" in text
    assert "it stays in force until someone releases it" in text
    row = finished_of(person)
    assert row is not None
    assert record_of(row).restrictions[0].released_on is None


def test_a_restriction_of_an_older_assessment_or_with_a_later_review_is_not_on_today(
    nurse: User, person: Person
) -> None:
    finish(person, restricted(person), nurse)
    record = restricted(person)
    later = replace(record.restrictions[0], review_on=timezone.localdate() + timedelta(days=1))
    finish(person, replace(record, restrictions=(later,)), nurse)
    assert "Review the restriction" not in as_user(nurse).get("/").content.decode()


@pytest.mark.parametrize(("weeks", "due"), [(7.9, False), (8, True), (30, True)])
def test_a_band_is_due_to_be_measured_again_after_eight_weeks(
    nurse: User, person: Person, weeks: float, due: bool
) -> None:
    today = timezone.localdate()
    record = complete_record(person, today)
    band = Band("wide", 13.0, 2.0, measured_on=today - timedelta(days=int(7 * weeks)))
    finish(person, replace(record, kit=replace(record.kit, bands=(band,))), nurse)
    assert ("Measure the band wide again" in as_user(nurse).get("/").content.decode()) is due


@pytest.mark.parametrize("row", [{}, {"drug_class": "beta_blocker", "name": "bisoprolol", "dose": "5 mg"}])
def test_a_rate_medicine_stopped_or_in_another_dose_ends_the_heart_rate_range(
    row: dict[str, str], nurse: User, lead: User, person: Person
) -> None:
    today = timezone.localdate()
    before = today - timedelta(days=30)
    taken = Medicine("beta_blocker", "bisoprolol", "2.5 mg", before)
    record = replace(complete_record(person, today - timedelta(days=7)), medicines=(taken,), assessed_on=before)
    finish(person, record, nurse)
    assert "Heart rate not usable" not in as_user(lead).get(f"/people/{person.pk}/numbers/").content.decode()
    now = [{**row, "since": before}] if row else []
    parts = {"medicine": now, "medicines": {"takes_none": not now}, "start": {"assessed_on": today}}
    changed = mapping._former(mapping._medicines(parts), record, ended_by=today)
    assert [(one.name, one.dose, one.ended_by) for one in changed] == [("bisoprolol", "2.5 mg", today)]
    finish(person, replace(record, medicines=mapping._medicines(parts), former_medicines=changed), nurse)
    text = as_user(lead).get(f"/people/{person.pk}/numbers/").content.decode()
    assert "Heart rate not usable" in text


def test_releasing_a_restriction_makes_a_new_assessment_and_keeps_the_old(nurse: User, person: Person) -> None:
    first = finish(person, restricted(person), nurse)
    answer = as_user(nurse).post(f"/people/{person.pk}/restrictions/0/release/", {"reason": "Bone healed, Mr Vale"})
    assert answer.status_code == 302
    last = finished_of(person)
    assert last is not None
    assert last.pk != first.pk
    released = record_of(last).restrictions[0]
    assert released.released_on == timezone.localdate()
    assert released.release_reason == "Bone healed, Mr Vale"
    assert Assessment.objects.get(pk=first.pk).record == stored(restricted(person))


def test_a_release_without_a_reason_is_refused(nurse: User, person: Person) -> None:
    finish(person, restricted(person), nurse)
    assert as_user(nurse).post(f"/people/{person.pk}/restrictions/0/release/", {"reason": ""}).status_code == 422
    assert person.assessments.count() == 1


def test_an_assistant_cannot_release(assistant: User, nurse: User, person: Person) -> None:
    finish(person, restricted(person), nurse)
    url = f"/people/{person.pk}/restrictions/0/release/"
    assert as_user(assistant).post(url, {"reason": "x"}).status_code == 403


def test_a_restriction_cannot_be_emptied_away(nurse: User, person: Person) -> None:
    finish(person, restricted(person), nurse)
    data = shown_form(person, finish="1")
    for name in list(data):
        if name.startswith("restriction-0-"):
            del data[name]
    answer = as_user(nurse).post(page(person), data)
    assert answer.status_code == 422
    assert "cannot be taken off here" in answer.content.decode()


def test_what_is_missing_is_asked_on_the_persons_page(nurse: User, person: Person) -> None:
    record = complete_record(person, timezone.localdate())
    answers = {name: value for name, value in record.answers.items() if name != "lvef_pct"}
    finish(person, replace(record, answers=answers), nurse)
    text = as_user(nurse).get(f"/people/{person.pk}/").content.decode()
    assert "What is the latest ejection fraction" in text


def test_the_page_needs_few_queries(
    nurse: User, assessed: Person, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    client = as_user(nurse)
    with django_assert_max_num_queries(12):
        client.get(page(assessed))
