"""The studio: looking at a session, choosing how it is told, and films made behind."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from haleward.errors import HalewardError
from haleward.render.voice import SAMPLE_RATE, Phrases
from haleward.web.accounts.models import User
from haleward.web.delivery import sheets
from haleward.web.people.models import Person
from haleward.web.prescription.models import ProgrammeVersion
from haleward.web.studio import jobs, making, recording
from haleward.web.studio.choice import keep_options, options_of
from haleward.web.studio.films import films_of
from haleward.web.studio.jobs import Follower, ask_film, film_path, make_film_in_background, revive, stop_film
from haleward.web.studio.making import FilmStopped
from haleward.web.studio.marks import film_mark
from haleward.web.studio.models import FilmJob, SessionChoice
from haleward.web.studio.strip import scenes_of
from tests.web.conftest import as_user
from tests.web.test_languages import reviewed

State = FilmJob.State
USUAL = {"pace": "usual", "talk": "usual", "listener": "self", "count_aloud": "on"}


class Hum:
    """A voice for tests: a tone as long as the text."""

    name = "hum"

    def say(self, text: str, *, speed: float) -> np.ndarray:
        seconds = 0.03 * len(text) / speed
        return (0.3 * np.sin(np.arange(int(seconds * SAMPLE_RATE)) * 0.2)).astype(np.float32)


@pytest.fixture
def signed(plan: ProgrammeVersion, settings: object, tmp_path: Path) -> ProgrammeVersion:
    settings.DATA = tmp_path  # type: ignore[attr-defined]
    return plan


@pytest.fixture
def as_lead(lead: User) -> Client:
    return as_user(lead)


@pytest.fixture
def part(signed: ProgrammeVersion) -> str:
    return "one"


@pytest.fixture
def job(signed: ProgrammeVersion, part: str, lead: User) -> FilmJob:
    return ask_film(signed, part, "small", mark=film_mark(signed, part), user=lead)


def run(job: FilmJob) -> FilmJob:
    make_film_in_background.call(str(job.pk))
    job.refresh_from_db()
    return job


def write_film(job: FilmJob, path: Path, *, follow: Follower) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    for suffix in (".mp4", ".vtt", ".jpg"):
        path.with_suffix(suffix).write_bytes(bytes(range(100)))
    follow.progress(0.5, "Half way")


def address(name: str, person: Person, *more: object) -> str:
    return reverse(name, args=[person.pk, *more])


def test_the_strip_tells_every_stretch_of_the_session_in_order(signed: ProgrammeVersion, part: str) -> None:
    sheet, _record = sheets.sheet_of(signed, part)
    scenes = scenes_of(sheet)
    assert [one.index for scene in scenes for one in scene.stretches] == list(range(len(sheet.blocks)))
    assert [scene.exercise for scene in scenes if scene.exercise] == list(sheet.exercises)


def test_the_studio_shows_the_length_the_pictures_and_the_words(
    signed: ProgrammeVersion, part: str, as_lead: Client
) -> None:
    text = as_lead.get(address("studio", signed.person, part)).content.decode()
    sheet, _record = sheets.sheet_of(signed, part)
    assert all(exercise.title in text for exercise in sheet.exercises)
    assert text.count("<img ") == len(sheet.exercises)
    assert "minutes in all" in text


def test_without_a_signed_plan_the_studio_says_what_to_do(person: Person, as_lead: Client) -> None:
    assert "Sign the plan first" in as_lead.get(address("studio_first", person)).content.decode()


def test_options_are_kept_with_their_history_and_change_the_mark(
    signed: ProgrammeVersion, part: str, as_lead: Client, lead: User
) -> None:
    before = sheets.mark_of(signed, part)
    answer = as_lead.post(address("studio_options", signed.person, part), USUAL | {"talk": "few"})
    assert answer.status_code == 302
    assert options_of(signed.person).talk == "few"
    assert sheets.mark_of(signed, part) != before
    keep_options(signed.person, options_of(signed.person), user=lead)
    assert SessionChoice.history.filter(person=signed.person).count() == 2


def test_a_harder_version_is_agreed_for_one_movement_and_kept_by_the_other_part(
    signed: ProgrammeVersion, part: str, as_lead: Client
) -> None:
    sheet, _record = sheets.sheet_of(signed, part)
    first = sheet.exercises[0].movement_id
    as_lead.post(address("studio_options", signed.person, part), USUAL | {"harder_agreed": [first]})
    as_lead.post(address("studio_options", signed.person, "walk"), USUAL)
    assert options_of(signed.person).harder_agreed == (first,)
    as_lead.post(address("studio_options", signed.person, part), USUAL)
    assert options_of(signed.person).harder_agreed == ()


def test_an_option_that_is_not_one_is_refused(signed: ProgrammeVersion, part: str, as_lead: Client) -> None:
    answer = as_lead.post(address("studio_options", signed.person, part), USUAL | {"pace": "racing"})
    assert answer.status_code == 422
    assert not SessionChoice.objects.exists()


def test_a_stretch_is_heard_as_sound(
    signed: ProgrammeVersion, part: str, as_lead: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(recording, "phrases_of", lambda _file, folder: Phrases(Hum(), folder))
    answer = as_lead.get(address("studio_voice", signed.person, part, 0))
    assert answer.headers["Content-Type"] == "audio/wav"
    assert answer.content.startswith(b"RIFF")
    assert "has no stretch 999" in as_lead.get(address("studio_voice", signed.person, part, 999)).content.decode()


def test_the_page_as_a_file_sends_nothing(signed: ProgrammeVersion, part: str, as_lead: Client) -> None:
    answer = as_lead.get(address("studio_page", signed.person, part))
    assert "attachment" in answer.headers["Content-Disposition"]
    assert b"haleward.invalid" not in answer.content


def test_the_recorded_voice_is_in_the_file_and_from_then_on_in_the_page_of_the_person(
    signed: ProgrammeVersion, part: str, as_lead: Client, token: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(recording, "phrases_of", lambda _file, folder: Phrases(Hum(), folder))
    mine = reverse("me_session", args=[token, part])
    assert b'id="sprite"' not in Client().get(mine).content
    assert b'id="sprite"' not in as_lead.get(address("studio_page", signed.person, part)).content
    assert b'id="sprite"' in as_lead.get(address("studio_page", signed.person, part) + "?voice").content
    answer = Client().get(mine)
    assert b'id="sprite"' in answer.content
    assert "script-src 'sha256-" in answer.headers["Content-Security-Policy"]


def test_asking_twice_makes_one_job(signed: ProgrammeVersion, part: str, job: FilmJob, lead: User) -> None:
    assert ask_film(signed, part, "small", mark=job.mark, user=lead) == job
    assert ask_film(signed, part, "large", mark=job.mark, user=lead) != job


def test_a_film_is_in_the_language_that_the_person_reads(
    signed: ProgrammeVersion, part: str, as_lead: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[dict[str, Any]] = []
    monkeypatch.setattr(making, "make_film", lambda sheet, **more: asked.append({"sheet": sheet, **more}))
    monkeypatch.setattr(making, "record_voice", lambda *_args: None)
    english = film_mark(signed, part)
    signed.person.language_tag = "ar"
    signed.person.save()
    assert film_mark(signed, part) == english  # a draft is shown to nobody
    reviewed(signed.person.service)
    assert film_mark(signed, part) != english
    as_lead.post(address("film_ask", signed.person, part), {"size": "small"})
    run(FilmJob.objects.get())
    (made,) = asked
    assert (made["sheet"].language, made["wording"].language, made["wording"].draft_line) == ("ar", "ar", "")
    assert "اتصل" in made["emergency"]
    html = as_lead.get(address("studio", signed.person, part)).content.decode()
    assert "Its words are in Arabic; the voice speaks English." in html


def test_a_finished_film_is_not_made_again(
    signed: ProgrammeVersion, part: str, job: FilmJob, lead: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(jobs, "film_to_disk", write_film)
    assert run(job).state == State.DONE
    assert ask_film(signed, part, "small", mark=job.mark, user=lead) == job
    assert [row.ready for row in films_of(signed, part)] == [False, True]
    film_path(job).unlink()
    assert ask_film(signed, part, "small", mark=job.mark, user=lead) != job


@pytest.mark.parametrize(
    ("fault", "state", "sentence"),
    [
        (HalewardError("The voice file is gone."), State.FAILED, "The voice file is gone."),
        (FilmStopped(), State.CANCELLED, ""),
        (OSError(28, "No space left on device"), State.FAILED, "Make room on the disk"),
    ],
)
def test_every_end_stands_in_the_job(
    job: FilmJob, fault: Exception, state: str, sentence: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_args: object, **_more: object) -> None:
        raise fault

    monkeypatch.setattr(jobs, "film_to_disk", fail)
    done = run(job)
    assert (done.state, done.live) == (state, False)
    assert sentence in done.sentence
    assert not film_path(job).exists()


def test_a_fault_of_the_program_is_told_and_still_raised(job: FilmJob, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_args: object, **_more: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(jobs, "film_to_disk", fail)
    with pytest.raises(ZeroDivisionError):
        make_film_in_background.call(str(job.pk))
    job.refresh_from_db()
    assert job.state == State.FAILED
    assert "fault in the program" in job.sentence


def test_a_waiting_film_is_stopped_at_once_and_never_made(job: FilmJob, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(jobs, "film_to_disk", write_film)
    stop_film(job)
    assert run(job).state == State.CANCELLED


def test_a_running_film_hears_that_it_should_stop(job: FilmJob) -> None:
    FilmJob.objects.filter(pk=job.pk).update(state=State.RUNNING)
    follower = Follower(job)
    assert not follower.stopped()
    stop_film(job)
    assert Follower(job).stopped()


def test_a_film_asked_for_while_it_is_being_stopped_is_a_new_job(
    job: FilmJob, part: str, lead: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[FilmJob] = []

    def stop_and_ask(job: FilmJob, path: Path, *, follow: Follower) -> None:
        stop_film(job)
        asked.append(ask_film(job.programme, part, "small", mark=job.mark, user=lead))
        raise FilmStopped if follow.stopped() else AssertionError("it does not hear that it should stop")

    monkeypatch.setattr(jobs, "film_to_disk", stop_and_ask)
    assert run(job).state == State.CANCELLED
    assert asked[0].pk != job.pk
    monkeypatch.setattr(jobs, "film_to_disk", write_film)
    assert run(asked[0]).state == State.DONE


def test_work_whose_worker_died_starts_anew_and_is_given_up_in_the_end(job: FilmJob) -> None:
    long_ago = timezone.now() - timedelta(minutes=5)
    for tries, state in ((1, State.WAITING), (jobs.TRIES_MOST, State.FAILED)):
        FilmJob.objects.filter(pk=job.pk).update(state=State.RUNNING, beat_at=long_ago, tries=tries)
        revive()
        job.refresh_from_db()
        assert job.state == state
    FilmJob.objects.filter(pk=job.pk).update(state=State.RUNNING, beat_at=timezone.now(), tries=1)
    assert revive() == 0


def test_a_film_asked_for_before_a_change_is_not_made(job: FilmJob, lead: User) -> None:
    keep_options(job.programme.person, options_of(job.programme.person).__class__(talk="few"), user=lead)
    assert "Ask for the film again" in run(job).sentence


def test_the_pages_of_a_film_follow_ask_and_stop(signed: ProgrammeVersion, part: str, as_lead: Client) -> None:
    as_lead.post(address("film_ask", signed.person, part), {"size": "small"})
    job = FilmJob.objects.get()
    found = as_lead.get(reverse("film_status", args=[job.pk])).json()
    assert (found["live"], found["percent"]) == (True, 0)
    as_lead.post(reverse("film_stop", args=[job.pk]))
    job.refresh_from_db()
    assert job.state == State.CANCELLED
    assert (
        "choose large or small"
        in as_lead.post(address("film_ask", signed.person, part), {"size": "huge"}).content.decode()
    )


@pytest.mark.parametrize(
    ("asked", "status", "content"),
    [("", 200, range(100)), ("bytes=10-19", 206, range(10, 20)), ("bytes=-5", 206, range(95, 100))],
)
def test_a_film_is_sent_in_ranges(
    job: FilmJob, as_lead: Client, monkeypatch: pytest.MonkeyPatch, asked: str, status: int, content: range
) -> None:
    monkeypatch.setattr(jobs, "film_to_disk", write_film)
    run(job)
    more = {"HTTP_RANGE": asked} if asked else {}
    answer = as_lead.get(reverse("film_piece", args=[job.pk, "film.mp4"]), **more)
    assert (answer.status_code, answer.getvalue()) == (status, bytes(content))
    assert as_lead.get(reverse("film_piece", args=[job.pk, "secrets.txt"])).status_code == 404


def test_the_person_finds_the_film_on_their_link(
    job: FilmJob, part: str, token: str, client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = reverse("me_film", args=[token, part])
    piece = reverse("me_film_piece", args=[token, part, "small", "film.mp4"])
    first = reverse("me", args=[token])
    assert page not in client.get(first).content.decode()
    assert "<video" not in client.get(page).content.decode()
    assert client.get(piece).status_code == 404
    monkeypatch.setattr(jobs, "film_to_disk", write_film)
    run(job)
    assert page in client.get(first).content.decode()
    assert "<video" in client.get(page).content.decode()
    assert client.get(piece).getvalue() == bytes(range(100))
