"""Prints of single movements: station cards that are read from two metres, and a home sheet of one page.

Both begin with the emergency line and print the service's own numbers: a number that is missing stops the print.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import typst

from haleward.errors import HalewardError
from haleward.movement.library import Library
from haleward.movement.loads import KitKind
from haleward.movement.model import Form
from haleward.record import Posture
from haleward.render.figure import still
from haleward.render.page_bundle import FONTS
from haleward.wording import Wording

CARDS_MOST = 20  # a circuit has no more stations
CARD_PICTURE, SHEET_PICTURE = (460, 480), (420, 440)
_FOLDER = Path(__file__).parent
_HEADS = {
    "dose": "print_dose_heading",
    "easier": "easier_heading",
    "harder": "harder_heading",
    "easier_short": "print_easier",
    "harder_short": "print_harder",
    "kit": "print_kit",
    "how": "print_how",
    "setup": "setup_heading",
    "breathe": "breathe_heading",
    "faults": "faults_heading",
    "stop": "stop_heading",
    "for": "print_for",
    "same": "print_same_heading",
}


@dataclass(frozen=True)
class PrintedMovement:
    """What is printed: a movement in a posture with one kit, drawn for one body.

    Size unknown draws the 1.70 m, 70 kg figure. ``side`` matters only where a movement has sides. ``same`` are lines on
    the home sheet about other kit of this person that loads as much as ``like``.
    """

    movement_id: str
    posture: Posture
    kit: KitKind
    look: str = ""
    stature_m: float | None = None
    mass_kg: float | None = None
    side: str = ""
    like: str = ""
    same: tuple[str, ...] = ()


@dataclass(frozen=True)
class PrintedFor:
    """What the prints of a service have in common. ``values`` fill the wording: the service's numbers first of all."""

    service_name: str
    library: Library
    wording: Wording
    values: Mapping[str, str]
    today: date
    first_name: str = ""


def station_cards_pdf(cards: Sequence[PrintedMovement], printed_for: PrintedFor) -> bytes:
    """One card a page, A4 landscape, as PDF/UA-1.

    Raises :class:`haleward.errors.HalewardError` if no card or too many are asked for, or a needed number is missing.
    """
    if not 1 <= len(cards) <= CARDS_MOST:
        raise HalewardError(f"{len(cards)} movements were chosen; station cards are printed for 1 to {CARDS_MOST}.")
    data = {
        **_common(printed_for),
        "title": "Station cards" if len(cards) > 1 else _words(cards[0], printed_for).title,
        "cards": [_movement(card, printed_for, CARD_PICTURE) for card in cards],
    }
    return _typeset("station_card.typ", data)


def home_sheet_pdf(movement: PrintedMovement, printed_for: PrintedFor) -> bytes:
    """One movement for home on A4, as PDF/UA-1; raises :class:`HalewardError` if a needed number is missing."""
    wording, values = printed_for.wording, printed_for.values
    one = _movement(movement, printed_for, SHEET_PICTURE)
    form = printed_for.library.form(movement.movement_id, movement.posture)
    data = {
        **_common(printed_for),
        **one,
        "first_name": printed_for.first_name,
        "ring": wording.text("print_ring", values),
        "caution": wording.text("print_caution", values),
        "same": list(movement.same),
        "same_like": wording.text("print_same_like", {**values, "load": movement.like}) if movement.same else "",
        "arrow_line": "" if form.hold else wording.text("arrow_line", values),
    }
    return _typeset("home_sheet.typ", data)


def _common(printed_for: PrintedFor) -> dict[str, Any]:
    wording, values = printed_for.wording, printed_for.values
    stop = wording.safety("stop if", values=values)
    return {
        "service": printed_for.service_name,
        "emergency": wording.text("banner_lead", values),
        "stop_first": stop[0].text,
        "stop_all": [line.text for line in stop[1:] if line.level == "emergency"],
        "heads": {name: wording.text(key, values) for name, key in _HEADS.items()},
    }


def _movement(printed: PrintedMovement, printed_for: PrintedFor, size: tuple[int, int]) -> dict[str, Any]:
    wording, values = printed_for.wording, printed_for.values
    words = _words(printed, printed_for)
    movement = printed_for.library.movement(printed.movement_id)
    form = printed_for.library.form(printed.movement_id, printed.posture)
    notes = [("print_each_side", form.each_side), ("print_hold", form.hold)]
    foot = {
        "title": words.title,
        "movement_version": str(movement.version),
        "printed_on": f"{printed_for.today.day} {printed_for.today:%B %Y}",
    }
    return {
        "title": words.title,
        "purpose": words.purpose_one_line,
        "cues": [f"{cue}." for cue in (words.move_out, words.move_back) if cue],
        "setup": list(words.setup),
        "kit": words.kit_line(printed.kit),
        "band": words.band_setup if printed.kit == "band" else "",
        "breathing": words.breathing,
        "easier": words.make_it_easier,
        "harder": words.make_it_harder,
        "faults": list(words.faults),
        "stop_if": words.stop_if,
        "notes": [wording.text(key, values) for key, wanted in notes if wanted],
        "blanks": [wording.text(key, values) for key in _blanks(form, printed.kit)],
        "version": wording.text("print_version", {**values, **foot}),
        "pictures": [
            _picture(printed, printed_for, "start", words.alt_text_start, size),
            _picture(printed, printed_for, "end", words.alt_text_end, size),
        ],
    }


def _blanks(form: Form, kit: KitKind) -> Iterator[str]:
    """What is left to be written in by hand: a hold is dosed in seconds, and own weight needs no weight."""
    yield "print_sets"
    yield "print_seconds" if form.hold else "print_count"
    if kit != "own_weight":
        yield "print_load"
    yield "print_rest"


def _words(printed: PrintedMovement, printed_for: PrintedFor) -> Any:
    return printed_for.wording.movement(printed.movement_id, printed.posture)


def _picture(
    printed: PrintedMovement, printed_for: PrintedFor, pose: str, alternative: str, size: tuple[int, int]
) -> dict[str, str]:
    svg = still(
        printed.movement_id,
        printed.posture,
        kit=printed.kit,
        pose="start" if pose == "start" else "end",
        stature_m=printed.stature_m,
        mass_kg=printed.mass_kg,
        look=printed.look,
        size=size,
        side=printed.side,
        title=alternative,
        library=printed_for.library,
    )
    caption = printed_for.wording.text(f"picture_{pose}", printed_for.values)
    return {"svg": svg, "alt": alternative, "caption": caption}


def _typeset(template: str, data: Mapping[str, Any]) -> bytes:
    pdf = typst.compile(
        str(_FOLDER / template),
        root=str(_FOLDER),
        font_paths=[str(FONTS)],
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
        pdf_standards="ua-1",
    )
    if not isinstance(pdf, bytes):
        raise TypeError("The typesetter gave several files for one print.")
    return pdf
