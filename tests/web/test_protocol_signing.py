"""The preview, the clinical lead's signature, and what follows from it."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from haleward.dose.preview import Subject, preview
from haleward.errors import HalewardError, Inconsistent
from haleward.record import BloodPressure
from haleward.safety.edits import Edit
from haleward.safety.protocol import default_protocol
from haleward.web.accounts.models import User
from haleward.web.delivery.sheets import _kept
from haleward.web.people.due import due_lines
from haleward.web.people.models import Person
from haleward.web.prescription import actions as prescription
from haleward.web.prescription.models import ProgrammeVersion
from haleward.web.protocol import actions, people
from haleward.web.protocol.models import ProtocolReview, ProtocolVersion
from haleward.web.protocol.people import looked_at, next_step, stored_preview
from haleward.web.team.protocol import protocol_of, wording_of
from tests.web.conftest import as_user, complete_record, finish
from tests.web.protocol_drafts import PASSWORD, clean, draft_for, named, previewed, sign, signed

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clean")]
__all__ = ["clean"]
STRICTER = Edit("rule/R017/condition/under", "60")  # ejection fraction under which a clinician decides


@pytest.fixture
def middling(assessed: Person) -> Person:
    """The assessed person, whose ejection fraction is 55%."""
    return assessed


def form_of(**more: str) -> dict[str, str]:
    due = timezone.localdate() + timedelta(days=365)
    return {"review_due": due.isoformat(), "read": "on", "password": PASSWORD} | more


def test_the_preview_says_whom_the_draft_would_change_and_how(middling: Person, lead: User) -> None:
    draft_for(lead, STRICTER)
    answer = as_user(lead).post(reverse("protocol_preview"), follow=True)
    text = answer.content.decode()
    assert "1 of 1 person would change" in text
    assert reverse("person", args=[middling.pk]) in text
    assert "R017" in text
    assert "Stricter gate" in text


def test_a_person_without_an_assessment_is_counted_and_not_computed(person: Person, lead: User) -> None:
    draft_for(lead, STRICTER)
    text = as_user(lead).post(reverse("protocol_preview"), follow=True).content.decode()
    assert "0 of 0" in text
    assert "1 has no finished assessment" in text


def test_the_preview_in_steps_is_the_preview_at_once(
    middling: Person, lead: User, nurse: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("haleward.web.protocol.people.PEOPLE_A_STEP", 1)
    other = Person.objects.create(service=lead.service, first_name="Bo", last_name="Dale", sex="male")
    finish(other, complete_record(other, timezone.localdate()), nurse)
    row = draft_for(lead, STRICTER)
    client, address = as_user(lead), reverse("protocol_preview")
    steps = [client.post(address, headers={"X-Step": "1"}).json() for _ in range(2)]
    assert steps == [{"done": 1, "total": 2, "whole": False}, {"done": 2, "total": 2, "whole": True}]
    row.refresh_from_db()
    at_once = next_step(row, actions.read_protocol(row.text, name="d"), today=timezone.localdate(), everyone=True)
    assert stored_preview(row) == at_once


def test_a_change_after_the_preview_asks_for_it_again(middling: Person, lead: User) -> None:
    row = previewed(draft_for(lead, STRICTER), lead)
    assert looked_at(row, today=timezone.localdate())
    row = actions.change(row, [Edit("rule/R017/condition/under", "58")], user=lead, now=timezone.now())
    assert looked_at(row, today=timezone.localdate()) is None
    assert stored_preview(row) is None
    with pytest.raises(HalewardError, match="Make the preview again"):
        sign(row, named(lead))


def test_only_the_clinical_lead_signs(lead: User) -> None:
    row = previewed(draft_for(lead), lead)
    with pytest.raises(HalewardError, match="Only the clinical lead signs"):
        sign(row, lead)
    assert "Nobody is named as clinical lead yet" in as_user(lead).get(reverse("protocol_signature")).content.decode()


def test_signing_needs_the_password_again_the_reading_and_a_day_of_review(lead: User, nurse: User) -> None:
    previewed(draft_for(lead), lead)
    client, address = as_user(named(nurse)), reverse("protocol_signature")
    past = (timezone.localdate()).isoformat()
    for wrong in ({"password": "not mine at all"}, {"read": ""}, {"review_due": past}):
        answer = client.post(address, form_of(**wrong))
        assert answer.status_code == 422, wrong
    assert client.post(address, form_of()).status_code == 302
    row = ProtocolVersion.objects.get(service=lead.service)
    assert (row.state, row.signer_name, row.signer_role) == ("signed", "Nurse Test", "consultant nurse")
    protocol = protocol_of(lead.service)
    assert (protocol.signed_by, protocol.signed_on) == ("Nurse Test, consultant nurse", timezone.localdate())
    assert protocol.status == "signed"


def test_a_draft_without_its_reason_is_not_signed(lead: User) -> None:
    row = previewed(draft_for(lead), lead)
    row.note = " "
    row.save()
    with pytest.raises(HalewardError, match="Write down what is changed and why"):
        sign(row, named(lead))


def test_a_serious_finding_stands_against_the_signature(lead: User, monkeypatch: pytest.MonkeyPatch) -> None:
    row = previewed(draft_for(lead), lead)
    monkeypatch.setattr(actions, "serious_findings", lambda _text: ("one",))
    with pytest.raises(HalewardError, match="The checks found 1 to put right"):
        sign(row, named(lead))


def test_a_signed_version_never_changes(lead: User) -> None:
    row = signed(lead)
    row.note = "Afterthought"
    with pytest.raises(Inconsistent, match="is signed and never changes"):
        row.save()
    with pytest.raises(Inconsistent, match="is signed and is kept"):
        row.delete()


def test_a_newer_signature_replaces_the_older_and_keeps_it(lead: User) -> None:
    first = signed(lead)
    second = signed(lead, STRICTER)
    first.refresh_from_db()
    assert (first.state, second.state) == ("replaced", "signed")
    assert (first.version, second.version) == ("0.3", "0.4")
    page = as_user(lead).get(reverse("protocol_version", args=[str(first.number)])).content.decode()
    assert "Replaced" in page
    assert protocol_of(lead.service).version == "0.4"


def test_the_gate_of_a_person_follows_the_signed_protocol(middling: Person, lead: User) -> None:
    today = timezone.localdate()
    before = prescription.ground_of(middling, today)
    assert before is not None
    assert before.prescription.gate.outcome == "go_ahead"
    signed(lead, STRICTER)
    after = prescription.ground_of(middling, today)
    assert after is not None
    assert (after.prescription.gate.outcome, after.prescription.protocol_version) == ("check_first", "0.3")


def test_whom_a_signature_changes_stands_on_today_until_a_lead_has_looked(middling: Person, lead: User) -> None:
    signed(lead, STRICTER)
    review = ProtocolReview.objects.get()
    assert review.is_stricter
    line = next(line for line in due_lines(lead) if "Protocol version 0.3" in line.detail)
    assert (line.when, line.title) == ("Today", str(middling))
    client = as_user(lead)
    assert client.get(line.url).status_code == 200
    assert client.post(line.url, {"note": ""}).status_code == 422
    assert client.post(line.url, {"note": "Asked the cardiologist."}).status_code == 302
    assert not any("Protocol version" in line.detail for line in due_lines(lead))
    review.refresh_from_db()
    assert (review.closed_by, review.note) == (lead, "Asked the cardiologist.")


def test_a_preview_of_yesterday_is_made_again_before_signing(middling: Person, lead: User) -> None:
    row = previewed(draft_for(lead, STRICTER), lead)
    with pytest.raises(HalewardError, match="would change today"):
        actions.refuse_signature(row, user=named(lead), today=timezone.localdate() + timedelta(days=1))


def test_signing_takes_the_people_of_the_preview_and_asks_only_the_newly_assessed(
    middling: Person, lead: User, nurse: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    row = previewed(draft_for(lead, STRICTER), lead)
    newer = Person.objects.create(service=lead.service, first_name="Bo", last_name="Dale", sex="male")
    finish(newer, complete_record(newer, timezone.localdate()), nurse)
    asked: list[list[Subject]] = []
    monkeypatch.setattr(
        people, "preview", lambda subjects, *rest, **more: asked.append(subjects) or preview(subjects, *rest, **more)
    )
    sign(row, named(lead))
    assert [[one.key for one in subjects] for subjects in asked] == [[str(newer.pk)]]
    assert {review.person for review in ProtocolReview.objects.all()} == {middling, newer}


def test_nobody_stands_on_today_when_nothing_changes_for_them(middling: Person, lead: User) -> None:
    signed(lead, Edit("rule/R017/advice", "Ask the cardiologist."))
    assert not ProtocolReview.objects.exists()


def test_a_plan_signed_afterwards_closes_the_review_by_itself(plan: ProgrammeVersion, lead: User) -> None:
    signed(lead, STRICTER)
    assert ProtocolReview.open_for(lead.service_id).count() == 1
    now = timezone.now()
    row = prescription.start_draft(plan.person, user=lead, now=now)
    prescription.sign(row, decision=prescription.Decision("Dr A. Lunn", "May start."), user=lead, now=now)
    assert ProtocolReview.open_for(lead.service_id).count() == 0


def test_a_plan_signed_under_an_older_version_still_opens(plan: ProgrammeVersion, lead: User) -> None:
    signed(lead, STRICTER)
    plan.refresh_from_db()
    assert plan.programme["protocol_version"] == "0.2"
    page = as_user(lead).get(reverse("programme", args=[plan.person_id]))
    assert page.status_code == 200
    assert "version 0.2" in page.content.decode()


def test_pages_made_under_the_older_version_are_made_anew(plan: ProgrammeVersion, lead: User) -> None:
    before = _kept(plan, "one", "html")
    signed(lead, STRICTER)
    assert _kept(ProgrammeVersion.objects.get(pk=plan.pk), "one", "html") != before


def test_the_words_of_the_signed_protocol_are_used(lead: User) -> None:
    signed(lead, Edit("wording/check_well/text", "Are you well today?"), Edit("wording/check_well/source", "Team"))
    assert wording_of(lead.service).template("check_well") == "Are you well today?"


def test_a_signed_protocol_that_cannot_be_read_decides_nothing(lead: User) -> None:
    row = signed(lead)
    ProtocolVersion.objects.filter(pk=row.pk).update(text="x = 1", digest="another")
    with pytest.raises(HalewardError, match="cannot be read, so nothing is decided by it"):
        protocol_of(lead.service)
    ProtocolVersion.objects.filter(pk=row.pk).update(format="haleward-protocol-9", digest="a third")
    with pytest.raises(HalewardError, match="stored as haleward-protocol-9"):
        protocol_of(lead.service)


def test_another_service_keeps_the_default(lead: User, outsider: User) -> None:
    signed(lead, STRICTER)
    assert protocol_of(outsider.service) == default_protocol(jurisdiction="UK")
    assert as_user(outsider).get(reverse("protocol_version", args=["1"])).status_code == 404


def test_the_day_of_review_comes_onto_today(lead: User, manager: User) -> None:
    row = signed(lead)
    ProtocolVersion.objects.filter(pk=row.pk).update(review_due=timezone.localdate())
    for user in (lead, manager):
        assert any("was to be reviewed by" in line.detail for line in due_lines(user))


def test_the_comparison_says_what_became_stricter(lead: User) -> None:
    draft_for(lead, STRICTER)
    text = as_user(lead).get(reverse("protocol_comparison")).content.decode()
    assert "R017" in text
    assert "Stricter." in text
    same = as_user(lead).get(reverse("protocol_comparison"), {"old": "default", "new": "default"}).content.decode()
    assert "These two say the same." in same


def test_a_check_of_today_is_judged_by_both_versions(assessed: Person, nurse: User, lead: User) -> None:
    now = timezone.now()
    record = complete_record(assessed, timezone.localdate())
    pressed = replace(record, blood_pressure=BloodPressure(172.0, 80.0, timezone.localdate(), "seated"))
    finish(assessed, pressed, nurse)
    prescription.check_day(assessed, {"sbp_rest": 172.0, "dbp_rest": 80.0, "hr_rest": 66.0}, user=nurse, now=now)
    draft_for(lead, Edit("rule/R023/condition/any/0/over", "170"))
    text = as_user(lead).post(reverse("protocol_preview"), follow=True).content.decode()
    assert "R023" in text
