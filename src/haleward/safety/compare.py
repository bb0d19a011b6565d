"""What differs between two protocols, one sentence for each change, and which way it goes where that can be told.

"Stricter" means that the change can only make an outcome stricter for somebody, never milder. Sources, trust and
wording count as changes, but never as stricter or milder. A risk item of the band "low" that holds for more people
makes the level milder.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any

from haleward.physiology.tables import rows, texts
from haleward.safety.compare_direction import Direction, of_condition, of_row, of_value
from haleward.safety.conditions import to_sentence
from haleward.safety.inputs import default_inputs
from haleward.safety.parts import Need, TopicWhen
from haleward.safety.protocol import Protocol
from haleward.safety.words import code_words, ended

__all__ = ["Change", "Direction", "compare"]

_HEAD = ("id", "version", "status", "jurisdiction", "signed_by", "signed_on", "review_due")
_CONDITIONS = ("condition", "ask_when")


@dataclass(frozen=True)
class Change:
    """One difference. ``what`` is the key that changed ("condition", "level", "added", "removed", a policy's field).

    ``section`` is "protocol", "gate", "rule", "risk", "placement", "intensity", "dose", "progression", "check",
    "symptom", "setting", "number", "wording" or "accepted"; ``id`` names the rule, item or setting in it, and is ""
    for a section of its own.
    """

    section: str
    id: str
    what: str
    before: str
    after: str
    sentence: str
    direction: Direction = "other"


def compare(old: Protocol, new: Protocol) -> tuple[Change, ...]:
    """Every difference between two protocols, in the order of the protocol page; empty when they say the same."""
    return tuple(_changes(old, new))


def _changes(old: Protocol, new: Protocol) -> Iterator[Change]:
    head = tuple({key: getattr(one, key) for key in _HEAD} for one in (old, new))
    yield from _values("protocol", "", *head)
    yield from _rows("gate", old.gates, new.gates)
    yield from _rows("rule", _by("id", old.rules), _by("id", new.rules))
    yield from _values("risk", "", _own(old.stratification, "items"), _own(new.stratification, "items"))
    yield from _rows("risk", _by("id", old.stratification.items), _by("id", new.stratification.items))
    yield from _values("placement", "", _own(old.placement, "rules"), _own(new.placement, "rules"))
    yield from _rows("placement", _by("id", old.placement.rules), _by("id", new.placement.rules))
    for name in ("intensity", "dose", "progression"):
        yield from _values(name, "", _own(getattr(old.policies, name)), _own(getattr(new.policies, name)))
    yield from _rows("check", _by("wording", old.checks), _by("wording", new.checks))
    yield from _values("symptom", "", _own(old.concerns, "symptoms"), _own(new.concerns, "symptoms"))
    yield from _rows("symptom", _by("key", old.concerns.symptoms), _by("key", new.concerns.symptoms))
    yield from _rows("setting", old.settings, new.settings)
    yield from _rows("number", old.numbers, new.numbers)
    yield from _rows("wording", _by("key", old.wording_overrides), _by("key", new.wording_overrides))
    yield from _rows("accepted", _by("finding", old.accepted), _by("finding", new.accepted))


def _by(key: str, found: Sequence[Any]) -> dict[str, Any]:
    return {str(getattr(one, key)): one for one in found}


def _own(part: Any, *without: str) -> dict[str, Any]:
    """The fields of a part, without the rows it holds."""
    return {item.name: getattr(part, item.name) for item in fields(part) if item.name not in without}


def _rows(section: str, old: Mapping[Any, Any], new: Mapping[Any, Any]) -> Iterator[Change]:
    """Rows that came, went or changed, in the order of the new file; those that went come last."""
    for row_id in dict.fromkeys([*new, *old]):
        was, now = old.get(row_id), new.get(row_id)
        if was is None or now is None:
            yield _whole(section, str(row_id), was, now)
        elif was != now:
            yield from _values(section, str(row_id), _own(was), _own(now), row=now)


def _whole(section: str, row_id: str, was: Any, now: Any) -> Change:
    added = was is None
    told = _said(now if added else was)
    sentence = _word("added" if added else "removed").format(title=_title(section, row_id), before=told, after=told)
    before, after = ("", told) if added else (told, "")
    return Change(
        section, row_id, "added" if added else "removed", before, after, sentence, of_row(now or was, added=added)
    )


def _values(
    section: str, row_id: str, old: Mapping[str, Any], new: Mapping[str, Any], *, row: Any = None
) -> Iterator[Change]:
    for what in new:
        if old.get(what) != new[what]:
            yield _value(section, row_id, what, old.get(what), new[what], row)


def _value(section: str, row_id: str, what: str, was: Any, now: Any, row: Any) -> Change:
    told = _moved(was, now) if section == "gate" else (was, now)
    before, after = (_shown(one) for one in told)
    title = _title(section, row_id)
    if what in _CONDITIONS and was is not None and now is not None:
        sentence = _word("condition").format(title=title, before=before, after=after)
        return Change(section, row_id, what, before, after, sentence, of_condition(row, was, now))
    sentence = _word(_how(section, *told)).format(title=title, what=_what(section, what), before=before, after=after)
    return Change(section, row_id, what, before, after, ended(sentence), of_value(section, what, was, now))


def _how(section: str, was: Any, now: Any) -> str:
    """Which sentence tells the change: of a list what left and joined, else a value set, taken away or moved."""
    empty = (was in (None, "", (), []), now in (None, "", (), []))
    if section == "gate":
        return {(False, True): "left", (True, False): "joined"}.get(empty, "moved")
    return {(False, True): "unset", (True, False): "set"}.get(empty, "changed")


def _moved(was: Any, now: Any) -> tuple[Any, Any]:
    """Of two lists only what left and what joined."""
    return tuple(one for one in was if one not in now), tuple(one for one in now if one not in was)


def _title(section: str, row_id: str) -> str:
    return f"{_word(f'section_{section}')} {row_id}".strip()


def _what(section: str, what: str) -> str:
    """The words for a key; a policy's field by its own label."""
    label = next((row["label"] for row in rows("protocol_fields") if row["key"] == f"{section}.{what}"), None)
    return label or texts("compare_wording").get(f"what_{what}", what.replace("_", " "))


def _said(row: Any) -> str:
    """What a row says, in one sentence: its words, or its condition, or its value."""
    for key in ("text", "criterion", "wording", "label", "reason"):
        if getattr(row, key, ""):
            told = str(getattr(row, key))
            return told if told.endswith((".", "?", "!")) else f"{told}."
    return _shown(row)


def _shown(value: Any) -> str:
    """A value of a protocol as staff read it."""
    for kind, show in _SHOW.items():
        if isinstance(value, kind):
            return show(value)
    return str(value)


def _text(value: str) -> str:
    """A code without underscores, words in quotation marks."""
    if not value:
        return _word("nothing")
    return f"“{value}”" if " " in value else code_words(value) if value.islower() else value


def _list(value: Sequence[Any]) -> str:
    return ", ".join(_shown(one) for one in value) or _word("nothing")


def _mapping(value: Mapping[str, Any]) -> str:
    if {"all", "any", "not", "input"} & value.keys():
        return to_sentence(value)
    return ", ".join(f"{key.replace('_', ' ')}: {_shown(one)}" for key, one in value.items()) or _word("nothing")


def _need(value: Need) -> str:
    when = "" if value.when is None else f" ({to_sentence(value.when).rstrip('.')})"
    return f"{default_inputs()[value.input].label}{when}"


def _word(key: str) -> str:
    return texts("compare_wording")[key]


_SHOW: Mapping[Any, Callable[[Any], str]] = {
    bool: lambda value: _word("yes" if value else "no"),
    (int, float): lambda value: f"{value:g}",
    str: _text,
    type(None): lambda _value: _word("nothing"),
    (tuple, list): _list,
    Mapping: _mapping,
    Need: _need,
    TopicWhen: lambda value: f"{value.topic} ({to_sentence(value.when).rstrip('.')})",
}
