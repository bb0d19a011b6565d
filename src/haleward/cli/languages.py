"""``haleward languages``: what there is, what can be told of a translation by rules, and files for a translator."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path

from haleward.cli.output import complain, say, write_files
from haleward.errors import HalewardError
from haleward.languages import Catalogue, Text, languages, load_catalogue, person_texts, read_catalogue
from haleward.languages.checks import Finding, findings, missing
from haleward.languages.files import REVIEW, Head, head_of, po_files
from haleward.safety.protocol import default_protocol

FAULTY = 2


def show(_options: Namespace) -> int:
    """Every language that ships, what state it is in and what it lacks."""
    texts = _texts()
    for tag in languages():
        catalogue = load_catalogue(tag)
        lacking = len(missing(catalogue, texts))
        share = f"{lacking} of {len(texts)} texts missing ({100 * lacking / len(texts):.1f}%)"
        say(f"{tag:6} {catalogue.english_name} ({catalogue.name}), {catalogue.direction}: draft, {REVIEW}; {share}")
    say("A service marks a language as reviewed on its Languages page; until then nobody is shown it.")
    return 0


def check(options: Namespace) -> int:
    """What to look at in one language, or in all that ship; 2 if a placeholder or a number differs."""
    texts, faulty = _texts(), False
    for catalogue in [_named(options.what)] if options.what else [load_catalogue(tag) for tag in languages()]:
        tables = set(catalogue.tables)
        found = findings(catalogue, tuple(text for text in texts if text.table in tables))
        faulty |= any(one.is_fault for one in found)
        say(f"{catalogue.english_name}: {_summary(found)}")
        complain(*(str(one) for one in found if one.is_fault))
        say(*(f"  {one}" for one in found if not one.is_fault))
    return FAULTY if faulty else 0


def template(options: Namespace) -> int:
    """The files for a translator: with what is translated already, or empty for a new language."""
    tag = options.tag
    if tag in languages():
        catalogue = load_catalogue(tag)
        files = po_files(head_of(catalogue), _texts(), catalogue)
    else:
        files = po_files(_new(options), _texts())
    say(*(f"Wrote {path}" for path in write_files(options.out, _encoded(files), force=options.force)))
    return 0


def _new(options: Namespace) -> Head:
    if not options.name or not options.english_name:
        raise HalewardError(
            f'"{options.tag}" is a new language: add --name (in itself) and --english-name, and --direction rtl if it '
            "runs from right to left."
        )
    return Head(options.tag, options.name, options.english_name, options.direction)


def _encoded(files: dict[str, str]) -> dict[str, bytes]:
    return {name: content.encode() for name, content in files.items()}


def _texts() -> tuple[Text, ...]:
    return person_texts(symptoms={one.key: one.label for one in default_protocol().concerns.symptoms})


def _named(what: str) -> Catalogue:
    """A language that ships, a folder of PO files or one such file."""
    if what in languages():
        return load_catalogue(what)
    path = Path(what)
    if not path.exists():
        raise HalewardError(f'"{what}" is neither a language ({", ".join(languages())}) nor a file or folder.')
    files = sorted(path.glob("*.po")) if path.is_dir() else [path]
    try:
        return read_catalogue({file.stem: file.read_text(encoding="utf-8") for file in files})
    except UnicodeDecodeError as error:
        raise HalewardError(f"{what} is not UTF-8 text; save it as UTF-8.") from error


def _summary(found: tuple[Finding, ...]) -> str:
    if not found:
        return "nothing to look at."
    counts = {kind: sum(one.kind == kind for one in found) for kind in dict.fromkeys(one.kind for one in found)}
    return ", ".join(f"{kind}: {count}" for kind, count in counts.items()) + "."
