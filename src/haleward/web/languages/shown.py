"""In which language a page or print for a person is made: their own, if reviewed here and lacking nothing, or English.

It is decided once for everything a person is shown. What staff see stays English, so a page is only in another language
inside :func:`told_in_language_of`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from contextvars import ContextVar
from functools import lru_cache
from typing import TypeVar

from django.db import transaction
from django.http import HttpRequest
from django.utils import translation

from haleward.languages import Catalogue, TranslatedWording, Untranslated, translated
from haleward.session.bilingual import NotAllTranslated
from haleward.session.frame import frame_movements
from haleward.web.languages.catalogues import Standing, standing_of, symptoms_of
from haleward.web.people.models import Person
from haleward.web.prescription.models import signed_of
from haleward.web.prescription.signing import programme_of
from haleward.web.team import protocol as in_force
from haleward.web.team.models import Service
from haleward.wording import Wording

Made = TypeVar("Made")
_NOW: ContextVar[TranslatedWording | None] = ContextVar("language of the page being made", default=None)


def wording_now(service: Service) -> Wording:
    """The wording of the page being made: another language inside :func:`told_in_language_of`, else English."""
    return _NOW.get() or in_force.wording_of(service)


def language_now() -> TranslatedWording | None:
    """The language of the page being made; None for English."""
    return _NOW.get()


def page_language(_request: HttpRequest) -> dict[str, tuple[str, str]]:
    """Template context: the language and the direction of the page being made."""
    told = _NOW.get() or Wording
    return {"page_language": (told.language, told.direction)}


def told_in_language_of(person: Person, make: Callable[[], Made], *, stores: bool = False) -> Made:
    """What ``make`` makes, in the person's language; in English for all of it if one text turns out to be missing.

    ``stores``: what was stored before that was found is taken back, and stored by the second try.
    """
    wording = wording_for(person)
    if wording is None:
        return make()
    try:
        with transaction.atomic() if stores else nullcontext(), _using(wording), translation.override(wording.language):
            return make()
    except (Untranslated, NotAllTranslated):
        return make()


@contextmanager
def _using(wording: TranslatedWording) -> Iterator[None]:
    token = _NOW.set(wording)
    try:
        yield
    finally:
        _NOW.reset(token)


def wording_for(person: Person) -> TranslatedWording | None:
    """The wording in the person's language, if it may be shown; None for English."""
    standing = chosen(person)
    if standing is None or standing.state != "reviewed" or lacking(person, standing.catalogue):
        return None
    return translated(in_force.wording_of(person.service), standing.catalogue)


def chosen(person: Person) -> Standing | None:
    """The language chosen for the person; None for English, or one that there no longer is."""
    return standing_of(person.service, person.language_tag) if person.language_tag else None


def lacking(person: Person, catalogue: Catalogue) -> tuple[str, ...]:
    """The English texts that this person's pages need and the catalogue lacks."""
    wording = in_force.wording_of(person.service)
    row = signed_of(person)
    movements = set(frame_movements())
    if row is not None:
        programme = programme_of(row)
        movements |= {(one.movement_id, one.posture) for part in programme.parts for one in part.exercises}
        movements |= {(programme.walking.movement_id, posture) for posture in ("standing", "seated")}
    numbers = in_force.numbers_of(person.service).values
    limits = in_force.protocol_of(person.service).wording_values
    told = (*sorted({**numbers, **limits}.items()), *(("", label) for label in symptoms_of(person.service).values()))
    return _lacking(wording, catalogue, tuple(sorted(one for one in movements if wording.has_movement(*one))), told)


@lru_cache(maxsize=64)
def _lacking(
    wording: Wording, catalogue: Catalogue, movements: tuple[tuple[str, str], ...], values: tuple[tuple[str, str], ...]
) -> tuple[str, ...]:
    other = translated(wording, catalogue)
    found = dict.fromkeys(other.missing_texts.values())
    found |= dict.fromkeys(text for one in movements for text in other.lacking_of(*one))
    found |= dict.fromkeys(value for name, value in values if name != "open_times" and not other.has_value(name, value))
    return tuple(found)


def told_to_staff(person: Person) -> str:
    """In which language the person's pages are, and why not in the one chosen; "" if none was chosen."""
    standing = chosen(person)
    if standing is None:
        return ""
    name = standing.catalogue.english_name
    if standing.state != "reviewed":
        return f"{name}: {standing.told}. Pages and prints are in English."
    texts = lacking(person, standing.catalogue)
    if texts:
        named = "; ".join(f"“{text}”" for text in texts[:3]) + (" and more" if len(texts) > 3 else "")
        return f"{name}: {len(texts)} texts of this person have no translation, so all is in English: {named}."
    return f"Pages and prints are in {name}; the voice speaks English."
