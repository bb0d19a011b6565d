"""Speech: each sentence said once, trimmed to its first sound, levelled, kept on disk and shared between people.

Anything that has a name and can ``say`` is a voice. The one that ships speaks by itself, without a network; a service
may give the file of another. Needs the packages of the set ``film``.
"""

from __future__ import annotations

import csv
import hashlib
import re
from collections.abc import Iterable
from functools import cache, cached_property, lru_cache
from importlib import import_module
from pathlib import Path
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from haleward.errors import HalewardError
from haleward.render.kept import Kept

Samples = NDArray[np.float32]

SAMPLE_RATE = 24_000  # samples a second, one channel
SPEED = 0.95  # a little slower than the voice's own pace, for older listeners
FASTEST = 1.14  # a sentence that does not fit its time is said faster, but at most by a fifth
LEVEL_RMS = 0.139  # of the loud half of speech; what -19 LUFS comes to for the voice that ships
BENT, PEAK = 0.6, 0.89  # samples louder than the first are bent softly and stay under the second
PAUSE_S = 0.3  # between two sentences, at the voice's own pace
_WINDOW = 120  # samples over which loudness is smoothed
_HEARD = 0.008  # smoothed loudness from which there is sound
_BEFORE, _AFTER = 60, 600  # samples kept before the first and after the last sound
_FADE_IN, _FADE_OUT = 60, 240
_SENTENCE_END = re.compile(r"(?<=[.;:?!])\s+")
_WHOLE = 32_767  # full loudness in the 16 bits that are kept
_TABLE = Path(__file__).parent.parent / "data" / "tables" / "pronunciation.csv"
_TAKEN = ({"ids", "speed"}, 6)  # what a model of this kind takes, and how many things it gives
_ENGINE_FAULTS = ("InvalidProtobuf", "InvalidGraph", "InvalidArgument", "NotImplemented", "RuntimeException", "Fail")
_NO_VOICE = "The voice file {} is not a voice that can be used here; choose another."
MISSING = (
    "Speech and film need packages that are not installed. Install them with `python3 start.py setup film`, "
    "then start again."
)


class Unsayable(HalewardError):
    """A voice gives no sound for a sentence, or not in the time that it has."""


class Voice(Protocol):
    """Something that speaks. ``name`` says which voice it is, with its version: what is kept on disk goes by it."""

    name: str

    def say(self, text: str, *, speed: float) -> Samples:
        """``text`` as samples at :data:`SAMPLE_RATE`; the same text and speed give the same samples."""
        ...


class NeuralVoice:
    """The neural voice inside the package ``hibari-tts``, or another model file of the same kind.

    ``name`` has a digest of the file's content: another file is another voice, whatever it is called.
    """

    def __init__(self, file: Path | None = None) -> None:
        try:
            from hibari import Hibari, __version__
        except ImportError as error:
            raise HalewardError(MISSING) from error
        self._usual = Hibari
        self._other = _from_file(Hibari, file) if file else None
        self.name = f"hibari {__version__} {digest_of(file)[:16] if file else 'heart'}"

    def say(self, text: str, *, speed: float) -> Samples:
        """See :class:`Voice`. Raises :class:`Unsayable` when the file's model fails at this text."""
        try:
            return np.asarray(self._speak(text, seed=0, speed=speed), np.float32)
        except _engine_faults(ValueError, IndexError) as error:
            raise Unsayable(f'The voice fails at "{text}". Try another voice file.') from error

    @cached_property
    def _speak(self) -> Any:
        """Loaded when something is to be said: a session whose sentences are all kept needs only the name."""
        return self._other or self._usual()


def look_for_voice(file: Path) -> None:
    """Raise one sentence when a voice's file is not there."""
    if not file.is_file():
        raise HalewardError(
            f"The voice file {file} is not there. Name a voice file that is, or none for the usual voice."
        )


def _from_file(kind: type, file: Path) -> Any:
    look_for_voice(file)
    known = {facts["sha256"]: name for name, facts in import_module("hibari.voices").VOICES.items()}
    accent = {"voice": known[digest]} if (digest := digest_of(file)) in known else {}
    try:
        made = kind(model=str(file), **accent)
        taken = {one.name for one in made.sess.get_inputs()}, len(made.sess.get_outputs())
    except _engine_faults(OSError) as error:
        raise HalewardError(_NO_VOICE.format(file.name)) from error
    if taken != _TAKEN:
        raise HalewardError(_NO_VOICE.format(file.name))
    return made


def _engine_faults(*others: type[Exception]) -> tuple[type[Exception], ...]:
    """What the engine raises for a model that is none, or not one for it; and ``others``."""
    engine = import_module("onnxruntime.capi.onnxruntime_pybind11_state")
    return (*(getattr(engine, name) for name in _ENGINE_FAULTS), *others)


def digest_of(file: Path) -> str:
    """A mark of a voice file's content."""
    return hashlib.sha256(file.read_bytes()).hexdigest()


def voice_of(file: Path | None = None) -> Voice:
    """The voice of a service: its own file, else the one that ships. Raises one sentence when there is none."""
    if file is None:
        return _loaded(None, "")
    look_for_voice(file)
    return _loaded(file, digest_of(file))


@lru_cache(maxsize=4)
def _loaded(file: Path | None, _digest: str) -> Voice:
    """Kept while it is the same content: a file that was replaced under its name is another voice."""
    return NeuralVoice(file)


def phrases_of(file: Path | None, folder: Path | None = None) -> Phrases:
    """The sentences of a service's voice; what its own file cannot say, the voice that ships says."""
    otherwise = Phrases(voice_of(), folder) if file else None
    return Phrases(voice_of(file), folder, otherwise=otherwise)


class Phrases:
    """Sentences as sound, each made once. ``folder`` keeps them between sessions and people; None keeps them here.

    What the voice cannot say, ``otherwise`` says.
    """

    def __init__(self, voice: Voice, folder: Path | None = None, *, otherwise: Phrases | None = None) -> None:
        self._voice, self._store, self._otherwise = voice, Kept(folder, "voice"), otherwise
        self._store.clean()
        self._gain = 0.0
        self._known: dict[tuple[str, float], Samples] = {}

    def say(self, text: str, *, within_ms: int | None = None) -> Samples:
        """``text`` from its first sound on, levelled.

        ``within_ms`` is the time it has: a longer sentence is said faster, up to :data:`FASTEST`. Raises
        :class:`Unsayable` when even that does not fit, because nothing may be said over something else.
        """
        try:
            return self._within(text, within_ms)
        except Unsayable:
            if self._otherwise is None:
                raise
            return self._otherwise.say(text, within_ms=within_ms)

    def _within(self, text: str, within_ms: int | None) -> Samples:
        sound = self._at(text, SPEED)
        if within_ms is None:
            return sound
        room = within_ms * SAMPLE_RATE // 1000
        speed = SPEED
        while len(sound) > room and speed < FASTEST:
            speed = min(FASTEST, round(max(speed * len(sound) / room, speed + 0.02) + 0.005, 2))
            sound = self._at(text, speed)
        if len(sound) > room:
            took = len(sound) / SAMPLE_RATE
            raise Unsayable(f'"{text}" takes {took:.1f} s to say and has {within_ms / 1000:.1f} s; shorten the line.')
        return sound

    def lacking(self, texts: Iterable[str]) -> list[str]:
        """Those of ``texts`` that are not kept yet, and would have to be made."""
        return [text for text in texts if not self._store.has(self._facts(text, SPEED))]

    def _at(self, text: str, speed: float) -> Samples:
        key = (text, speed)
        if key not in self._known:
            self._known[key] = self._kept(text, speed)
        return self._known[key]

    def _kept(self, text: str, speed: float) -> Samples:
        facts = self._facts(text, speed)
        found = self._store.get(facts)
        if found is None:
            try:
                found = np.rint(self._made(as_spoken(text), speed) * _WHOLE).astype("<i2").tobytes()
            except Unsayable:
                self._store.put(facts, b"")  # not tried again by the next film
                raise
            self._store.put(facts, found)
        if not found:
            raise Unsayable(f'The voice has no sound for "{text}". Try another voice file.')
        return np.frombuffer(found, "<i2").astype(np.float32) / np.float32(_WHOLE)

    def _facts(self, text: str, speed: float) -> tuple[object, ...]:
        return (self._voice.name, as_spoken(text), speed, LEVEL_RMS, BENT, PEAK, PAUSE_S, _AFTER)

    def _made(self, said: str, speed: float) -> Samples:
        """Sentence by sentence, with pauses that are the same everywhere."""
        pause = np.zeros(round(PAUSE_S / speed * SAMPLE_RATE), np.float32)
        parts: list[Samples] = []
        for sentence in _SENTENCE_END.split(said):
            parts += [pause, trimmed(self._voice.say(sentence, speed=speed))]
        loud = np.concatenate(parts[1:]) * np.float32(self._gain or self._level())
        over = np.abs(loud) > BENT
        bent = np.sign(loud) * (BENT + (PEAK - BENT) * np.tanh((np.abs(loud) - BENT) / (PEAK - BENT)))
        return np.where(over, bent, loud).astype(np.float32)

    def _level(self) -> float:
        """One gain for everything that this voice says: single phrases keep their natural loudness to one another."""
        sample = trimmed(
            self._voice.say("Sit tall. Breathe out as you lift, and breathe in as you lower.", speed=SPEED)
        )
        loud = np.sort(np.abs(sample))[len(sample) // 2 :]
        self._gain = LEVEL_RMS / float(np.sqrt(np.mean(loud**2)))
        return self._gain


def trimmed(sound: Samples) -> Samples:
    """From just before the first sound to just after the last, with short fades. Raises when there is no sound."""
    power = np.concatenate([np.zeros(1), np.cumsum(np.square(sound, dtype=np.float64))])
    around = np.pad(power, (_WINDOW // 2, _WINDOW // 2 - 1), mode="edge")
    heard = np.nonzero(around[_WINDOW:] - around[:-_WINDOW] > _WINDOW * _HEARD**2)[0]
    if not len(heard):
        raise Unsayable("The voice gave no sound for a sentence. Try another voice file.")
    cut = sound[max(0, heard[0] - _BEFORE) : heard[-1] + _AFTER].copy()
    cut[:_FADE_IN] *= np.linspace(0, 1, _FADE_IN, dtype=np.float32)
    cut[-_FADE_OUT:] *= np.linspace(1, 0, _FADE_OUT, dtype=np.float32)
    return cut


def as_spoken(text: str) -> str:
    """``text`` with what a voice would say wrongly put as it is said."""
    for pattern, spoken in _pronunciations():
        text = pattern.sub(spoken, text)
    return text


@cache
def _pronunciations() -> tuple[tuple[re.Pattern[str], str], ...]:
    with _TABLE.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    return tuple((re.compile(rf"(?<![\w.,]){re.escape(row['written'])}(?!\w)"), row["spoken"]) for row in rows)
