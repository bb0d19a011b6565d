"""What a movement's page shows, made ready for the template."""

from __future__ import annotations

from dataclasses import dataclass

from haleward.dose.cautions import allowance
from haleward.dose.loads import load_text
from haleward.movement.ladder_steps import ladder_rules
from haleward.movement.loads import KitKind
from haleward.movement.model import Form, LadderStep, Movement
from haleward.physiology.tables import texts
from haleward.web.library.catalogue import left_words
from haleward.web.library.chosen import Chosen
from haleward.web.library.subject import Subject

SHOWN_LOADS_MOST = 8


@dataclass(frozen=True)
class Link:
    """One choice as a link: where it leads, its words, and whether it is the one shown."""

    query: str
    words: str
    here: bool


@dataclass(frozen=True)
class CautionRow:
    """What one condition means for a movement, in words, with its source."""

    condition: str
    state: str
    shape: str
    words: str
    source: str


@dataclass(frozen=True)
class Rung:
    """One rung of the ladder: posture and kit, the rule for coming here, and what the person may use of their own."""

    words: str
    rule: str
    query: str
    here: bool
    owned: str


def choices(chosen: Chosen) -> dict[str, list[Link]]:
    """Links to the other postures, kits and sides."""
    words, form = texts("library_words"), chosen.form
    postures = [
        Link(chosen.query(posture=one), words[f"posture_{one}"], one == chosen.posture)
        for one in chosen.movement.postures
    ]
    kits = [Link(chosen.query(kit=one), words[f"kit_{one}"], one == chosen.kit) for one in form.kits]
    sides = [Link(chosen.query(side=one), f"{one} side".capitalize(), one == chosen.side) for one in ("left", "right")]
    return {"postures": postures, "kits": kits, "sides": sides if form.each_side else []}


def needs(form: Form, kit: KitKind) -> str:
    """What must be there besides the kit itself, in words."""
    words = texts("library_words")
    named = [words[f"need_{need}"] for need in (*form.needs, *form.kit_use[kit].needs)]
    named += [form.equipment.replace("_", " ")] if form.equipment else []
    return ", ".join(dict.fromkeys(named)) or "nothing"


def caution_rows(movement: Movement, *, light_kg: float) -> list[CautionRow]:
    """Each condition with what it leaves of the movement; the library's own text stays as it is written."""
    words = texts("library_words")
    rows = []
    for kind, text in movement.cautions.items():
        state, shape, told = _caution(kind, text, light_kg)
        rows.append(CautionRow(words[f"caution_{kind}"], state, shape, told, movement.caution_sources[kind]))
    return rows


def _caution(kind: str, text: str, light_kg: float) -> tuple[str, str, str]:
    plain = text.replace("_", " ")
    if kind == "other":
        return "", "", plain
    left = allowance(text, light_load_most_kg=light_kg)
    if not left.allowed:
        return ("Not with this" if "avoid" in text else "Not yet"), "not_today", plain
    told = left_words(left)
    return ("With a change", "check_first", told) if told else ("All right", "go_ahead", "")


def ladder(chosen: Chosen) -> list[Rung]:
    """The rungs, easiest first. What the rules leave of a person's own loads stands on its rung."""
    words = texts("library_words")
    return [
        Rung(
            words=f"{words[f'posture_{step.posture}']}: {', '.join(words[f'kit_{kit}'].lower() for kit in step.kits)}",
            rule=ladder_rules()[step.rule],
            query=chosen.query(posture=step.posture, kit=step.kits[0]),
            here=step.posture == chosen.posture and chosen.kit in step.kits,
            owned=_own_loads(chosen.subject, step),
        )
        for step in chosen.movement.ladder
    ]


def _own_loads(subject: Subject, step: LadderStep) -> str:
    loads = [load for kit in step.kits for load in subject.loads(step.posture, kit)][:SHOWN_LOADS_MOST]
    return ", ".join(dict.fromkeys(map(load_text, loads)))
