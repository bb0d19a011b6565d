"""Reads film, page, booklet and calendar as whoever opens them does, and compares them with the signed plan."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import av
import pypdf
from icalendar import Calendar

from haleward.dose.model import Exercise, Programme
from haleward.wording import default_wording, spoken
from tests.page_text import opened

VERSION = re.compile(r"This is plan (\d+), made on (\d+ \w+ \d{4})\.")
LINE = re.compile(r"(?:\d+\. )?(.+?): (.+?)\. (.+)\.")  # a movement in a list: title, dose, load
PRINTED = re.compile(r"\d+\. ([^\n]+)\n.*?\n([^\n]*\b(?:sets?|holds?) of \d[^\n]*)\n(.+?)\.\s", re.DOTALL)
DATA = re.compile(r'<script type="application/json" id="data">(.*?)</script>', re.DOTALL)
NUMBERS = {spoken(number).capitalize(): number for number in range(1, 31)}

Movement = tuple[str, str, str]  # title, dose, load


@dataclass(frozen=True)
class Said:
    """What a medium says: plan and its date, the movements in order, and what is counted in each, where it counts."""

    version: tuple[str, str]
    movements: tuple[Movement, ...]
    counted: tuple[tuple[int, ...], ...] | None = None


def signed(plan: Programme) -> Said:
    """What every medium has to say: from the signed programme alone, in words of this test."""
    (part,) = plan.parts
    date = f"{plan.made_on.day} {plan.made_on:%B %Y}"
    counted = tuple(
        () if one.dose.hold_s else tuple(range(1, one.dose.repetitions + 1)) * (one.dose.sets * (1 + one.each_side))
        for one in part.exercises
    )
    return Said((str(plan.version), date), tuple(map(_movement, part.exercises)), counted)


def _movement(line: Exercise) -> Movement:
    dose, title = line.dose, default_wording().movement(line.movement_id, line.posture).title
    many, what = ("One" if dose.sets == 1 else str(dose.sets)), "hold" if dose.hold_s else "set"
    each = f"{dose.hold_s:g} seconds" if dose.hold_s else str(dose.repetitions)
    told = f"{many} {what}{'s' * (dose.sets > 1)} of {each}{' on each side' * line.each_side}"
    mass = dose.load.mass_kg
    return title, told, f"{mass:g} kilogram{'s' * (mass != 1)} in each hand" if mass else "Your own weight"


def film_said(path: Path, *, ends: tuple[str, str]) -> Said:
    """Name, chapters and captions of a film; ``ends`` are the titles of its first and its last chapter."""
    with av.open(str(path)) as file:
        name = file.metadata["title"]
        chapters = [(float(one["start"] * one["time_base"]), one["metadata"]["title"]) for one in file.chapters()]
        texts = file.streams.subtitles[0]
        captions = [
            (float(packet.pts * packet.time_base), bytes(packet)[2:].decode())
            for packet in file.demux(texts)
            if packet.size > 2
        ]
    assert (chapters[0][1], chapters[-1][1]) == ends
    movements = [_listed(title) for _, title in chapters[1:-1]]
    starts = [at for at, _ in chapters[1:]]
    counted = [
        tuple(NUMBERS[text] for at, text in captions if start <= at < end and text in NUMBERS)
        for start, end in pairwise(starts)
    ]
    return Said(_version(name), tuple(movements), tuple(counted))


def page_said(html: str) -> Said:
    """The data that the page plays from, in the order in which it plays, and the line at its foot."""
    found = DATA.search(opened(html))
    assert found
    sheet: dict[str, Any] = json.loads(found[1])["sheet"]
    played = [sheet["exercises"][block["exercise"]] for block in sheet["blocks"] if block["kind"] == "setup"]
    counted = [
        tuple(
            repetition
            for block in sheet["blocks"]
            if block["kind"] == "set" and block["exercise"] == place
            for kind, repetition in zip(block["cues"]["kind"], block["cues"]["repetition"], strict=True)
            if kind == "count"
        )
        for place in range(len(played))
    ]
    movements = tuple((one["title"], one["dose_text"], one["load_text"]) for one in played)
    return Said(_version(html.split('id="data"')[0]), movements, tuple(counted))


def booklet_said(pdf: bytes) -> Said:
    """The pages of the movements, and the line that stands on every page."""
    pages = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages]
    (version,) = {_version(" ".join(text.split())) for text in pages}
    found = [PRINTED.match(text) for text in pages]
    return Said(version, tuple((one[1], one[2], one[3].replace("\n", "")) for one in found if one))


def calendar_said(file: bytes, *, title: str) -> Said:
    """The text of every session with this title; they have to say the same."""
    events = [event for event in Calendar.from_ical(file).walk("VEVENT") if event["summary"] == title]
    (said,) = {_session_said(str(event["description"])) for event in events}
    return said


def _session_said(text: str) -> Said:
    lines = [line for line in text.splitlines() if re.match(r"\d+\. ", line)]
    return Said(_version(text), tuple(map(_listed, lines)))


def _listed(line: str) -> Movement:
    found = LINE.fullmatch(line)
    assert found, line
    return found[1], found[2], found[3]


def _version(text: str) -> tuple[str, str]:
    found = VERSION.search(text)
    assert found, text
    return found[1], found[2]


def disagreements(plan: Programme, media: Mapping[str, Said]) -> Iterator[tuple[str, str]]:
    """Each medium that differs from the signed plan, and in what."""
    meant = signed(plan)
    for name, said in media.items():
        if said.version != meant.version:
            yield name, "version"
        if [one[0] for one in said.movements] != [one[0] for one in meant.movements]:
            yield name, "order"
        elif said.movements != meant.movements:
            yield name, "dose"
        if said.counted is not None and said.counted != meant.counted:
            yield name, "counts"
