"""The recorded voice of a session: made once, kept beside its pages, and given to each page that can have it."""

from __future__ import annotations

import json
from functools import lru_cache
from pathlib import Path

from django.conf import settings

from haleward.render.page_sprite import Sprite, sprite_of
from haleward.render.voice import Phrases, digest_of, phrases_of
from haleward.session.cue_sheet import CueSheet
from haleward.web.project import environment
from haleward.web.studio.voices import voice_in_use, voice_path
from haleward.web.team.models import Service


def voice_file(service: Service) -> Path | None:
    """The voice that the service chose, else the one that ``HALEWARD_VOICE`` names; None for the one that ships."""
    chosen = voice_in_use(service)
    return voice_path(chosen) if chosen else usual_file()


def usual_file() -> Path | None:
    """The voice of services that chose none: the file that ``HALEWARD_VOICE`` names; None for the one that ships."""
    named = environment.text("VOICE")
    return Path(named) if named else None


def voice_mark(service: Service) -> str:
    """A name for the voice that changes with the content of its file. Raises nothing when the file is gone."""
    file = voice_file(service)
    if file is None:
        return "voice"
    return _digest(file, file.stat().st_mtime_ns)[:16] if file.is_file() else f"gone-{file.stem}"


@lru_cache(maxsize=8)
def _digest(file: Path, _changed_ns: int) -> str:
    return digest_of(file)


def phrases(service: Service) -> Phrases:
    """What the service's voice says; sentences are kept for all."""
    return phrases_of(voice_file(service), settings.DATA / "voice")


def recording_of(mark: str, service: Service) -> Sprite | None:
    """The recorded voice of the session with this mark, if it was made."""
    path = _path(mark, service)
    return Sprite.from_plain(json.loads(path.read_text(encoding="utf-8"))) if path.exists() else None


def record_voice(sheet: CueSheet, mark: str, service: Service) -> Sprite:
    """Make the recorded voice of a session and keep it. Raises one sentence when speech is not installed."""
    made = recording_of(mark, service)
    if made is None:
        made = sprite_of(sheet, phrases(service))
        path = _path(mark, service)
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        half = path.with_suffix(".half")
        half.write_text(json.dumps(made.plain()), encoding="utf-8")
        half.replace(path)
    return made


def _path(mark: str, service: Service) -> Path:
    """Where it is kept: another voice makes another recording."""
    return Path(settings.DATA) / "sheets" / f"{mark}.{voice_mark(service)}.json"
