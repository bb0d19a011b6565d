"""Why a movement is left out: reasons are collected while its forms are tried, and the most useful one is given."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from haleward.dose.rules import Ruling
from haleward.dose.words import listed, title_of, words
from haleward.movement.ladder import may_use
from haleward.movement.model import Form, Movement
from haleward.record import Kit, Posture, Restriction

# What a lead should hear first: who forbade it, then what the rules say, then what could be mended at home.
ORDER = ("restriction", "rule", "load", "need", "room", "kit", "equipment", "posture")
KIT_FIELDS = {
    "hand_weight": "hand_weight_pairs_kg",
    "bottle": "bottle_pairs_kg",
    "band": "bands",
    "ankle_weight": "ankle_weight_pairs_kg",
}


@dataclass(frozen=True)
class Refusal:
    """One reason against one form of a movement."""

    kind: str
    reason: str
    rule_id: str = ""


def most_useful(refusals: list[Refusal]) -> tuple[str, str]:
    """The reasons of the first kind in ``ORDER``, each once, and the first rule id among them."""
    kind = min((refusal.kind for refusal in refusals), key=ORDER.index)
    chosen = [refusal for refusal in refusals if refusal.kind == kind]
    reason = " ".join(dict.fromkeys(refusal.reason for refusal in chosen))
    return reason, next((refusal.rule_id for refusal in chosen if refusal.rule_id), "")


def cited(restriction: Restriction, today: date) -> str:
    """A restriction as its author wrote it, with author and dates; one past its review says that it still applies."""
    key = "restriction_cited_overdue" if restriction.review_on < today else "restriction_cited"
    return words(
        key,
        restriction=restriction.shown,
        author=restriction.author,
        start_date=restriction.start_on,
        review_date=restriction.review_on,
    )


def by_restriction(movement: Movement, restriction: Restriction, caution: str, today: date) -> Refusal:
    """The movement falls to a restriction."""
    values = {"movement_title": title_of(movement), "cited": cited(restriction, today)}
    key = "left_restriction_caution" if caution else "left_restriction"
    text = words(key, caution=caution, **values) if caution else words(key, **values)
    return Refusal("restriction", text, f"restriction.{restriction.kind}")


def by_ruling(movement: Movement, ruling: Ruling) -> Refusal:
    """A rule of the protocol refuses the movement, or cannot be judged yet."""
    values = {"movement_title": title_of(movement), "rule_text": ruling.text, "rule_id": ruling.rule_id}
    if ruling.state == "unknown":
        return Refusal(
            "rule", words("left_rule_unknown", missing_list=listed(ruling.missing), **values), ruling.rule_id
        )
    return Refusal("rule", words("left_rule", **values), ruling.rule_id)


def by_posture(movement: Movement, placed: Posture) -> Refusal:
    """No form is as easy as the placement asks."""
    text = words("left_posture", movement_title=title_of(movement), posture=words(f"posture_{placed}"))
    return Refusal("posture", text, "placement")


def by_home(movement: Movement, form: Form, kit: Kit) -> Refusal | None:
    """Something the form needs is not at home, or was not asked about; ``None`` when all is there."""
    if form.equipment:
        text = words("left_equipment", movement_title=title_of(movement), equipment=form.equipment.replace("_", " "))
        return Refusal("equipment", text)
    for need in form.needs:
        value = getattr(kit, need)
        if not value:
            return _not_at_home(movement, "need", need, asked=value is not None)
    return None


def by_kit(movement: Movement, form: Form, kit: Kit) -> Refusal:
    """No kit for this form is at home; kit that was not asked about is asked for first."""
    kinds = [kind for kind in form.kits if kind != "own_weight"]
    unknown = [kind for kind in kinds if getattr(kit, KIT_FIELDS[kind]) is None]
    if unknown:
        return _not_at_home(movement, "kit", unknown[0], asked=False)
    if "band" in kinds and kit.bands:
        missing = [need for need in form.kit_use["band"].needs if not getattr(kit, need)]
        if missing:
            return _not_at_home(movement, "kit", missing[0], asked=getattr(kit, missing[0]) is not None)
        if not any(may_use(band, held=form.kit_use["band"].held) for band in kit.bands):
            return Refusal("kit", words("left_band_skin_grip", movement_title=title_of(movement)))
        return Refusal("kit", words("left_band_path", movement_title=title_of(movement)))
    return _not_at_home(movement, "kit", kinds[0], asked=True)


def _not_at_home(movement: Movement, kind: str, thing: str, *, asked: bool) -> Refusal:
    key = f"left_{kind}" if asked else f"left_{kind}_ask"
    return Refusal(kind, words(key, movement_title=title_of(movement), kit_name=words(f"kit_{thing}")))
