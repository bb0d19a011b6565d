"""The speech of a film: its sentences said in batches, and its sound encoded, both shared out between processes."""

from __future__ import annotations

from pathlib import Path

from haleward.errors import HalewardError
from haleward.render.film_clips import packed, unpacked
from haleward.render.film_crew import Crew, Piece
from haleward.render.kept import Kept
from haleward.render.sound import film_package, session_sound, spoken_texts
from haleward.render.sound_packets import (
    BIT_RATE,
    GRID,
    OPTIONS,
    SoundPackets,
    laid_out,
    stretch_packets,
    stretches,
)
from haleward.render.voice import Samples, phrases_of
from haleward.session.cue_sheet import CueSheet

KIND = "aac"
BATCH = 8  # sentences that a process says in one go
VOICE_WORTH = 4  # batches that take as long as loading the voice once more
ENCODED = 40  # stretches that a process encodes in one go


class FilmStopped(HalewardError):
    """Someone asked to stop; nothing is left under the film's name."""

    def __init__(self) -> None:
        super().__init__("The film was stopped; nothing half made is left.")


def sentences(sheet: CueSheet, voice_file: Path | None, folder: Path, halt: Path) -> list[Piece]:
    """The work of saying what is not kept in ``folder`` yet."""
    texts = phrases_of(voice_file, folder).lacking(spoken_texts(sheet))
    batches = [texts[at : at + BATCH] for at in range(0, len(texts), BATCH)]
    return [Piece("sentences", _say, (batch, voice_file, folder, halt), worth=VOICE_WORTH) for batch in batches]


def session_packets(sheet: CueSheet, voice_file: Path | None, folder: Path, crew: Crew) -> SoundPackets:
    """The sound of the session, encoded; what was encoded before comes from ``folder``."""
    sound = session_sound(sheet, phrases_of(voice_file, folder), grid=GRID)
    found, kept = stretches(sound), Kept(folder, KIND)
    made: dict[str, list[bytes]] = {}
    lacking: dict[str, Samples] = {}
    for stretch in found:
        if stretch.digest in made or stretch.digest in lacking:
            continue
        content = kept.get(_facts(stretch.digest))
        if content is None:
            lacking[stretch.digest] = stretch.frames
        else:
            made[stretch.digest] = [packet for _, packet in unpacked(content)]
    every = list(lacking.items())
    parts = [dict(every[at : at + ENCODED]) for at in range(0, len(every), ENCODED)]
    pieces = [Piece("sound", _encode, (part, folder, crew.halt)) for part in parts]
    for _, encoded in crew.made(pieces):
        made |= encoded
    return laid_out(len(sound), found, made)


def _say(texts: list[str], voice_file: Path | None, folder: Path, halt: Path) -> None:
    phrases = phrases_of(voice_file, folder)
    for text in texts:
        _go_on(halt)
        phrases.say(text)


def _encode(parts: dict[str, Samples], folder: Path, halt: Path) -> dict[str, list[bytes]]:
    made = {}
    for digest, frames in parts.items():
        _go_on(halt)
        made[digest] = stretch_packets(frames)
        Kept(folder, KIND).put(_facts(digest), packed([(0, packet) for packet in made[digest]]))
    return made


def _go_on(halt: Path) -> None:
    if halt.exists():
        raise FilmStopped


def _facts(digest: str) -> object:
    return film_package("av").__version__, BIT_RATE, OPTIONS, digest
