"""What the server tells a phone about stops: which sessions staff have closed, and that the plan is open again."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from haleward.web.accounts.models import User
from haleward.web.concerns import handling
from haleward.web.concerns.models import Concern
from haleward.web.delivery.holding import reopened_on, settled_sessions
from haleward.web.people.models import Person
from haleward.web.prescription.models import ProgrammeVersion
from tests.web.conftest import as_user
from tests.web.log_entries import entry, send

pytestmark = pytest.mark.django_db


def settled(token: str, *entries: dict[str, Any]) -> list[str]:
    answer: list[str] = send(token, list(entries)).json()["settled"]
    return answer


def close(session: UUID, nurse: User, topic: str = "") -> None:
    row = Concern.objects.get(session_id=session, closed_at__isnull=True, **({"topic": topic} if topic else {}))
    handling.close(row, "Rang; all is well.", user=nurse, now=timezone.now())


def test_it_works(token: str, plan: ProgrammeVersion, nurse: User) -> None:
    session = uuid4()
    assert settled(token, entry(1, "unwell", session=session, topic="faint")) == []
    close(session, nurse)
    assert settled(token) == [str(session)]
    assert "Your plan is open again." in as_user(nurse).get(reverse("me", args=[token])).content.decode()
    assert reopened_on(plan.person, timezone.localdate())
    assert not reopened_on(plan.person, timezone.localdate() + timedelta(days=2))


def test_nothing_is_settled_while_anything_else_holds_the_plan(token: str, plan: ProgrammeVersion, nurse: User) -> None:
    closed, open_one = uuid4(), uuid4()
    settled(token, *(entry(1, "unwell", session=one, topic="faint") for one in (closed, open_one)))
    close(closed, nurse)
    assert settled(token) == []
    close(open_one, nurse)
    assert settled(token) == sorted((str(closed), str(open_one)))


def test_what_is_told_again_after_the_closing_holds_again(token: str, plan: ProgrammeVersion, nurse: User) -> None:
    session = uuid4()
    settled(token, entry(1, "unwell", session=session, topic="faint"))
    close(session, nurse)
    assert settled(token, entry(2, "unwell", session=session, topic="faint")) == []
    assert settled_sessions(plan.person, timezone.localdate()) == ()


def test_a_check_that_asked_to_ring_is_settled_when_it_is_closed_and_not_with_the_note(
    token: str, plan: ProgrammeVersion, nurse: User, person: Person
) -> None:
    session = uuid4()
    check = entry(1, "check", session=session, outcome="check_first", facts={}, rule_ids=[])
    assert settled(token, check, entry(2, "note", session=session, text="I was not sure.")) == []
    close(session, nurse, "note to the team")
    assert settled(token) == []
    close(session, nurse, "check before the session")
    assert settled(token) == [str(session)]
