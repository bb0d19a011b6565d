"""The session of a signed programme: cue sheet, page and booklet, made once for each version and kept."""

from __future__ import annotations

import hashlib
import json
import tempfile
import uuid
from dataclasses import replace
from datetime import timedelta
from functools import cache
from pathlib import Path
from typing import Any, Literal, TypedDict

from django.conf import settings
from django.utils import timezone

import haleward
from haleward import __version__
from haleward.dose.intensity import set_intensity, shown_range
from haleward.dose.model import Intensity, Prescription, Programme
from haleward.dose.week_plan import Planned, Week, programme_for
from haleward.errors import HalewardError
from haleward.exchange.calendar import minutes_of
from haleward.movement.library import Library
from haleward.plain import from_plain
from haleward.record import Record
from haleward.render.booklet import booklet_pdf
from haleward.render.booklet_codes import NO_LINKS, Links
from haleward.render.booklet_week import LOG_WEEKS
from haleward.render.class_card import class_card_pdf
from haleward.render.page import session_page
from haleward.safety.facts import facts_of
from haleward.safety.protocol import Protocol
from haleward.session.bilingual import compile_in_language
from haleward.session.compile import WALK, compile_session
from haleward.session.cue_sheet import CueSheet
from haleward.session.short_day import short_day
from haleward.session.week_words import differs
from haleward.web.assessment.mapping import record_of
from haleward.web.delivery.left_out import open_places, playable, with_places
from haleward.web.delivery.weeks import weeks_for
from haleward.web.languages.shown import language_now, told_in_language_of, wording_now
from haleward.web.people.models import Person
from haleward.web.prescription.ground import Ground, ground_of
from haleward.web.prescription.models import ProgrammeVersion, signed_of
from haleward.web.prescription.signing import programme_of
from haleward.web.studio import recording
from haleward.web.studio.choice import options_of
from haleward.web.team import protocol as in_force
from haleward.web.team.models import Service as ServiceRow
from haleward.wording import Service, Wording

PrintKind = Literal["booklet", "large", "card"]


def signed_programme(person: Person) -> ProgrammeVersion:
    """The newest signed version. Raises when there is none."""
    row = signed_of(person)
    if row is None:
        raise HalewardError("There is no signed plan yet. Ask your exercise lead.")
    return row


def sheet_of(
    row: ProgrammeVersion, part_key: str, planned: Planned | None = None, *, whole: bool = False
) -> tuple[CueSheet, Record]:
    """The cue sheet of one part of a version; ``planned`` is its session on one day, which may be short.

    A movement that a restriction blocks is left out; ``whole`` asks for the part as it was signed.
    """
    programme = programme_of(row)
    if part_key not in {WALK, *(part.key for part in programme.parts)}:
        raise HalewardError(f"Plan {row.version} has no part {part_key!r}.")
    record = record_of(row.assessment)
    told: dict[str, Any] = {
        **surroundings(row.person.service),
        "made_on": timezone.localdate(row.signed_at or row.made_at),
        "intensity": intensity_in_force(row),
        "options": options_of(row.person),
    }
    left = programme if whole else with_places(programme, part_key, open_places(row, part_key))
    if planned is None or planned.day_minutes is None:
        sheet = _compiled(left, part_key, record, told)
        return (sheet if left is programme else _of_its_own(sheet, f"left/{left.movement_ids}")), record
    shorter = programme_for(programme, planned)
    if not whole:
        shorter = with_places(shorter, part_key, _among(planned, open_places(row, part_key, planned)))
    sheet = _compiled(shorter, part_key, record, told)
    if minutes_of(sheet) > planned.day_minutes:
        sheet = _compiled(shorter, part_key, record, told | {"protocol": short_day(told["protocol"])})
    fewer = "" if left is programme else f"/left/{shorter.movement_ids}"
    return _of_its_own(sheet, f"short/{_short_mark(planned)}{fewer}"), record


def _among(planned: Planned, places: tuple[int, ...]) -> tuple[int, ...]:
    """Where these places of the part stand among those of a session that is short."""
    return tuple(planned.exercises.index(place) for place in places) if planned.short else places


def _of_its_own(sheet: CueSheet, mark: str) -> CueSheet:
    """A sheet of its own: a place kept in the whole session is not one in it."""
    return replace(sheet, sheet_id=str(uuid.uuid5(uuid.UUID(sheet.sheet_id), mark)))


def _compiled(programme: Programme, part_key: str, record: Record, told: dict[str, Any]) -> CueSheet:
    language = language_now()
    if language is None:
        return compile_session(programme, part_key, record, **told)
    told = told | {"wording": language.english, "catalogue": language.catalogue}
    return compile_in_language(programme, part_key, record, **told)


def _short_mark(planned: Planned) -> str:
    return f"{len(planned.exercises)}-{planned.minutes}-{planned.day_minutes}"


def intensity_in_force(row: ProgrammeVersion) -> Intensity:
    """How hard, as signed; where what is known today is stricter, that: no range outlives a change or its reading.

    A range that nobody signed is never shown.
    """
    signed = from_plain(Prescription, row.prescription).intensity
    ground = ground_of(row.person, timezone.localdate())
    if ground is None:
        return signed
    now = _intensity_today(row.person, ground)
    before, after = shown_range(signed), shown_range(now)
    if before is not None and (after is None or after[1] < before[1]):
        return now
    return signed


def _intensity_today(person: Person, ground: Ground) -> Intensity:
    """By the newest assessment, and by a change of medicine that the person told and nobody has looked at yet."""
    if not person.concerns.filter(topic=MEDICINE_TOPIC, closed_at=None).exists():
        return ground.prescription.intensity
    facts = facts_of(ground.record, today=ground.today) | {"meds_changed": True}
    return set_intensity(ground.record, facts, protocol=ground.protocol, today=ground.today)


def page_of(row: ProgrammeVersion, part_key: str, *, post_url: str, token: str, planned: Planned | None = None) -> str:
    """The session page of one part. The drawing is kept on disk; address and token are filled in each time.

    ``planned`` is the session of one day: when time is short, the page has no more than that.
    """
    short = "" if planned is None or planned.day_minutes is None else f"short-{_short_mark(planned)}."
    places = playable(row, part_key, planned)
    kept = _kept(row, part_key, f"{short}html")
    sprite = recording.recording_of(kept.name.split(".")[0], row.person.service)
    spoken = f"{kept.name.removesuffix('html')}{recording.voice_mark(row.person.service)}.html"
    kept = kept.with_name(spoken) if sprite else kept
    marks = ("https://haleward.invalid/log", "haleward-link-token")
    if not kept.exists():
        sheet, record = sheet_of(row, part_key, planned)
        sent = {"post_url": marks[0], "token": marks[1]}
        around = surroundings(row.person.service)
        html = session_page(sheet, record=record, **around, **sent, sprite=sprite, places=places)
        _keep(kept, html.encode())
    html = kept.read_text(encoding="utf-8")
    return html.replace(marks[0], post_url).replace(marks[1], token)


def print_of(
    row: ProgrammeVersion, part_key: str, kind: PrintKind = "booklet", *, links: Links = NO_LINKS, link_mark: str = ""
) -> bytes:
    """The same part in print: booklet, booklet in large print, or card for class.

    ``links`` become square codes. ``link_mark`` changes with what they open: a signed address is another each second.
    """
    playable(row, part_key)
    weeks = _weeks_ahead(row)
    codes = hashlib.sha256(f"{link_mark} {weeks if any(map(differs, weeks)) else ''}".encode()).hexdigest()[:12]
    kept = _kept(row, part_key, f"{kind}-{codes}.pdf")
    if not kept.exists():
        _keep(kept, _printed(row, part_key, kind, links, weeks))
    return kept.read_bytes()


def _weeks_ahead(row: ProgrammeVersion) -> tuple[Week, ...]:
    """This week and those after it, as many as the paper log has."""
    today = timezone.localdate()
    return tuple(weeks_for(row, [today + timedelta(weeks=number) for number in range(LOG_WEEKS)]))


def _printed(row: ProgrammeVersion, part_key: str, kind: PrintKind, links: Links, weeks: tuple[Week, ...]) -> bytes:
    sheet, record = sheet_of(row, part_key)
    around = surroundings(row.person.service)
    if kind == "card":
        return class_card_pdf(sheet, record=record, **around)
    large, programme = kind == "large", programme_of(row)
    return booklet_pdf(sheet, record=record, **around, programme=programme, links=links, large_print=large, weeks=weeks)


MEDICINE_TOPIC = "medicine changed"  # the topic of safety.csv under which a told change waits for the nurse
PACKAGE = Path(haleward.__file__).parent


class Surroundings(TypedDict):
    """What page and booklet are made with besides the sheet and the record."""

    protocol: Protocol
    library: Library
    wording: Wording
    service: Service


def surroundings(service: ServiceRow) -> Surroundings:
    """Protocol, library, wording and numbers in force for a service."""
    return {
        "protocol": in_force.protocol_of(service),
        "library": in_force.library(),
        "wording": wording_now(service),
        "service": in_force.numbers_of(service),
    }


def file_of(row: ProgrammeVersion, part_key: str, *, recorded: bool = False) -> str:
    """The session page as a file of its own, which sends nothing anywhere; ``recorded`` gives it the recorded voice."""

    def made() -> str:
        sheet, record = sheet_of(row, part_key)
        service = row.person.service
        sprite = recording.record_voice(sheet, mark_of(row, part_key), service) if recorded else None
        around, places = surroundings(service), playable(row, part_key)
        return session_page(sheet, record=record, **around, sprite=sprite, places=places)

    return told_in_language_of(row.person, made)


def _kept(row: ProgrammeVersion, part_key: str, suffix: str) -> Path:
    """Where the made file is kept."""
    language = language_now()
    told = f"{language.catalogue.tag}-{language.catalogue.digest}." if language else ""
    return Path(settings.DATA) / "sheets" / f"{mark_of(row, part_key)}.{told}{suffix}"


def mark_of(row: ProgrammeVersion, part_key: str) -> str:
    """A name that changes with everything a session is made from."""
    service, person = row.person.service, row.person
    protocol = in_force.protocol_of(service)
    parts = [
        __version__, str(row.pk), part_key, protocol.id, protocol.version, service.name,
        json.dumps(service.values, sort_keys=True), person.first_name, person.sex, person.look,
        str(row.signed_at), str(intensity_in_force(row)), made_from(),
        str(options_of(person)), str(open_places(row, part_key)),
    ]  # fmt: skip
    return hashlib.sha256("\x1f".join(parts).encode()).hexdigest()[:32]


@cache
def made_from() -> str:
    """A mark of the words, drawings, scripts and code behind every page: when one changes, pages are made anew."""
    files = sorted(path for path in PACKAGE.rglob("*") if path.is_file() and path.suffix != ".pyc")
    facts = "\n".join(f"{path.relative_to(PACKAGE)} {path.stat().st_size} {path.stat().st_mtime_ns}" for path in files)
    return hashlib.sha256(facts.encode()).hexdigest()


def _keep(path: Path, content: bytes) -> None:
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with tempfile.NamedTemporaryFile(dir=path.parent, suffix=".half", delete=False) as half:
        half.write(content)
    Path(half.name).replace(path)  # whole or not at all, also when two ask for it at the same moment
