"""Proposals: they follow the logs, and take effect only when a lead accepts them."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from django.utils import timezone

from haleward.dose.log import SessionLog, SetLog
from haleward.dose.model import Exercise, Programme
from haleward.errors import HalewardError
from haleward.web.accounts.models import User
from haleward.web.people.models import Person
from haleward.web.prescription import actions, edits, proposals
from haleward.web.prescription.models import ProgrammeVersion, ProposalDecision, signed_of
from tests.web.conftest import as_user

pytestmark = pytest.mark.django_db
Answer = ProposalDecision.Answer


@pytest.fixture
def plan(assessed: Person, lead: User) -> ProgrammeVersion:
    """A plan signed three weeks ago, so that sessions can lie between then and now."""
    row = actions.start_draft(assessed, user=lead, now=timezone.now() - timedelta(days=5))
    actions.sign(row, decision=actions.Decision(), user=lead, now=timezone.now() - timedelta(days=5))
    return row


@pytest.fixture
def logs(monkeypatch: pytest.MonkeyPatch) -> list[SessionLog]:
    """What the delivery room would read from its store; tests add to it."""
    kept: list[SessionLog] = []
    monkeypatch.setattr(proposals, "session_logs", lambda person: tuple(kept))
    return kept


def session(
    number: int, part_key: str, programme: Programme, at: datetime, effort: float, *symptoms: str
) -> SessionLog:
    others = max(effort, 5.0)  # hard enough that only the first exercise is raised
    sets = tuple(
        SetLog(exercise.movement_id, index, one + 1, exercise.dose.repetitions, others if index else effort)
        for index, exercise in enumerate(edits.part_of(programme, part_key).exercises)
        for one in range(exercise.dose.sets)
    )
    ended = at + timedelta(minutes=30)
    return SessionLog(
        f"s{number}", programme.version, part_key, at, ended, "staff", sets, symptoms, whole_effort=effort
    )


def easy_sessions(plan: ProgrammeVersion, effort: float = 3.0) -> list[SessionLog]:
    programme, now = actions.programme_of(plan), timezone.now()
    return [session(n, "one", programme, now - timedelta(days=4 - 2 * n), effort) for n in (0, 1)]


def waiting(person: Person) -> list[ProposalDecision]:
    return list(person.proposals.filter(answer=Answer.WAITING))


def raised(plan: ProgrammeVersion, logs: list[SessionLog]) -> ProposalDecision:
    logs += easy_sessions(plan)
    proposals.renew_proposals(plan.person, timezone.now())
    (row,) = waiting(plan.person)
    assert proposals.proposal_of(row).kind.startswith("raise_")
    return row


def address(row: ProposalDecision) -> str:
    return f"/people/{row.person_id}/proposals/{row.pk}/"


def line_now(row: ProposalDecision) -> Exercise:
    proposal, signed = proposals.proposal_of(row), signed_of(row.person)
    assert signed is not None
    return edits.exercise_of(actions.programme_of(signed), proposal.part_key, proposal.exercise_index)


def test_without_logs_nothing_is_proposed(plan: ProgrammeVersion, logs: list[SessionLog]) -> None:
    assert proposals.renew_proposals(plan.person, timezone.now()) == ()


def test_two_easy_sessions_bring_one_raise_which_changes_nothing_yet(
    plan: ProgrammeVersion, logs: list[SessionLog]
) -> None:
    row = raised(plan, logs)
    assert line_now(row).dose == proposals.proposal_of(row).before


def test_the_same_logs_twice_bring_the_proposal_once(plan: ProgrammeVersion, logs: list[SessionLog]) -> None:
    row = raised(plan, logs)
    assert proposals.renew_proposals(plan.person, timezone.now()) == (row,)


def test_a_symptom_replaces_the_waiting_raise(plan: ProgrammeVersion, logs: list[SessionLog]) -> None:
    row = raised(plan, logs)
    logs.append(session(9, "two", actions.programme_of(plan), timezone.now(), 3.0, "chest discomfort, no nitrate"))
    proposals.renew_proposals(plan.person, timezone.now())
    row.refresh_from_db()
    assert row.answer == Answer.REPLACED
    assert [proposals.proposal_of(one).kind for one in waiting(plan.person)] == ["review"]


def test_accepting_signs_the_next_version_with_the_new_dose(
    lead: User, plan: ProgrammeVersion, logs: list[SessionLog]
) -> None:
    row = raised(plan, logs)
    client = as_user(lead)
    assert "Accept and sign the next plan" in client.get(address(row)).content.decode()
    assert client.post(address(row), {"accept": "1"}).status_code == 302
    row.refresh_from_db()
    signed = signed_of(plan.person)
    assert signed is not None
    assert (signed.version, signed.signed_by) == (2, lead)
    assert (row.answer, row.decided_by, row.result) == (Answer.ACCEPTED, lead, signed)
    assert line_now(row).dose == proposals.proposal_of(row).after
    assert actions.programme_of(ProgrammeVersion.objects.get(pk=plan.pk)) == actions.programme_of(plan)


def test_changing_uses_the_leads_dose_and_keeps_the_reason(
    lead: User, plan: ProgrammeVersion, logs: list[SessionLog]
) -> None:
    row = raised(plan, logs)
    before = line_now(row).dose
    sent = {"change": "1", "choice": "0", "sets": "1", "rest_s": "120", "change-reason": "tired after work"}
    sent |= {"hold_s": "10"} if before.hold_s else {"repetitions": "9"}
    assert as_user(lead).post(address(row), sent).status_code == 302
    row.refresh_from_db()
    assert (row.answer, row.reason) == (Answer.CHANGED, "tired after work")
    assert (line_now(row).dose.sets, line_now(row).dose.rest_s) == (1, 120)


def test_a_change_without_a_reason_or_outside_the_limits_is_shown_again(
    lead: User, plan: ProgrammeVersion, logs: list[SessionLog]
) -> None:
    row = raised(plan, logs)
    good = {"change": "1", "choice": "0", "sets": "1", "repetitions": "9", "rest_s": "120", "change-reason": "tired"}
    for wrong in ({"change-reason": ""}, {"sets": "9"}, {"rest_s": "1"}):
        assert as_user(lead).post(address(row), good | wrong).status_code == 422
    row.refresh_from_db()
    assert row.answer == Answer.WAITING
    assert plan.person.programmes.count() == 1


def test_holding_needs_a_reason_and_does_not_come_back_on_the_same_sessions(
    lead: User, plan: ProgrammeVersion, logs: list[SessionLog]
) -> None:
    row = raised(plan, logs)
    client = as_user(lead)
    assert client.post(address(row), {"hold": "1", "reason": ""}).status_code == 422
    assert client.post(address(row), {"hold": "1", "reason": "new job"}).status_code == 302
    row.refresh_from_db()
    assert (row.answer, row.reason, row.result) == (Answer.HELD, "new job", None)
    assert proposals.renew_proposals(plan.person, timezone.now()) == ()


def test_a_proposal_is_answered_once(lead: User, plan: ProgrammeVersion, logs: list[SessionLog]) -> None:
    row = raised(plan, logs)
    as_user(lead).post(address(row), {"accept": "1"})
    assert as_user(lead).post(address(row), {"accept": "1"}).status_code == 422
    assert plan.person.programmes.count() == 2


def test_an_open_draft_comes_first(lead: User, plan: ProgrammeVersion, logs: list[SessionLog]) -> None:
    row = raised(plan, logs)
    actions.start_draft(plan.person, user=lead, now=timezone.now())
    answer = as_user(lead).post(address(row), {"accept": "1"})
    assert answer.status_code == 422
    assert "Plan 2 is a draft" in answer.content.decode()
    row.refresh_from_db()
    assert row.answer == Answer.WAITING


def test_easing_one_exercise_leaves_the_other_ease_to_be_answered(
    lead: User, plan: ProgrammeVersion, logs: list[SessionLog]
) -> None:
    logs += [replace(one, session_id=f"hard{one.session_id}") for one in easy_sessions(plan, effort=8.0)]
    proposals.renew_proposals(plan.person, timezone.now())
    first, second = waiting(plan.person)[:2]
    as_user(lead).post(address(first), {"accept": "1"})
    second.refresh_from_db()
    assert second.answer == Answer.WAITING
    assert as_user(lead).post(address(second), {"accept": "1"}).status_code == 302
    assert plan.person.programmes.count() == 3


@pytest.mark.parametrize("role", ["nurse", "assistant", "manager"])
def test_only_a_lead_decides(role: str, staff: dict[str, User], plan: ProgrammeVersion, logs: list[SessionLog]) -> None:
    row = raised(plan, logs)
    assert as_user(staff[role]).post(address(row), {"accept": "1"}).status_code == 403
    assert plan.person.programmes.count() == 1


def test_a_nurse_sees_the_proposal_and_an_assistant_does_not(
    nurse: User, assistant: User, plan: ProgrammeVersion, logs: list[SessionLog]
) -> None:
    reason = proposals.proposal_of(raised(plan, logs)).reason
    page = f"/people/{plan.person_id}/"
    assert reason in as_user(nurse).get(page).content.decode()
    assert reason not in as_user(assistant).get(page).content.decode()


def test_a_review_changes_no_dose_and_cannot_be_accepted(
    lead: User, plan: ProgrammeVersion, logs: list[SessionLog]
) -> None:
    logs.append(session(1, "one", actions.programme_of(plan), timezone.now(), 3.0, "chest discomfort, no nitrate"))
    proposals.renew_proposals(plan.person, timezone.now())
    (row,) = waiting(plan.person)
    assert "Accept and sign" not in as_user(lead).get(address(row)).content.decode()
    with pytest.raises(HalewardError):
        proposals.accept_proposal(
            row, exercise=None, reason="", decision=actions.Decision(), user=lead, now=timezone.now()
        )
