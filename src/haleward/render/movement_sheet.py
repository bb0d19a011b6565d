"""The contact sheet: every movement in every posture, start and turning point, for a clinician's eye."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from html import escape
from pathlib import Path

import typst

from haleward.movement.library import Library
from haleward.movement.loads import KitKind
from haleward.movement.model import Form, Movement
from haleward.record import Posture
from haleward.render.figure import Looks, still
from haleward.render.looks import LOOKS
from haleward.render.page_bundle import FONTS
from haleward.wording import Wording

PICTURE_SIZE = (240, 250)
KIT_WORDS: dict[KitKind, str] = {
    "own_weight": "own weight",
    "hand_weight": "hand weight",
    "bottle": "bottle",
    "band": "band",
    "ankle_weight": "ankle weight",
}
_TEMPLATE = Path(__file__).parent / "movement_sheet.typ"
_STYLE = Path(__file__).parent / "movement_sheet.css"
Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class SheetEntry:
    """One movement in one posture: two pictures with their text alternatives, and what is said beside them."""

    title: str
    movement_id: str
    posture: str
    kit: str
    hold: bool
    pictures: tuple[str, str]
    alternatives: tuple[str, str]
    reviewed: str


def sheet_entries(library: Library, wording: Wording, *, progress: Progress | None = None) -> list[SheetEntry]:
    """Draw every movement and posture. The looks take turns, so that all of them are seen.

    ``progress`` is told after each how many of how many are drawn.
    """
    forms = [(each, posture) for each in library.movements.values() for posture in each.postures]
    entries = []
    for number, (movement, posture) in enumerate(forms):
        entries.append(_entry(library, wording, movement, posture, _look(number)))
        if progress is not None:
            progress(number + 1, len(forms))
    return entries


def _look(number: int) -> str:
    plain = [key for key in Looks if not LOOKS[key].on_choice]
    return plain[number % len(plain)]


def _entry(library: Library, wording: Wording, movement: Movement, posture: Posture, look: str) -> SheetEntry:
    form = movement.postures[posture]
    words = wording.movement(movement.id, posture)
    shown = _kit_to_show(form)
    start, end = (
        still(
            *(movement.id, posture),
            kit=shown,
            pose="start" if pose == "start" else "end",
            stature_m=None,
            mass_kg=None,
            look=look,
            size=PICTURE_SIZE,
            side=form.cycles[0].side,
            title=alternative,
            library=library,
        )
        for pose, alternative in (("start", words.alt_text_start), ("end", words.alt_text_end))
    )
    return SheetEntry(
        title=words.title,
        movement_id=movement.id,
        posture=posture.replace("_", " "),
        kit=_kit_words(form, shown),
        hold=form.hold,
        pictures=(start, end),
        alternatives=(words.alt_text_start, words.alt_text_end),
        reviewed=f"Reviewed by {movement.reviewed_by}" if movement.reviewed_by else "Reviewed by nobody yet",
    )


def _kit_to_show(form: Form) -> KitKind:
    """The first kit that shows something; own weight where there is no other."""
    return next((kit for kit in form.kits if kit != "own_weight"), form.kits[0])


def _kit_words(form: Form, shown: KitKind) -> str:
    others = [KIT_WORDS[kit] for kit in form.kits if kit != shown]
    return KIT_WORDS[shown] + (f" (also {', '.join(others)})" if others else "")


def sheet_html(entries: Sequence[SheetEntry]) -> str:
    """The sheet as one page that needs nothing else."""
    cards = "".join(_card(entry) for entry in entries)
    return (
        '<!doctype html><html lang="en-GB"><head><meta charset="utf-8"><title>Movements: contact sheet</title>'
        f"<style>{_STYLE.read_text(encoding='utf-8')}</style></head><body><h1>Movements: contact sheet</h1>"
        f"<p>{escape(_intro(entries))}</p><main>{cards}</main></body></html>\n"
    )


def _card(entry: SheetEntry) -> str:
    return (
        f"<section><h2>{escape(entry.title)}</h2><p>{escape(entry.movement_id)}, <strong>{escape(entry.posture)}"
        f"</strong></p><div>{''.join(entry.pictures)}</div><p>{escape(entry.kit)}</p>"
        f"<p>{escape(entry.reviewed)}</p></section>"
    )


def _intro(entries: Sequence[SheetEntry]) -> str:
    movements = len({entry.movement_id for entry in entries})
    drawn = "1 movement" if movements == 1 else f"{movements} movements"
    cards = "1 posture" if len(entries) == 1 else f"{len(entries)} movements and postures in all"
    return f"{drawn}, {cards}: start on the left, turning point on the right."


def sheet_pdf(entries: Sequence[SheetEntry]) -> bytes:
    """The sheet as tagged PDF (PDF/UA-1) on A4."""
    data = {"title": "Movements: contact sheet", "intro": _intro(entries), "entries": [asdict(e) for e in entries]}
    pdf = typst.compile(
        str(_TEMPLATE),
        root=str(_TEMPLATE.parent),
        font_paths=[str(FONTS)],
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
        pdf_standards="ua-1",
    )
    if not isinstance(pdf, bytes):
        raise TypeError("The typesetter gave several files for one sheet.")
    return pdf
