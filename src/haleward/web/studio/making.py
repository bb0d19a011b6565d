"""Where the studio meets the makers of sound and film."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, cast

from django.conf import settings

from haleward.errors import HalewardError
from haleward.render.film import FilmSize, FilmStopped, make_film, remove_half_made
from haleward.render.sound import block_sound, wav
from haleward.session.cue_sheet import CueSheet
from haleward.web.delivery import sheets
from haleward.web.delivery.landing import words_for
from haleward.web.languages.shown import told_in_language_of, wording_now
from haleward.web.studio.marks import film_mark
from haleward.web.studio.recording import phrases, record_voice, voice_file
from haleward.web.team.models import Service

if TYPE_CHECKING:
    from haleward.web.studio.jobs import Follower
    from haleward.web.studio.models import FilmJob

__all__ = ["FilmStopped", "film_to_disk", "remove_half_made", "voice_of_block"]


def voice_of_block(sheet: CueSheet, index: int, service: Service) -> bytes:
    """What is said in one block, as WAV."""
    return wav(block_sound(sheet, index, phrases(service)))


def film_to_disk(job: FilmJob, path: Path, *, follow: Follower) -> None:
    """Make the film that the job asks for. Raises one sentence when what it was asked for no longer holds."""
    if film_mark(job.programme, job.part_key) != job.mark:
        raise HalewardError(
            "The plan, its words or the voice changed after the film was asked for. Ask for the film again."
        )
    told_in_language_of(job.programme.person, lambda: _film_in_words(job, path, follow))


def _film_in_words(job: FilmJob, path: Path, follow: Follower) -> None:
    """The film in the language of the page being made."""
    sheet, record = sheets.sheet_of(job.programme, job.part_key)
    say, service = words_for(job.programme.person), job.programme.person.service
    make_film(
        sheet,
        record=record,
        emergency=say("banner_lead"),
        start_title=say("film_chapter_start"),
        end_title=say("end_heading"),
        wording=wording_now(service),
        out=path,
        size=cast(FilmSize, job.size),
        voice_file=voice_file(service),
        phrases=settings.DATA / "voice",
        clips=settings.DATA / "clips",
        progress=follow.progress,
        stopped=follow.stopped,
    )
    # every sentence is kept by now, so the page gets the voice almost for nothing
    record_voice(sheet, sheets.mark_of(job.programme, job.part_key), service)
