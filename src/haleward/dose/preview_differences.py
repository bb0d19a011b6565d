"""Two views of one person under two protocols -> what differs, in one sentence each."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TypeVar

from haleward.dose.preview_model import (
    WHATS,
    Difference,
    DoseView,
    EffortView,
    Failed,
    GateView,
    PlacementView,
    RangeView,
    RiskView,
    View,
    What,
)
from haleward.dose.words import listed
from haleward.physiology.tables import texts
from haleward.safety.words import labels
from haleward.safety.words import words as safety_words

T = TypeVar("T")


def differences(old: Mapping[What, View], new: Mapping[What, View]) -> tuple[Difference, ...]:
    """What differs between two sets of views of one person, in the order of the page."""
    return tuple(
        difference(what, old[what], new[what])
        for what in WHATS
        if what in old and what in new and differs(old[what], new[what])
    )


def differs(old: View, new: View) -> bool:
    """Whether two views say different things to staff: items behind the same risk level or posture do not count."""
    if isinstance(old, RiskView) and isinstance(new, RiskView):
        return old.level != new.level
    if isinstance(old, PlacementView) and isinstance(new, PlacementView):
        return _placed(old) != _placed(new)
    return old != new


def difference(what: What, old: View, new: View) -> Difference:
    """One difference in words."""
    words = texts("preview_wording")
    if isinstance(old, DoseView) and isinstance(new, DoseView):
        old, new = DoseView(_less(old.lines, new.lines)), DoseView(_less(new.lines, old.lines))
    before, after = _short(old), _short(new)
    why, rule_ids = _reasons(old, new)
    key = ("stays_why" if before == after else "becomes_why") if why else "becomes"
    sentence = words[key].format(what=words[f"what_{what}"], before=before, after=after, why="; ".join(why))
    return Difference(what, before, after, sentence, rule_ids)


def _short(view: View) -> str:
    words = texts("preview_wording")
    if isinstance(view, Failed):
        return words["failed"].format(reason=view.reason.rstrip("."))
    if isinstance(view, GateView):
        return words[f"outcome_{view.outcome}"]
    if isinstance(view, RiskView):
        return view.level
    if isinstance(view, RangeView):
        return _range(view)
    if isinstance(view, EffortView):
        return words["effort_range"].format(low=f"{view.low:g}", high=f"{view.high:g}", scale=view.scale)
    return _placed(view) if isinstance(view, PlacementView) else _lines(view.lines)


def _reasons(old: View, new: View) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Why, in clauses, and the ids of the rules and items that only one of the two has."""
    if isinstance(old, GateView) and isinstance(new, GateView):
        return _gate_reasons(old, new), _only_one(old.fired, new.fired)
    if isinstance(old, RiskView) and isinstance(new, RiskView):
        return (), _only_one(old.items, new.items)
    if isinstance(old, PlacementView) and isinstance(new, PlacementView):
        return (), _only_one(old.rule_ids, new.rule_ids)
    return (), ()


def _gate_reasons(old: GateView, new: GateView) -> tuple[str, ...]:
    words = texts("preview_wording")
    changes = (
        ("fires", "rules", _rules(_less(new.fired, old.fired))),
        ("fires_no_more", "rules", _rules(_less(old.fired, new.fired))),
        ("asked", "labels", labels(_less(new.asked, old.asked))),
        ("asked_no_more", "labels", labels(_less(old.asked, new.asked))),
    )
    found = [words[key].format(**{name: text}) for key, name, text in changes if text]
    if old.urgency != new.urgency:
        before, after = words[f"urgency_{old.urgency}"], words[f"urgency_{new.urgency}"]
        found.append(words["sooner"].format(before=before, after=after))
    return tuple(found)


def _rules(ids: tuple[str, ...]) -> str:
    if not ids:
        return ""
    return texts("preview_wording")["rule_one" if len(ids) == 1 else "rule_many"].format(rules=listed(ids))


def _range(view: RangeView) -> str:
    words = texts("preview_wording")
    if view.low_bpm is not None and view.high_bpm is not None:
        return words["range_bpm"].format(low=view.low_bpm, high=view.high_bpm)
    if view.conflict:
        return words["range_conflict"].format(reason=view.conflict.rstrip("."))
    return words["range_none"].format(reason=view.not_usable.rstrip("."))


def _placed(view: PlacementView) -> str:
    words = texts("preview_wording")
    posture, narrow = safety_words(f"posture_{view.posture}"), safety_words(f"posture_{view.narrow}")
    key = "placed" if view.posture == view.narrow else "placed_narrow"
    placed = words[key].format(posture=posture, narrow=narrow)
    return words["placed_balance"].format(placed=placed) if view.balance_emphasis else placed


def _lines(lines: Iterable[tuple[str, str]]) -> str:
    words = texts("preview_wording")
    told = [words["dose_part"].format(part=words[f"part_{part}"], line=line) for part, line in lines]
    return "; ".join(told) or words["dose_same"]


def _less(some: tuple[T, ...], others: tuple[T, ...]) -> tuple[T, ...]:
    return tuple(one for one in some if one not in others)


def _only_one(old: tuple[str, ...], new: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(sorted({*old} ^ {*new}))
