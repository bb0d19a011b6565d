"""Drafts, previews and signatures of the protocol for tests, made by the actions themselves."""

from __future__ import annotations

from datetime import timedelta
from functools import lru_cache

import pytest
from django.contrib.auth.hashers import make_password
from django.utils import timezone

from haleward.safety import edits
from haleward.safety.edits import Edit
from haleward.safety.protocol import read_protocol
from haleward.web.accounts.actions import name_clinical_lead
from haleward.web.accounts.models import User
from haleward.web.protocol import actions, checks
from haleward.web.protocol.models import ProtocolVersion
from haleward.web.protocol.people import next_step
from haleward.web.protocol.versions import version_in_force

PASSWORD = "three herons on the weir"
SYSTOLIC_LIMIT = "rule/R023/condition/any/0/over"


def draft_for(user: User, *changed: Edit) -> ProtocolVersion:
    """The service's draft from what is in force, with these values set anew."""
    now = timezone.now()
    row = actions.start_draft(version_in_force(user.service), user=user, now=now)
    return actions.change(row, changed, user=user, now=now) if changed else row


def named(user: User) -> User:
    """The same member of staff, named as the clinical lead, with a password."""
    user.password = _hashed(PASSWORD)
    user.save()
    name_clinical_lead(user, "consultant nurse", today=timezone.localdate())
    return user


def previewed(row: ProtocolVersion, user: User) -> ProtocolVersion:
    """The draft, with its note and its whole preview looked at."""
    now = timezone.now()
    actions.note(row, "Our own limit, decided at the team meeting.")
    new = read_protocol(row.text, name="draft")
    found = next_step(row, new, today=timezone.localdate(now), everyone=True)
    actions.keep_preview(row, found, user=user, now=now)
    return row


def sign(row: ProtocolVersion, user: User) -> ProtocolVersion:
    """The draft, signed for a year."""
    now = timezone.now()
    actions.sign(row, review_due=timezone.localdate(now) + timedelta(days=365), user=user, now=now)
    row.refresh_from_db()
    return row


def signed(user: User, *changed: Edit) -> ProtocolVersion:
    """A new version in force."""
    return sign(previewed(draft_for(user, *changed), user), named(user))


_hashed = lru_cache(make_password)
_signed = lru_cache(edits.signed)
_applied = lru_cache(edits.apply)


@pytest.fixture
def clean(monkeypatch: pytest.MonkeyPatch) -> None:
    """These tests are about what follows from a text without findings, and make each text once for all of them.

    The analysis takes seconds for a text, and opening it for a change half a second.
    """
    monkeypatch.setattr(checks, "findings", lambda _protocol, **_options: ())
    monkeypatch.setattr(edits, "signed", _signed)
    monkeypatch.setattr(edits, "apply", lambda text, changes: _applied(text, tuple(changes)))
