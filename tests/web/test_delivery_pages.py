"""The session page and the booklet as they are served: made once, kept, remade when something behind them changes."""

from __future__ import annotations

import base64
import hashlib
import io
import re
import threading
from collections import Counter
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from django.conf import LazySettings
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from haleward.web.accounts.models import User
from haleward.web.concerns.models import Concern
from haleward.web.delivery import sheets
from haleward.web.delivery.links import carer_token, give_consent, staff_token
from haleward.web.people.models import Person
from haleward.web.prescription import actions
from haleward.web.prescription.models import ProgrammeVersion
from haleward.web.team.demo import NUMBERS
from tests.page_text import opened
from tests.web.conftest import as_user, complete_record, finish

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, settings: LazySettings) -> Path:
    """What is made in a test is kept in a folder of its own."""
    settings.DATA = tmp_path
    return tmp_path / "sheets"


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> Counter[str]:
    """How often a page and a booklet were really made."""
    count: Counter[str] = Counter()
    for name in ("session_page", "booklet_pdf"):
        real = getattr(sheets, name)

        def counted(*args: Any, real: Any = real, name: str = name, **kwargs: Any) -> Any:
            count[name] += 1
            return real(*args, **kwargs)

        monkeypatch.setattr(sheets, name, counted)
    return count


def get(name: str, token: str, *more: str) -> HttpResponse:
    answer: HttpResponse = Client().get(reverse(name, args=[token, *more]))
    return answer


def session(token: str, part_key: str = "one") -> str:
    answer = get("me_session", token, part_key)
    assert answer.status_code == 200
    return answer.content.decode()


def booklet(token: str, part_key: str = "one") -> bytes:
    answer = get("me_booklet", token, part_key)
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "application/pdf"
    return answer.content


# Made once


def test_page_and_booklet_are_made_once_and_kept(token: str, made: Counter[str], folder: Path) -> None:
    assert session(token) == session(token)
    assert booklet(token) == booklet(token)
    assert made == {"session_page": 1, "booklet_pdf": 1}
    assert sorted(path.suffix for path in folder.iterdir()) == [".html", ".pdf"]
    assert folder.stat().st_mode & 0o077 == 0, "nobody else on the machine reads what is kept"


def test_what_is_kept_names_no_link(token: str, plan: ProgrammeVersion, lead: User, folder: Path) -> None:
    first = session(token)
    second = session(staff_token(plan.person, lead))
    (kept,) = folder.glob("*.html")
    assert token not in kept.read_text()
    assert token in first
    assert token not in second
    assert reverse("me_log", args=[token]) in first


CHANGES = {
    "a number of the service": lambda plan: set_numbers(plan, NUMBERS | {"team_phone": "01632 960777"}),
    "the name of the service": lambda plan: change(plan.person.service, name="Other team"),
    "the first name": lambda plan: change(plan.person, first_name="Annika"),
    "the sex, which the figure shows": lambda plan: change(plan.person, sex="male"),
}


def change(row: Any, **values: Any) -> None:
    for name, value in values.items():
        setattr(row, name, value)
    row.save()


def set_numbers(plan: ProgrammeVersion, values: dict[str, str]) -> None:
    change(plan.person.service, values=values)


@pytest.mark.parametrize("what", CHANGES.keys())
def test_the_page_is_remade_when_what_it_shows_changes(
    what: str, token: str, plan: ProgrammeVersion, made: Counter[str]
) -> None:
    before = session(token)
    CHANGES[what](plan)
    after = session(token)
    assert made["session_page"] == 2
    assert before != after


def test_new_numbers_stand_on_page_and_booklet(token: str, plan: ProgrammeVersion, made: Counter[str]) -> None:
    old = NUMBERS["team_phone"]
    assert old in text_of(booklet(token))
    set_numbers(plan, NUMBERS | {"team_phone": "01632 960777"})
    printed = text_of(booklet(token))
    assert "01632 960777" in printed
    assert old not in printed
    assert made["booklet_pdf"] == 2


def test_a_newer_signed_plan_takes_its_place(token: str, plan: ProgrammeVersion, lead: User) -> None:
    assert "This is plan 1," in text_of(booklet(token))
    now = timezone.now()
    actions.sign(actions.start_draft(plan.person, user=lead, now=now), decision=actions.Decision(), user=lead, now=now)
    assert "This is plan 2," in text_of(booklet(token))


def test_two_requests_at_the_same_moment_keep_a_whole_file(folder: Path) -> None:
    path = folder / "page.html"
    contents = [letter * 500_000 for letter in (b"a", b"b", b"c", b"d")]
    threads = [threading.Thread(target=sheets._keep, args=(path, content)) for content in contents * 5]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert path.read_bytes() in contents
    assert list(folder.iterdir()) == [path]


def test_the_day_on_the_page_is_the_day_of_signing_where_the_service_is(
    assessed: Person, lead: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    row = actions.start_draft(assessed, user=lead, now=timezone.now())
    actions.sign(row, decision=actions.Decision(), user=lead, now=timezone.now())
    row.signed_at = datetime(2027, 7, 1, 23, 30, tzinfo=UTC)  # half past midnight on 2 July there
    sheet, _ = sheets.sheet_of(row, "one")
    assert sheet.made_on == date(2027, 7, 2).isoformat()


# The booklet


def text_of_pages(pdf: bytes) -> list[str]:
    return [re.sub(r"\s+", " ", page.extract_text()) for page in PdfReader(io.BytesIO(pdf)).pages]


def text_of(pdf: bytes) -> str:
    pages = PdfReader(io.BytesIO(pdf)).pages
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pages))


def test_the_booklet_is_a_tagged_pdf_with_the_emergency_number_on_its_first_page(token: str) -> None:
    pdf = booklet(token)
    assert pdf.startswith(b"%PDF-")
    root = PdfReader(io.BytesIO(pdf)).trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    text = text_of(pdf)
    assert "Call 999 now if you feel very ill." in text_of_pages(pdf)[0]
    assert "This is plan 1," in text


def test_staff_print_the_same_booklet(token: str, plan: ProgrammeVersion, assistant: User, made: Counter[str]) -> None:
    mine = booklet(token)
    answer = as_user(assistant).get(reverse("booklet", args=[plan.person.pk, "one"]))
    assert answer.content == mine
    assert answer.headers["Content-Disposition"] == 'inline; filename="session-one-plan-1.pdf"'
    assert made["booklet_pdf"] == 1


def test_large_print_and_card_are_served_beside_the_booklet(token: str, plan: ProgrammeVersion, lead: User) -> None:
    names = {"large": "session-large-print-one-plan-1.pdf", "card": "card-one-plan-1.pdf"}
    for kind, name in names.items():
        answer = Client().get(reverse("me_booklet", args=[token, "one"]), {"print": kind})
        assert answer.headers["Content-Disposition"] == f'inline; filename="{name}"'
        assert all("Call 999 now if you feel very ill." in page for page in text_of_pages(answer.content))
        assert as_user(lead).get(reverse("booklet", args=[plan.person.pk, "one"]), {"print": kind}).content
    assert Client().get(reverse("me_booklet", args=[token, "one"]), {"print": "poster"}).status_code == 404


def test_both_prints_are_offered_on_the_persons_page_and_the_leads(
    token: str, plan: ProgrammeVersion, lead: User
) -> None:
    mine, theirs = reverse("me_booklet", args=[token, "one"]), reverse("booklet", args=[plan.person.pk, "one"])
    own, staff = get("me", token).content.decode(), as_user(lead).get(reverse("person", args=[plan.person.pk])).content
    for kind in ("", "?print=large", "?print=card"):
        assert f'href="{mine}{kind}"' in own
        assert f'href="{theirs}{kind}"' in staff.decode()
    assert f'href="{reverse("me_booklet", args=[token, "walk"])}?print=large"' in own
    assert f'href="{reverse("booklet", args=[plan.person.pk, "walk"])}?print=large"' in staff.decode()
    assert "in this booklet" in text_of(booklet(token, "walk"))


def test_the_booklet_has_a_code_of_the_persons_own_link_and_a_helpers_has_none(
    token: str, plan: ProgrammeVersion, lead: User
) -> None:
    assert "Keep these codes to yourself." in text_of(booklet(token))
    consent = give_consent(plan.person, carer_name="Jo", covers=["plan"], recorded_by=lead, now=timezone.now())
    helped = text_of(booklet(carer_token(consent)))
    assert "Keep these codes" not in helped
    assert "Ask your team if you would like this plan on a phone or tablet." in helped
    plan.person.links.update(withdrawn_at=timezone.now())
    answer = as_user(lead).get(reverse("booklet", args=[plan.person.pk, "one"]))
    assert "Keep these codes" not in text_of(answer.content)


def test_another_team_prints_nothing(plan: ProgrammeVersion, outsider: User) -> None:
    for name in ("booklet", "hall_session"):
        assert as_user(outsider).get(reverse(name, args=[plan.person.pk, "one"])).status_code == 404


# The session page


def policy_of(answer: HttpResponse) -> dict[str, list[str]]:
    parts = (part.split() for part in answer.headers["Content-Security-Policy"].split(";"))
    return {name: sources for name, *sources in parts}


def hash_of(block: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(block.encode()).digest()).decode()}'"


def test_the_page_has_a_policy_of_its_own_that_allows_its_own_blocks_only(token: str) -> None:
    answer = get("me_session", token, "one")
    text, policy = answer.content.decode(), policy_of(answer)
    scripts = re.findall(r"<script(?![^>]*\btype=\"application/json\")[^>]*>(.*?)</script>", text, re.DOTALL)
    styles = re.findall(r"<style[^>]*>(.*?)</style>", text, re.DOTALL)
    assert scripts
    assert styles
    assert policy["script-src"] == [hash_of(block) for block in scripts]
    assert policy["style-src"] == [hash_of(block) for block in styles]
    assert policy["default-src"] == policy["base-uri"] == policy["form-action"] == ["'none'"]
    assert policy["connect-src"] == ["'self'"]
    assert "unsafe" not in answer.headers["Content-Security-Policy"]
    assert "Content-Security-Policy-Report-Only" not in answer.headers


def test_the_page_carries_everything_itself(token: str) -> None:
    text = session(token)
    assert re.findall(r"<(?:link|script|img|iframe)[^>]*(?:src|href)=\"(?!data:|#)", text) == []
    assert "@import" not in text
    assert " style=" not in re.sub(r"<script.*?</script>", "", text, flags=re.DOTALL)


def test_the_page_holds_nothing_about_anybody_else(token: str, plan: ProgrammeVersion, lead: User) -> None:
    other = Person.objects.create(
        service=plan.person.service, first_name="Bettina", last_name="Quarrington", born_on=date(1950, 1, 2),
        sex="female", local_number="LN-77341", phone="07700 900431",
    )  # fmt: skip
    finish(other, complete_record(other, timezone.localdate()), lead)
    text = opened(session(token))
    for secret in ("Bettina", "Quarrington", "LN-77341", "07700 900431", str(other.pk)):
        assert secret not in text


def test_the_page_holds_no_more_of_the_record_than_the_session_needs(token: str, plan: ProgrammeVersion) -> None:
    change(plan.person, local_number="LN-10001", phone="07700 900432")
    text = opened(session(token))
    assert "Ana" in text
    for private in (
        "Hill",
        "LN-10001",
        "07700 900432",
        "1956-05-04",
        "atorvastatin",
        "lead@",
        plan.made_by.username + "@",
    ):
        assert private not in text, private


def test_the_page_is_never_kept_by_anything_in_between(token: str) -> None:
    for name, more in (("me", []), ("me_session", ["one"]), ("me_booklet", ["one"])):
        assert "no-store" in get(name, token, *more).headers["Cache-Control"]


def test_every_part_of_the_plan_and_the_walk_have_a_page(token: str, plan: ProgrammeVersion) -> None:
    keys = [part["key"] for part in plan.programme["parts"]]
    assert keys == ["one", "two"]
    pages = [session(token, key) for key in (*keys, "walk")]
    assert len(set(pages)) == 3


def test_a_part_that_is_not_there_gets_one_sentence_without_the_staff_menu(token: str) -> None:
    for name in ("me_session", "me_booklet"):
        answer = get(name, token, "nine")
        text = answer.content.decode()
        assert answer.status_code == 422
        assert "Plan 1 has no part &#x27;nine&#x27;." in text
        assert 'href="/"' not in text


def test_without_a_signed_plan_the_person_is_told_so(person: Person, nurse: User) -> None:
    token = staff_token(person, nurse)
    for name in ("me_session", "me_booklet"):
        answer = get(name, token, "one")
        assert answer.status_code == 422
        assert "There is no signed plan yet. Ask your exercise lead." in answer.content.decode()
        assert 'href="/"' not in answer.content.decode()
    landing = get("me", token)
    assert landing.status_code == 200
    assert "/session/" not in landing.content.decode()


# A plan on hold


@pytest.fixture
def held(plan: ProgrammeVersion) -> Concern:
    return Concern.objects.create(
        person=plan.person,
        topic="faint",
        urgency="emergency",
        text="Said so.",
        raised_at=timezone.now(),
        holds_plan=True,
    )


def test_a_plan_on_hold_starts_no_session_and_prints_none(token: str, held: Concern, made: Counter[str]) -> None:
    for name in ("me_session", "me_booklet"):
        answer = get(name, token, "one")
        assert answer.status_code == 302
        assert answer.headers["Location"] == reverse("me", args=[token])
    text = get("me", token).content.decode()
    assert "999" in text
    assert reverse("me_session", args=[token, "one"]) not in text
    assert made == {}


def test_staff_cannot_run_a_session_of_a_plan_on_hold(held: Concern, assistant: User, plan: ProgrammeVersion) -> None:
    answer = as_user(assistant).get(reverse("hall_session", args=[plan.person.pk, "one"]), follow=True)
    assert answer.redirect_chain == [(reverse("person", args=[plan.person.pk]), 302)]
    assert "a concern is open" in answer.content.decode()


def test_closing_the_concern_lets_the_session_start_again(token: str, held: Concern, nurse: User) -> None:
    as_user(nurse).post(reverse("concern", args=[held.pk]), {"what_was_done": "Seen by the doctor; may go on."})
    assert get("me_session", token, "one").status_code == 200


def test_a_concern_for_information_holds_nothing(token: str, plan: ProgrammeVersion) -> None:
    Concern.objects.create(
        person=plan.person,
        topic="note",
        urgency="same_day",
        text="Said so.",
        raised_at=timezone.now(),
        holds_plan=False,
    )
    assert get("me_session", token, "one").status_code == 200


# A newer assessment


def test_after_a_newer_assessment_the_lower_ceiling_stands(
    token: str, plan: ProgrammeVersion, nurse: User, made: Counter[str]
) -> None:
    session(token)
    record = complete_record(plan.person, timezone.localdate())
    finish(plan.person, replace(record, rhythm="atrial_fibrillation"), nurse)
    session(token)
    assert made["session_page"] == 2
    sheet, _ = sheets.sheet_of(plan, "one")
    assert sheet.rate_ceiling == ""


def test_a_check_of_today_that_says_not_today_holds_the_plan_until_a_better_one(
    token: str, plan: ProgrammeVersion, nurse: User, assistant: User
) -> None:
    landing, run_here = reverse("me", args=[token]), reverse("hall_session", args=[plan.person_id, "one"])
    now = timezone.now()
    actions.check_day(plan.person, {"chest_pain_now": True}, user=nurse, now=now)
    assert Client().get(reverse("me_session", args=[token, "one"])).headers["Location"] == landing
    refused = as_user(assistant).get(run_here, follow=True)
    assert refused.redirect_chain == [(reverse("person", args=[plan.person_id]), 302)]
    assert "the check of today said not today" in refused.content.decode()
    actions.check_day(plan.person, {"chest_pain_now": False}, user=nurse, now=now)
    assert Client().get(reverse("me_session", args=[token, "one"])).status_code == 200
