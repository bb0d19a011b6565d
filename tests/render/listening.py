"""Ears for the tests of speech: a voice that hums, loudness as broadcasters measure it, and a recogniser of words."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction

import av
import numpy as np
from pocketsphinx import Decoder

from haleward.render.voice import SAMPLE_RATE, Samples

HEARD = 0.02  # smoothed loudness from which a person hears something


@dataclass
class Hum:
    """A voice that hums evenly, for as long as a text has letters; it remembers what it said."""

    seconds_a_letter: float = 0.05
    name: str = "hum 1"
    said: list[str] = field(default_factory=list)

    def say(self, text: str, *, speed: float) -> Samples:
        self.said.append(text)
        length = round(len(text) * self.seconds_a_letter / speed * SAMPLE_RATE)
        return np.pad(np.full(length, 0.1, np.float32), (5_000, 5_000))


class Mute:
    """A voice that must not be asked to speak."""

    def __init__(self, name: str) -> None:
        self.name = name

    def say(self, text: str, *, speed: float) -> Samples:
        raise AssertionError(f"{text!r} was said again")


def onset_ms(sound: Samples, from_ms: float) -> float:
    """When something is first heard at or after a moment. [ms]"""
    start = round(from_ms * SAMPLE_RATE / 1000)
    part = sound[start : start + SAMPLE_RATE]
    smooth = np.sqrt(np.convolve(part * part, np.ones(60) / 60, "same"))
    return from_ms + float(np.nonzero(smooth > HEARD)[0][0]) / SAMPLE_RATE * 1000


def loudness_lufs(sound: Samples) -> float:
    """Integrated loudness (EBU R 128)."""
    graph = av.filter.Graph()
    source = graph.add_abuffer(sample_rate=SAMPLE_RATE, format="flt", layout="mono", time_base=Fraction(1, SAMPLE_RATE))
    meter, sink = graph.add("ebur128", "metadata=1"), graph.add("abuffersink")
    source.link_to(meter)
    meter.link_to(sink)
    graph.configure()
    heard = None
    for at in range(0, len(sound), SAMPLE_RATE):
        frame = av.AudioFrame.from_ndarray(np.ascontiguousarray(sound[None, at : at + SAMPLE_RATE]), "flt", "mono")
        frame.sample_rate, frame.pts = SAMPLE_RATE, at
        graph.push(frame)
        try:
            while True:
                heard = graph.pull()
        except (av.error.BlockingIOError, av.error.EOFError):
            continue
    assert heard is not None
    return float(heard.metadata["lavfi.r128.I"])


def words_heard(sounds: list[Samples], known: set[str]) -> list[list[str]]:
    """What a speech recogniser, who knows only some words but in any order, makes of each sound."""
    decoder = Decoder(samprate=16_000, loglevel="FATAL", lm=None, ds=2, topn=2, maxhmmpf=1500)
    grammar = f"#JSGF V1.0; grammar words; public <words> = ({' | '.join(sorted(known))})+;"
    decoder.add_jsgf_string("words", grammar)
    decoder.activate_search("words")
    heard = []
    for sound in sounds:
        frame = av.AudioFrame.from_ndarray(np.pad(sound, (6_000, 6_000))[None], "flt", "mono")
        frame.sample_rate = SAMPLE_RATE
        resampler = av.AudioResampler(format="s16", layout="mono", rate=16_000)
        pcm = b"".join(
            bytes(one.planes[0])[: one.samples * 2] for one in (*resampler.resample(frame), *resampler.resample(None))
        )
        decoder.start_utt()
        decoder.process_raw(pcm, full_utt=True)
        decoder.end_utt()
        found = decoder.hyp()
        heard.append(words_of(found.hypstr if found else ""))
    return heard


def words_of(text: str) -> list[str]:
    """The words of a text, in small letters."""
    return re.findall(r"[a-z']+", text.lower())


def word_errors(meant: list[str], heard: list[str]) -> int:
    """How many words must be put in, taken out or changed (Levenshtein)."""
    row = list(range(len(heard) + 1))
    for i, word in enumerate(meant, 1):
        before, row[0] = row[0], i
        for j, other in enumerate(heard, 1):
            before, row[j] = row[j], min(row[j] + 1, row[j - 1] + 1, before + (word != other))
    return row[-1]


def decoded(path: object) -> Samples:
    """The sound of a file."""
    with av.open(str(path)) as file:
        return np.concatenate([frame.to_ndarray()[0] for frame in file.decode(audio=0)])
