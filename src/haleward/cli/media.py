"""Film and spoken track on the command line: whole or not there, and sentences and clips kept for the next time."""

from __future__ import annotations

import os
from argparse import Namespace
from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import cast

from haleward.cli.output import complain
from haleward.errors import HalewardError
from haleward.record import Record
from haleward.render.film import FilmSize, make_film
from haleward.render.sound import session_sound
from haleward.render.sound_packets import encoded
from haleward.render.voice import phrases_of
from haleward.session.cue_sheet import CueSheet
from haleward.wording import Wording

FILM, TRACK = "film.mp4", "session.m4a"


@dataclass(frozen=True)
class Media:
    """What is wanted: a film of a size ("" for none), the spoken track alone; with which voice; kept where."""

    film: str
    track: bool
    voice_file: Path | None
    kept: Path

    @classmethod
    def of(cls, options: Namespace) -> Media:
        """What the options say."""
        return cls(options.film or "", options.voice, options.voice_file, options.kept or _usual_folder())

    @property
    def names(self) -> tuple[str, ...]:
        """The files that will be written."""
        film = (FILM, "film.vtt", "film.jpg") if self.film else ()
        return (*film, TRACK) if self.track else film

    def make(
        self, sheet: CueSheet, *, record: Record, wording: Wording, values: Mapping[str, str], out: Path
    ) -> list[Path]:
        """Make them in ``out`` and say their paths; ``wording`` is that of the person, ``values`` stand in it."""
        words = partial(wording.text, values=values)
        if self.track:
            self._track(sheet, out / TRACK)
        if self.film:
            make_film(
                sheet,
                record=record,
                emergency=words("banner_lead"),
                start_title=words("film_chapter_start"),
                end_title=words("end_heading"),
                wording=wording,
                out=out / FILM,
                size=cast(FilmSize, self.film),
                voice_file=self.voice_file,
                phrases=self.kept / "voice",
                clips=self.kept / "clips",
                progress=_Teller(),
            )
        return [out / name for name in self.names]

    def refuse_present(self, out: Path) -> None:
        """Raise when one of the files is there already."""
        present = [name for name in self.names if (out / name).exists()]
        if present:
            raise HalewardError(f"{out} already holds {', '.join(present)}. Choose another folder, or add --force.")

    def _track(self, sheet: CueSheet, path: Path) -> None:
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            with TemporaryDirectory(dir=path.parent, prefix=f"{path.stem}.half-") as half:
                phrases = phrases_of(self.voice_file, self.kept / "voice")
                encoded(session_sound(sheet, phrases), Path(half) / path.name)
                (Path(half) / path.name).replace(path)
        except OSError as fault:
            raise HalewardError(f"{path} could not be written ({fault.strerror or fault}).") from fault


class _Teller:
    """Tells each quarter of the work once, on standard error."""

    def __init__(self) -> None:
        self._told = 0

    def __call__(self, share: float, _sentence: str) -> None:
        quarter = int(share * 4)
        if quarter > self._told:
            self._told = quarter
            complain(f"Film: {quarter * 25} %")


def _usual_folder() -> Path:
    """The user's own folder for what can be made again."""
    named = os.environ.get("XDG_CACHE_HOME")
    return (Path(named) if named else Path.home() / ".cache") / "haleward"
