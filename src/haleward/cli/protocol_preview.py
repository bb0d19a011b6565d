"""``haleward protocol preview FILE``: whom a protocol would touch, compared with the default one or another.

The people are those of a folder of ``haleward-person/1`` files; without one, the invented people of the demo on the
day they were written for.
"""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Iterable
from datetime import date
from importlib import resources
from pathlib import Path

from haleward.cli.output import complain, say, say_json
from haleward.cli.rules import chosen_protocol
from haleward.dose.preview import Preview, Subject, preview
from haleward.errors import HalewardError
from haleward.exchange.person_file import read_person_file
from haleward.movement.library import default_library
from haleward.physiology.tables import texts
from haleward.plain import to_plain
from haleward.safety.protocol import Protocol, default_protocol, load_protocol

DEMO_DAY = date(2026, 11, 25)  # no date in the demo's files is later


def run(options: Namespace) -> int:
    """Read both protocols and the people; say whom the change would touch, and how."""
    new = load_protocol(options.file)
    old = chosen_protocol(options.against) if options.against else default_protocol(new.jurisdiction)
    today = options.on or (date.today() if options.people else DEMO_DAY)  # noqa: DTZ011 - the day where the people are
    people = _people(options.people, today)
    progress = None if options.json else _progress
    found = preview(people, old, new, library=default_library(), today=today, progress=progress)
    if options.json:
        say_json({"old": _named(old), "new": _named(new), "on": today.isoformat(), **to_plain(found)})
    else:
        say(f"From {_named(old)} to {_named(new)}, on {today}:", *_lines(found))
    return 0


def _people(folder: Path | None, today: date) -> list[Subject]:
    """Everybody in the folder, or the demo's people; a file that cannot be read is told like any other fault."""
    if folder is None:
        with resources.as_file(resources.files("haleward") / "data" / "demo") as demo:
            return [*_read(sorted(demo.glob("*.toml")), today)]
    files = sorted(folder.glob("*.toml"))
    if not files:
        raise HalewardError(f"{folder} holds no person's file. Name a folder with files such as those in examples.")
    return [*_read(files, today)]


def _read(files: Iterable[Path], today: date) -> Iterable[Subject]:
    for path in files:
        person = read_person_file(path, today=today)
        yield Subject(path.stem, person.record, person.day, place="home")


def _lines(found: Preview) -> Iterable[str]:
    for person in found.people:
        yield person.key
        yield from (f"  {change.sentence}" for change in person.differences)
    words = texts("preview_wording")
    counts = ", ".join(f"{words[f'what_{what}'].lower()} {count}" for what, count in found.counts.items())
    touched = f"{len(found.people)} of {found.asked} people would see a change"
    yield f"{touched}: {counts}." if counts else f"{touched}."


def _progress(done: int, of: int) -> None:
    """Say now and then how far the drafting of programmes has come."""
    if done and done % 100 == 0:
        complain(f"Drafted first programmes for {done} of {of} people.")


def _named(protocol: Protocol) -> str:
    return f"{protocol.id} {protocol.version}"
