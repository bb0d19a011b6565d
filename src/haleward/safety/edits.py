"""Changing a protocol file as data: one value, one rule more, one rule less, a signature. Comments and order stay.

Every function takes a text and gives a new text; nothing is written anywhere. What comes out is still a draft to be
read with :func:`haleward.safety.protocol.read_protocol`, which names every fault: here only the kind of a typed value
is judged.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from haleward.errors import Inconsistent
from haleward.physiology.tables import texts
from haleward.safety.edits_document import Document
from haleward.safety.edits_fields import Entry, Field, Group, Sections, Typed, typed
from haleward.safety.edits_mirror import Site, same_figure
from haleward.safety.edits_rules import NewRule, Part, Retirement, add_rule, retire_rule
from haleward.safety.edits_view import editable
from haleward.safety.edits_words import with_figure

__all__ = [
    "Edit",
    "Entry",
    "Field",
    "Group",
    "NewRule",
    "Part",
    "Retirement",
    "Sections",
    "apply",
    "as_draft",
    "editable",
    "next_version",
    "signed",
    "words_to_read",
]


@dataclass(frozen=True)
class Edit:
    """One value set anew. ``path`` is that of a :class:`Field`; a text is read as a form sends it.

    ``wording/KEY/text`` may name a line of the wording tables that the protocol does not yet word itself.
    """

    path: str
    value: object


Change = Edit | NewRule | Retirement


def apply(text: str, edits: Sequence[Change]) -> str:
    """``text`` with every edit made, in order. A limit and the setting that prints it move together.

    Raises :class:`Inconsistent` with one sentence for a value of the wrong kind, a path that is not there or a rule
    that lacks something, and :class:`FileFault` when the text is not TOML.
    """
    given = {edit.path for edit in edits if isinstance(edit, Edit)}
    document = None  # opening a file of thousands of lines takes longest, so one serves all values in a row
    for edit in edits:
        if isinstance(edit, Edit):
            document = document or Document(text)
            _set(document, _sections(text), edit, given)
            text = str(document)
        else:
            text = add_rule(text, edit) if isinstance(edit, NewRule) else retire_rule(text, edit)
            document = None
    return text


def words_to_read(before: str, after: str) -> tuple[str, ...]:
    """One sentence for each rule whose limit changed while its words stayed as they were: somebody must read them."""
    was = {entry.path: entry for entry in editable(before).entries()}
    found = []
    for entry in editable(after).entries():
        old = was.get(entry.path)
        if old is None or old.title != entry.title or not entry.sentence:
            continue
        changed = [new for one, new in zip(old.limits, entry.limits, strict=False) if one.value != new.value]
        if changed:
            new = " and ".join(f"{one.value:g} {one.unit}".strip() for one in changed)
            title = f"{entry.path.split('/')[0].replace('_', ' ')} {entry.id}".capitalize()
            title = f"{title[: -len(entry.id)]}{entry.id}"
            found.append(texts("edit_wording")["words_not_moved"].format(title=title, new=new, words=entry.title))
    return tuple(found)


def next_version(version: str) -> str:
    """The version after this one: its last number is raised ("0.9" gives "0.10"); one without a number gets ".1"."""
    found = re.search(r"\d+(?=\D*$)", version)
    if found is None:
        return f"{version}.1"
    return f"{version[: found.start()]}{int(found[0]) + 1}{version[found.end() :]}"


def signed(text: str, *, by: str, role: str, on: date, review_due: date) -> str:
    """``text`` signed by a named clinical lead on a day, with the day on which it must be looked at again.

    Raises :class:`Inconsistent` when the name or the profession is missing or the review is not after the signing.
    """
    name, profession = " ".join(by.split()), " ".join(role.split())
    if not name or not profession:
        raise Inconsistent(texts("edit_wording")["sign_name"])
    if review_due <= on:
        raise Inconsistent(texts("edit_wording")["sign_review"].format(due=review_due, on=on))
    document = Document(text)
    document.set_head("status", texts("edit_wording")["status_signed"])
    document.set_head("signed_by", f"{name}, {profession}")
    document.set_head("signed_on", on)
    document.set_head("review_due", review_due)
    return str(document)


def as_draft(text: str, version: str) -> str:
    """``text`` as an unsigned draft of that version."""
    document = Document(text)
    document.set_head("version", version)
    document.set_head("status", texts("edit_wording")["status_draft"])
    document.set_head("signed_by", "")
    document.set_head("signed_on", "")
    return str(document)


@lru_cache(maxsize=8)
def _sections(text: str) -> Sections:
    """The view of a text, kept for the next edit of the same draft."""
    return editable(text)


def _set(document: Document, sections: Sections, edit: Edit, given: set[str]) -> None:
    """Set one value, and the same figure wherever it stands."""
    field = sections.find(edit.path)
    if field is None:
        _new_wording(document, edit)
        return
    value = typed(field, edit.value)
    if field.comparison or field.kind in ("number", "numbers"):
        _move(document, sections, field, value, given)
    document.set(field.path, value)


def _move(document: Document, sections: Sections, field: Field, value: Typed, given: set[str]) -> None:
    """Set every other site that holds a figure of ``field``, and the words that say it."""
    for place, (old, new) in enumerate(zip(_sizes(field.value), _sizes(value), strict=True)):
        if old == new:
            continue
        group = next((one for one in same_figure(document.values) if (field.path, place) in one), frozenset())
        for path, site in sorted(group or {(field.path, place)}):
            if path != field.path:
                _set_site(document, (path, site), new)
            _move_words(document, sections, path, old, new, given)


def _set_site(document: Document, site: Site, figure: float) -> None:
    path, place = site
    now = document.get(path)
    if isinstance(now, list):
        document.set(path, [figure if at == place else one for at, one in enumerate(now)])
    else:
        document.set(path, -figure if now < 0 else figure)


def _move_words(document: Document, sections: Sections, path: str, old: float, new: float, given: set[str]) -> None:
    """Change the figure in what a rule says it found, or in what a setting reads out, unless that is edited too."""
    section, name = path.split("/")[:2]
    key = _SAID.get(section)
    words_path = f"{section}/{name}/{key}"
    if key is None or words_path in given or old == new:
        return
    words = str(document.get(words_path))
    moved = with_figure(words, old, new) if _once(sections, f"{section}/{name}", old) else None
    if moved is not None:
        document.set(words_path, moved)
    elif section == "setting":
        told = {"name": name.split("@")[0], "text": words, "old": f"{old:g}"}
        raise Inconsistent(texts("edit_wording")["text_not_moved"].format(**told))


_SAID: Mapping[str, str] = {
    "rule": "wording",
    "placement_rule": "wording",
    "risk_item": "criterion",
    "setting": "text",
}


def _once(sections: Sections, path: str, figure: float) -> bool:
    """Whether the figure stands once among an entry's limits, so that its words can only mean that one."""
    limits = next((entry.limits for entry in sections.entries() if entry.path == path), ())
    return sum(_size(one.value) == figure for one in limits) <= 1


def _new_wording(document: Document, edit: Edit) -> None:
    """A line of the wording tables that the protocol words itself from now on."""
    steps = edit.path.split("/")
    if len(steps) != 3 or steps[0] != "wording" or steps[2] != "text":
        raise Inconsistent(texts("edit_wording")["no_path"].format(path=edit.path))
    text = typed(Field(edit.path, "wording", "text", ""), edit.value)
    document.add_row("wording", {"key": steps[1], "text": text, "source": ""})


def _sizes(value: object) -> list[float]:
    return [_size(one) for one in value] if isinstance(value, list) else [_size(value)]


def _size(value: object) -> float:
    return abs(float(value)) if isinstance(value, int | float) else 0.0
