"""The recorded voice of a session: made once, kept beside its pages, and given to each page that can have it."""

from __future__ import annotations

import json
from pathlib import Path

from django.conf import settings

from haleward.render.page_sprite import Sprite, sprite_of
from haleward.render.voice import Phrases, voice_of
from haleward.session.cue_sheet import CueSheet
from haleward.web.project import environment


def voice_file() -> Path | None:
    """The service's own voice (``HALEWARD_VOICE`` names its file), else None for the one that ships."""
    named = environment.text("VOICE")
    return Path(named) if named else None


def phrases() -> Phrases:
    """What the service's voice says; sentences are kept for all."""
    return Phrases(voice_of(voice_file()), settings.DATA / "voice")


def recording_of(mark: str) -> Sprite | None:
    """The recorded voice of the session with this mark, if it was made."""
    path = _path(mark)
    return Sprite.from_plain(json.loads(path.read_text(encoding="utf-8"))) if path.exists() else None


def record_voice(sheet: CueSheet, mark: str) -> Sprite:
    """Make the recorded voice of a session and keep it. Raises one sentence when speech is not installed."""
    made = recording_of(mark)
    if made is None:
        made = sprite_of(sheet, phrases())
        path = _path(mark)
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        half = path.with_suffix(".half")
        half.write_text(json.dumps(made.plain()), encoding="utf-8")
        half.replace(path)
    return made


def _path(mark: str) -> Path:
    """Where it is kept: another voice makes another recording."""
    own = voice_file()
    return Path(settings.DATA) / "sheets" / f"{mark}.{own.stem if own else 'voice'}.json"
