"""Proposals accepted together, taken back while nothing followed, and what reaches the screens besides raises."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from haleward.dose.log import WALK, Proposal, SessionLog, SetLog
from haleward.errors import HalewardError
from haleward.plain import to_plain
from haleward.record import HeartRate, Medicine, Record, Restriction
from haleward.web.accounts.models import User
from haleward.web.concerns import handling
from haleward.web.concerns.models import Concern
from haleward.web.delivery.links import make_link, token_of
from haleward.web.people.models import Person
from haleward.web.prescription import actions, batch, daily, edits, proposals
from haleward.web.prescription.models import ProgrammeVersion, ProposalDecision, signed_of
from tests.web.conftest import as_user, complete_record, finish
from tests.web.log_entries import entry, send

pytestmark = pytest.mark.django_db
Answer = ProposalDecision.Answer
DAYS = 5


@pytest.fixture
def plan(assessed: Person, lead: User) -> ProgrammeVersion:
    """A plan signed some days ago, so that sessions can lie between then and now."""
    return signed_ago(assessed, lead, DAYS)


def signed_ago(person: Person, lead: User, days: int) -> ProgrammeVersion:
    then = timezone.now() - timedelta(days=days)
    row = actions.start_draft(person, user=lead, now=then)
    actions.sign(row, decision=actions.Decision(), user=lead, now=then)
    return row


@pytest.fixture
def logs(monkeypatch: pytest.MonkeyPatch) -> list[SessionLog]:
    """What the delivery room would read from its store; tests add to it."""
    kept: list[SessionLog] = []
    monkeypatch.setattr(proposals, "session_logs", lambda person: tuple(kept))
    return kept


def session(
    plan: ProgrammeVersion, number: int, days_ago: int, effort: float, *, others: float | None = None
) -> SessionLog:
    """A watched session of part one; ``others`` is the effort of all but the first exercise."""
    programme = actions.programme_of(plan)
    rest = effort if others is None else others
    sets = tuple(
        SetLog(exercise.movement_id, index, one + 1, exercise.dose.repetitions, effort if index == 0 else rest)
        for index, exercise in enumerate(edits.part_of(programme, "one").exercises)
        for one in range(exercise.dose.sets)
    )
    at = timezone.now() - timedelta(days=days_ago)
    ended = at + timedelta(minutes=30)
    return SessionLog(f"s{number}", plan.version, "one", at, ended, "staff", sets, (), whole_effort=effort)


@pytest.fixture
def waiting(plan: ProgrammeVersion, logs: list[SessionLog]) -> ProposalDecision:
    """One raise that waits for the lead."""
    logs += [session(plan, number, 4 - 2 * number, 3.0, others=5.0) for number in (0, 1)]
    proposals.renew_proposals(plan.person, timezone.now())
    (row,) = plan.person.proposals.filter(answer=Answer.WAITING)
    return row


def kinds(person: Person) -> list[str]:
    return [row.proposal["kind"] for row in person.proposals.filter(answer=Answer.WAITING)]


def test_it_works(waiting: ProposalDecision, lead: User) -> None:
    client, address = as_user(lead), reverse("proposals")
    text = client.get(address).content.decode()
    proposal = proposals.proposal_of(waiting)
    for told in (proposal.reason, proposal.rule_id, proposal.used[0], proposal.otherwise):
        assert told.replace("'", "&#x27;") in text
    assert f'value="{waiting.pk}" id="proposal-{waiting.pk}">' in text  # not ticked for anybody
    text = client.post(address, {"proposal": [str(waiting.pk)]}, follow=True).content.decode()
    assert "Accepted: 1. 1 plan is signed." in text
    assert "Just accepted" in text
    waiting.refresh_from_db()
    assert waiting.answer == Answer.ACCEPTED
    assert waiting.batch is not None
    assert signed_of(waiting.person) == waiting.result


def test_nothing_ticked_accepts_nothing(waiting: ProposalDecision, lead: User) -> None:
    answer = as_user(lead).post(reverse("proposals"), {})
    assert answer.status_code == 422
    assert "Tick at least one proposal" in answer.content.decode()
    waiting.refresh_from_db()
    assert waiting.answer == Answer.WAITING


@pytest.mark.parametrize("role", ["nurse", "assistant", "manager"])
def test_only_a_lead_sees_the_list(role: str, staff: dict[str, User], waiting: ProposalDecision) -> None:
    client = as_user(staff[role])
    assert client.get(reverse("proposals")).status_code == 403
    for name in ("proposals", "proposals_undo", "proposals_again"):
        assert client.post(reverse(name), {"proposal": [str(waiting.pk)]}).status_code == 403
    assert reverse("proposals") not in client.get(reverse("today")).content.decode()


def test_another_teams_lead_accepts_nothing_here(waiting: ProposalDecision, outsider: User) -> None:
    as_user(outsider).post(reverse("proposals"), {"proposal": [str(waiting.pk)]})
    waiting.refresh_from_db()
    assert waiting.answer == Answer.WAITING


def test_what_may_not_be_signed_stays_waiting_and_says_why(waiting: ProposalDecision, lead: User) -> None:
    actions.start_draft(waiting.person, user=lead, now=timezone.now())
    text = as_user(lead).post(reverse("proposals"), {"proposal": [str(waiting.pk)]}, follow=True).content.decode()
    assert "draft" in text
    waiting.refresh_from_db()
    assert (waiting.answer, waiting.batch) == (Answer.WAITING, None)


# Several of one person


@pytest.fixture
def several(plan: ProgrammeVersion, logs: list[SessionLog]) -> list[ProposalDecision]:
    """A raise for every exercise of part one."""
    logs += [session(plan, number, 4 - 2 * number, 3.0) for number in (0, 1)]
    proposals.renew_proposals(plan.person, timezone.now())
    rows = list(plan.person.proposals.filter(answer=Answer.WAITING).order_by("pk"))
    assert len(rows) == len(edits.part_of(actions.programme_of(plan), "one").exercises) > 1
    return rows


def test_several_of_one_review_make_one_plan_and_are_taken_back_together(
    several: list[ProposalDecision], lead: User
) -> None:
    client, address, person = as_user(lead), reverse("proposals"), several[0].person
    shown = client.get(address).content.decode()
    for row in several:
        proposal = proposals.proposal_of(row)
        assert f'id="proposal-{row.pk}"' in shown
        assert proposal.reason.replace("'", "&#x27;") in shown
        assert proposal.otherwise in shown
    ticked = {"proposal": [str(row.pk) for row in several]}
    text = client.post(address, ticked, follow=True).content.decode()
    assert f"Accepted: {len(several)}. 1 plan is signed." in text
    newest = signed_of(person)
    assert newest is not None
    assert newest.version == 2
    doses = [one.dose for one in edits.part_of(actions.programme_of(newest), "one").exercises]
    assert doses == [proposals.proposal_of(row).after for row in several]
    text = client.post(reverse("proposals_undo"), {"proposal": [str(several[0].pk)]}, follow=True).content.decode()
    assert "Plan 3 is as it was before." in text
    back = signed_of(person)
    assert back is not None
    assert back.programme["parts"] == several[0].programme.programme["parts"]
    assert {row.answer for row in person.proposals.filter(pk__in=ticked["proposal"])} == {Answer.UNDONE}


def test_accepting_one_leaves_the_others_ready(several: list[ProposalDecision], lead: User) -> None:
    batch.accept_together(several[:1], user=lead, now=timezone.now())
    left = several[0].person.proposals.filter(answer=Answer.WAITING)
    assert {(row.proposal["exercise_index"], row.programme.version) for row in left} == {
        (row.proposal["exercise_index"], 2) for row in several[1:]
    }


def test_of_one_person_all_are_signed_or_none(several: list[ProposalDecision], lead: User) -> None:
    several[0].proposal["before"]["sets"] = 1  # made for another dose than the plan has
    several[0].save()
    found = batch.accept_together(several, user=lead, now=timezone.now())
    assert (found.done, [row.pk for row, _ in found.refused]) == ((), [row.pk for row in several])
    assert several[0].person.programmes.count() == 1
    assert set(several[0].person.proposals.values_list("answer", flat=True)) == {Answer.WAITING}


def test_a_held_one_does_not_come_back_with_the_plan_of_another(several: list[ProposalDecision], lead: User) -> None:
    proposals.hold_proposal(several[1], reason="new job", user=lead, now=timezone.now())
    batch.accept_together(several[:1], user=lead, now=timezone.now())
    left = several[0].person.proposals.filter(answer=Answer.WAITING)
    assert several[1].proposal["exercise_index"] not in {row.proposal["exercise_index"] for row in left}


# Taking back


def accepted(row: ProposalDecision, user: User, now: datetime) -> ProposalDecision:
    done = batch.accept_together([row], user=user, now=now).done
    assert done == (row,)
    row.refresh_from_db()
    return row


def test_taking_back_signs_what_was_before_and_changes_no_signed_plan(waiting: ProposalDecision, lead: User) -> None:
    before = waiting.programme.programme
    row = accepted(waiting, lead, timezone.now())
    assert row.result is not None
    signed = ProgrammeVersion.objects.filter(pk=row.result.pk).values().get()
    text = as_user(lead).post(reverse("proposals_undo"), {"proposal": [str(row.pk)]}, follow=True).content.decode()
    assert "taken back. Plan 3 is as it was before." in text
    assert ProgrammeVersion.objects.filter(pk=row.result.pk).values().get() == signed
    newest = signed_of(row.person)
    assert newest is not None
    assert newest.version == 3
    assert newest.programme["parts"] == before["parts"]
    row.refresh_from_db()
    assert (row.answer, row.undone_by) == (Answer.UNDONE, lead)


def test_what_was_taken_back_is_proposed_again_after_one_more_session(
    waiting: ProposalDecision, logs: list[SessionLog], lead: User
) -> None:
    row = accepted(waiting, lead, timezone.now())
    newest = batch.undo(row, user=lead, now=timezone.now())
    assert kinds(row.person) == []
    logs.append(session(newest, 2, 0, 3.0, others=5.0))
    proposals.renew_proposals(row.person, timezone.now() + timedelta(hours=1))
    (again,) = row.person.proposals.filter(answer=Answer.WAITING)
    assert (again.programme, again.proposal["after"]) == (newest, row.proposal["after"])


def test_it_is_too_late_after_the_stated_time(waiting: ProposalDecision, lead: User) -> None:
    now = timezone.now()
    row = accepted(waiting, lead, now)
    assert [one.pk for one in batch.undoable(lead, now=now + batch.undo_time() - timedelta(seconds=1))] == [row.pk]
    late = now + batch.undo_time() + timedelta(seconds=1)
    assert batch.undoable(lead, now=late) == []
    with pytest.raises(HalewardError, match="more than 30 minutes ago"):
        batch.undo(row, user=lead, now=late)


def test_what_was_followed_is_not_taken_back(waiting: ProposalDecision, lead: User) -> None:
    now = timezone.now()
    row = accepted(waiting, lead, now)
    draft = actions.start_draft(row.person, user=lead, now=now)
    assert batch.undoable(lead, now=now) == []
    with pytest.raises(HalewardError, match="draft"):
        batch.undo(row, user=lead, now=now)
    actions.sign(draft, decision=actions.Decision(), user=lead, now=now)
    with pytest.raises(HalewardError, match="followed by another plan"):
        batch.undo(row, user=lead, now=now)


def test_what_was_exercised_is_not_taken_back(waiting: ProposalDecision, lead: User, nurse: User) -> None:
    now = timezone.now()
    row = accepted(waiting, lead, now)
    token = token_of(make_link(row.person, user=nurse, now=now))
    one = entry(1, "set", repetitions=10)
    one["data"]["plan_version"] = 2
    assert send(token, [one]).status_code == 200
    assert batch.undoable(lead, now=now) == []
    with pytest.raises(HalewardError, match="exercised already"):
        batch.undo(row, user=lead, now=now)


# What asks for less reaches the screens


def record_with(person: Person, **changed: object) -> Record:
    return replace(complete_record(person, timezone.localdate()), **changed)  # type: ignore[arg-type]


def seen(lead: User, person: Person) -> str:
    address = reverse("person", args=[person.pk])
    return as_user(lead).get(reverse("proposals")).content.decode() + as_user(lead).get(address).content.decode()


def test_a_changed_medicine_asks_for_a_step_back(waiting: ProposalDecision, lead: User, nurse: User) -> None:
    today, person = timezone.localdate(), waiting.person
    medicines = (Medicine("beta_blocker", "bisoprolol", "5 mg", today),)
    finish(person, record_with(person, medicines=medicines, resting_heart_rate=HeartRate(60.0, today)), nurse)
    daily.look_again(lead.service, now=timezone.now())
    assert "step_back" in kinds(person)
    text = seen(lead, person)
    assert "Step back" in text or "step back" in text
    assert "progression.step_back_after" in text


def test_a_new_restriction_asks_for_less(waiting: ProposalDecision, lead: User, nurse: User) -> None:
    today, person = timezone.localdate(), waiting.person
    limit = Restriction("other", "Go easy on everything", "Dr A. Lunn", today, today + timedelta(days=30))
    finish(person, record_with(person, restrictions=(limit,)), nurse)
    daily.look_again(lead.service, now=timezone.now())
    assert set(kinds(person)) & {"step_back", "review", "swap", "ease"}
    assert not [kind for kind in kinds(person) if kind.startswith("raise_")]
    assert "Go easy on everything" in seen(lead, person)


def test_a_long_absence_asks_for_a_step_back_without_any_new_log(
    assessed: Person, lead: User, logs: list[SessionLog]
) -> None:
    plan = signed_ago(assessed, lead, 60)
    policy = actions.ground_today(assessed).protocol.policies.progression  # type: ignore[union-attr]
    away = policy.gap_step_back_days + 1
    logs += [session(plan, number, away + 2 - 2 * number, 3.0) for number in (0, 1)]
    as_user(lead).post(reverse("proposals_again"))
    assert "step_back" in kinds(assessed)
    text = seen(lead, assessed)
    assert "progression.gap_step_back_days" in text
    assert assessed.proposals.filter(answer=Answer.WAITING).exclude(proposal__otherwise="").exists()


def test_three_weeks_without_a_raise_are_shown(assessed: Person, lead: User, logs: list[SessionLog]) -> None:
    plan = signed_ago(assessed, lead, 30)
    logs += [session(plan, number, 28 - 3 * number, 5.0) for number in range(10)]
    as_user(lead).post(reverse("proposals_again"))
    assert "stagnant" in kinds(assessed)
    assert "No raise for weeks" in as_user(lead).get(reverse("person", args=[assessed.pk])).content.decode()
    assert "Look at it" in as_user(lead).get(reverse("today")).content.decode()


def test_a_settled_symptom_no_longer_stands_against_the_next_step(
    token: str, plan: ProgrammeVersion, nurse: User, lead: User
) -> None:
    one = entry(1, "unwell", topic="faint")
    one["at"] = (timezone.now() - timedelta(days=1)).isoformat()
    send(token, [one])
    assert "review" in kinds(plan.person)
    handling.close(Concern.objects.get(), "Seen by the doctor; may go on.", user=nurse, now=timezone.now())
    assert "review" not in kinds(plan.person)


def test_a_raise_of_walking_names_it_and_can_be_accepted(plan: ProgrammeVersion, lead: User) -> None:
    programme = actions.programme_of(plan)
    after = replace(programme.walking, bout_minutes=programme.walking.bout_minutes + 2)
    made = Proposal(
        "raise_minutes", WALK, -1, "", None, None, "Easy.", "progression.walking", date(2026, 3, 2),
        walking_before=programme.walking, walking_after=after,
    )  # fmt: skip
    row = ProposalDecision.objects.create(person=plan.person, programme=plan, proposal=to_plain(made))
    text = as_user(lead).get(reverse("proposal", args=[plan.person.pk, row.pk])).content.decode()
    assert "More minutes: Walking" in text
    assert "Accept and sign the next plan" in text
    batch.accept_together([row], user=lead, now=timezone.now())
    newest = signed_of(plan.person)
    assert newest is not None
    assert newest.programme["walking"]["bout_minutes"] == after.bout_minutes
