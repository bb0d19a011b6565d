"""Everybody is looked at once a day without anybody's doing, safely repeated, and staff see when."""

from __future__ import annotations

import threading
from datetime import datetime, timedelta

import pytest
from django.db import OperationalError
from django.urls import reverse
from django.utils import timezone

from haleward.errors import HalewardError
from haleward.web.accounts.models import User
from haleward.web.people.models import Person
from haleward.web.prescription import daily
from haleward.web.prescription.models import DailyLook, ProgrammeVersion
from haleward.web.team.models import Service
from tests.web.conftest import as_user


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[Person]:
    """Whose proposals are renewed, in place of renewing them."""
    people: list[Person] = []
    monkeypatch.setattr(daily, "renew_proposals", lambda person, now: people.append(person) or ())
    return people


def test_a_day_is_looked_at_once_and_the_next_day_again(plan: ProgrammeVersion, asked: list[Person]) -> None:
    now = timezone.now()
    assert [look.people for look in daily.look_where_due(now)] == [1]
    assert daily.look_where_due(now + timedelta(minutes=1)) == []
    assert len(daily.look_where_due(now + timedelta(days=1))) == 1
    assert asked == [plan.person, plan.person]


def test_a_look_that_broke_off_is_made_anew(plan: ProgrammeVersion, asked: list[Person], service: Service) -> None:
    now = timezone.localtime().replace(hour=12)
    DailyLook.objects.create(service=service, day=timezone.localdate(now), begun_at=now)
    assert daily.look_where_due(now) == []
    assert len(daily.look_where_due(now + daily.BROKE_OFF_AFTER)) == 1
    assert asked == [plan.person]


def test_one_fault_stops_nobody_else(
    plan: ProgrammeVersion, service: Service, lead: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(person: Person, now: datetime) -> tuple[()]:
        raise HalewardError("The plan names a movement that is no longer there.")

    monkeypatch.setattr(daily, "renew_proposals", fail)
    look = daily.look_again(service, timezone.now())
    assert look.ended_at is not None
    text = as_user(lead).get(reverse("today")).content.decode()
    assert f"Could not be looked at: {plan.person}: The plan names" in text


def test_a_busy_store_is_tried_again(monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture) -> None:
    stop, tries = threading.Event(), []

    def look(now: datetime) -> list[DailyLook]:
        tries.append(now)
        if len(tries) == 1:
            raise OperationalError("database is locked")
        stop.set()
        return []

    monkeypatch.setattr(daily, "look_where_due", look)
    monkeypatch.setattr(daily, "EVERY_S", 0)
    monkeypatch.setattr(daily.connection, "close", lambda: None)
    daily.look_every_day(stop)
    assert len(tries) == 2
    assert "put off by a minute" in caplog.text


def test_today_says_when_everybody_was_looked_at(service: Service, lead: User, nurse: User) -> None:
    address, now = reverse("today"), timezone.now()
    assert "not been looked at yet" in as_user(lead).get(address).content.decode()
    look = daily.look_again(service, now)
    DailyLook.objects.filter(pk=look.pk).update(day=timezone.localdate(now) - timedelta(days=1))
    assert "proposals may be out of date" in as_user(lead).get(address).content.decode()
    look = daily.look_again(service, now)
    assert (
        f"looked at today at {timezone.localtime(look.ended_at):%H:%M}" in as_user(lead).get(address).content.decode()
    )
    assert "looked at" not in as_user(nurse).get(address).content.decode()
