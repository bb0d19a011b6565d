"""``haleward session``: one person's plain file -> session page, booklet, worksheet; large print and card if asked.

The gate decides first. "Not today" is always refused; "check first" is refused unless someone is named who has cleared
the reasons, and that name stays in the worksheet and in the JSON.
"""

from __future__ import annotations

from argparse import Namespace
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

from haleward.cli.media import Media
from haleward.cli.output import as_json, complain, say, say_json, write_files
from haleward.cli.rules import chosen_protocol
from haleward.cli.worksheets import gate_lines, prescription_lines, programme_lines
from haleward.dose.model import Prescription, Programme
from haleward.dose.prescription import prescribe
from haleward.dose.programme import check_programme, draft_programme
from haleward.errors import FileFault, HalewardError
from haleward.exchange.person_file import PersonFile, read_person_file
from haleward.languages import TranslatedWording, load_catalogue, translated
from haleward.movement.library import Library, default_library
from haleward.plain import to_plain
from haleward.render.booklet import booklet_pdf
from haleward.render.booklet_codes import NO_LINKS, Links
from haleward.render.class_card import class_card_pdf
from haleward.render.page import session_page
from haleward.safety.own_words import numbers_for, wording_for
from haleward.safety.protocol import Protocol
from haleward.session.bilingual import compile_in_language
from haleward.session.compile import compile_session
from haleward.session.cue_sheet import CueSheet
from haleward.wording import Wording

REFUSED = 2
FIRST_VERSION = 1


@dataclass(frozen=True)
class Made:
    """Everything made for one person on one day."""

    person: PersonFile
    prescription: Prescription
    programme: Programme
    sheet: CueSheet
    checked_by: str


@dataclass(frozen=True)
class Knowledge:
    """What is not about the person: the protocol, the library and the words."""

    protocol: Protocol
    library: Library
    wording: Wording

    def told_with(self) -> dict[str, Any]:
        """What a session is compiled with: in another language the English words and the catalogue beside them."""
        if isinstance(self.wording, TranslatedWording):
            return {"wording": self.wording.english, "catalogue": self.wording.catalogue}
        return {"wording": self.wording}


@dataclass(frozen=True)
class Prints:
    """Which prints are wanted besides the booklet on A4, and the addresses that stand in them as codes."""

    large: bool = False
    card: bool = False
    links: Links = NO_LINKS


BOOKLET_ONLY = Prints()


def run(options: Namespace) -> int:
    """Read, prescribe, decide, compile, write; say what was written."""
    today = options.on or date.today()  # noqa: DTZ011 - the day where the person is
    protocol = chosen_protocol(options.protocol)
    english = Knowledge(protocol, default_library(), wording_for(protocol))
    knowledge = replace(english, wording=_wording(english.wording, options))
    person = read_person_file(options.person, today=today)
    numbers = numbers_for(protocol, person.service.values)
    person = replace(person, service=replace(person.service, values=numbers))
    prescription = prescribe(
        person.record, protocol=knowledge.protocol, library=knowledge.library, today=today, day_check=person.day
    )
    checked_by = " ".join(options.checked_by.split())
    refusal = refused(prescription, checked_by)
    if refusal:
        complain(*gate_lines(prescription.gate, english.wording), refusal)
        return REFUSED
    made = make(person, prescription, knowledge, part=options.part or person.part, today=today, checked_by=checked_by)
    prints = Prints(options.large_print, options.card, Links(options.page_link, options.film_link))
    media = Media.of(options)
    if not options.force:
        media.refuse_present(options.out)
    files = contents(made, knowledge, prints, staff=english)
    values = {**protocol.wording_values, **person.service.values}
    filmed = media.make(made.sheet, record=person.record, wording=knowledge.wording, values=values, out=options.out)
    paths = [*write_files(options.out, files, force=options.force), *filmed]
    _tell(made, paths, english, as_machine=options.json)
    return 0


def _wording(english: Wording, options: Namespace) -> Wording:
    """The words of the language asked for. Only a service can mark one as reviewed, so here each is a draft."""
    if options.language in ("", "en", Wording.language):
        return english
    catalogue = load_catalogue(options.language)
    if not options.draft:
        raise HalewardError(
            f"{catalogue.english_name} is a draft: nobody has marked it as reviewed here. Add --draft to look at it."
        )
    return translated(english, catalogue, draft=True)


def refused(prescription: Prescription, checked_by: str) -> str:
    """Why nothing may be made ("" if it may)."""
    if prescription.gate.outcome == "not_today":
        return "Nothing was made: the protocol says not today."
    if prescription.gate.outcome == "check_first" and not checked_by:
        return "Nothing was made: settle the reasons above, then add --checked-by NAME to record who has checked."
    return ""


def make(
    person: PersonFile,
    prescription: Prescription,
    knowledge: Knowledge,
    *,
    part: str,
    today: date,
    checked_by: str = "",
) -> Made:
    """Draft the programme and compile one of its parts. A draft that breaks its own limits is an error."""
    rooms = {"protocol": knowledge.protocol, "library": knowledge.library}
    programme = draft_programme(person.record, prescription, today=today, version=FIRST_VERSION, **rooms)  # type: ignore[arg-type]
    faults = check_programme(programme, person.record, prescription, **rooms)  # type: ignore[arg-type]
    if faults:
        raise FileFault(list(faults))
    told = knowledge.told_with()
    compiled = compile_in_language if "catalogue" in told else compile_session
    sheet = compiled(
        programme,
        part,
        person.record,
        **told,
        service=person.service,
        made_on=today,
        intensity=prescription.intensity,
        **rooms,  # type: ignore[arg-type]
    )
    return Made(person, prescription, programme, sheet, checked_by)


def contents(
    made: Made, knowledge: Knowledge, prints: Prints = BOOKLET_ONLY, *, staff: Knowledge | None = None
) -> dict[str, bytes]:
    """The files of one session, by name; what is for staff is in the words of ``staff``."""
    told: dict[str, Any] = {
        "record": made.person.record,
        "service": made.person.service,
        "protocol": knowledge.protocol,
        "library": knowledge.library,
        "wording": knowledge.wording,
    }
    page = session_page(made.sheet, **told)
    booklets = {"booklet.pdf": False} | ({"booklet-large-print.pdf": True} if prints.large else {})
    return {
        "session.html": page.encode(),
        **{
            name: booklet_pdf(made.sheet, programme=made.programme, links=prints.links, large_print=large, **told)
            for name, large in booklets.items()
        },
        **({"card.pdf": class_card_pdf(made.sheet, **told)} if prints.card else {}),
        "worksheet.txt": "".join(f"{line}\n" for line in worksheet_text(made, staff or knowledge)).encode(),
        "session.json": as_json(plain(made)).encode(),
    }


def worksheet_text(made: Made, knowledge: Knowledge) -> list[str]:
    """The working behind the session, for staff; it does not go to the person."""
    record, sheet = made.person.record, made.sheet
    titles = {exercise.movement_id: exercise.title for exercise in sheet.exercises}
    head = [
        f"Worksheet for {record.first_name} {record.last_name}".rstrip(),
        f"Made on {sheet.made_on}, programme version {sheet.plan_version} (draft, not signed), part {sheet.part_key}",
        f"Protocol {sheet.protocol}: {knowledge.protocol.status}",
        *([f"Checked by {made.checked_by}, who has cleared the reasons below"] if made.checked_by else []),
        knowledge.wording.text("note_professional", {}),
        *made.person.notes,
        "",
    ]
    return [
        *head,
        *prescription_lines(made.prescription, knowledge.wording),
        "",
        *programme_lines(made.programme, titles),
    ]


def plain(made: Made) -> dict[str, object]:
    """The same as JSON-able values: record, prescription, programme and cue sheet."""
    return {
        "format": "haleward-session/1",
        "checked_by": made.checked_by,
        "notes": list(made.person.notes),
        "record": to_plain(made.person.record),
        "prescription": to_plain(made.prescription),
        "programme": to_plain(made.programme),
        "sheet": to_plain(made.sheet),
    }


def _tell(made: Made, paths: list[Path], knowledge: Knowledge, *, as_machine: bool) -> None:
    gate = made.prescription.gate
    if as_machine:
        files = [str(path) for path in paths]
        say_json({"gate": gate.outcome, "checked_by": made.checked_by, "sheet_id": made.sheet.sheet_id, "files": files})
        return
    say(*gate_lines(gate, knowledge.wording))
    minutes = round(made.sheet.length_ms / 60_000)
    say(f"Part {made.sheet.part_key}: {len(made.sheet.exercises)} movements, about {minutes} minutes.")
    say(*made.person.notes)
    say(*(f"Wrote {path}" for path in paths))
