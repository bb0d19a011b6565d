"""How each quantity is shown."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from django.template import Context, Template

from haleward.web.project.templatetags import show


def test_a_heart_rate_is_whole_beats_a_minute() -> None:
    assert show.bpm(63.6) == "64 bpm"
    assert show.bpm(None) == "not recorded"


@pytest.mark.parametrize(
    ("value", "digits", "shown"),
    [
        (3.0, 1, "3"),
        (3.25, 1, "3.2"),
        (3.25, 2, "3.25"),
        (100.0, 1, "100"),
        (100.0, 0, "100"),
        (0.0, 1, "0"),
        (-0.04, 1, "0"),
        (-0.4, 0, "0"),
        (-1.5, 1, "-1.5"),
        (7, 1, "7"),
        (None, 1, "not recorded"),
    ],
)
def test_a_number_has_no_trailing_zeros(value: float | None, digits: int, shown: str) -> None:
    assert show.number(value, digits) == shown


@pytest.mark.parametrize(
    "value", [date(2026, 5, 4), datetime(2026, 5, 4, 12, 0, tzinfo=UTC), "2026-05-04", "2026-05-04T12:00:00+00:00"]
)
def test_a_date_has_its_month_in_words(value: date | datetime | str) -> None:
    assert show.day(value) == "4 May 2026"


@pytest.mark.parametrize("value", [None, ""])
def test_no_date_is_not_recorded(value: str | None) -> None:
    assert show.day(value) == "not recorded"


def test_a_moment_just_after_midnight_belongs_to_the_local_day() -> None:
    summer = datetime(2026, 7, 1, 23, 30, tzinfo=UTC)  # half past midnight on 2 July in the service's time
    text = Template('{{ at|day }}, {{ at|date:"H:i" }}').render(Context({"at": summer}))
    assert text == "2 July 2026, 00:30"


def test_codes_are_shown_in_words() -> None:
    assert [show.posture(key) for key in ("seated", "hand_supported", "standing")] == [
        "seated", "hand-supported", "free-standing",
    ]  # fmt: skip
    assert show.outcome("check_first") == "Check first"
    assert show.urgency("same_day") == "today"
    assert show.words("hand_supported") == "hand supported"


@pytest.mark.parametrize(("value", "shown"), [(True, "yes"), (False, "no"), (None, "not recorded")])
def test_blank_is_not_no(value: bool | None, shown: str) -> None:
    assert show.yes_no(value) == shown
