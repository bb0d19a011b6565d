"""One short session and its film, made once for all tests that look into a film."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from haleward.dose.model import Load, Programme
from haleward.movement.library import default_library
from haleward.render.film import FilmFiles, make_film
from haleward.safety.protocol import default_protocol
from haleward.session.compile import compile_session
from haleward.session.cue_sheet import CueSheet
from haleward.session.options import SessionOptions
from haleward.wording import default_wording
from tests.session.people import PLAIN
from tests.session.samples import SERVICE, TODAY, exercise, programme, unframed

EMERGENCY = "Call 999 now if you have chest pain."
TOLD: dict[str, Any] = {
    "protocol": unframed(default_protocol()),
    "library": default_library(),
    "wording": default_wording(),
}
PLAN: Programme = programme(
    exercise(sets=2, repetitions=3, rest_s=20, out_s=1.0, back_s=1.2, load=Load("bottle", mass_kg=1.0)),
    exercise(
        "single_leg_stance", "hand_supported", each_side=True, region="balance", sets=1, repetitions=1, hold_s=4.0
    ),
)


def sheet_of(plan: Programme) -> CueSheet:
    """The cue sheet of a plan's first part, told in few words."""
    few = SessionOptions(talk="few")
    return compile_session(plan, "one", PLAIN, service=SERVICE, made_on=TODAY, options=few, **TOLD)


SHEET: CueSheet = sheet_of(PLAN)


@dataclass(frozen=True)
class Filmed:
    """A film, what was told while it was made, and the folders in which sentences and clips were kept."""

    files: FilmFiles
    phrases: Path
    clips: Path
    told: list[tuple[float, str]]


def film(out: Path, **more: Any) -> FilmFiles:
    """The small film of :data:`SHEET`, unless said otherwise."""
    usual = {"sheet": SHEET, "size": "small"} | more
    sheet: CueSheet = usual.pop("sheet")
    return make_film(
        sheet, record=PLAIN, emergency=EMERGENCY, start_title="Welcome", end_title="The end", out=out, **usual
    )


def film_once(folder: Path) -> Filmed:
    """The film in a folder of its own."""
    told: list[tuple[float, str]] = []
    kept = {"phrases": folder / "said", "clips": folder / "clips"}
    files = film(folder / "ada.mp4", progress=lambda *state: told.append(state), **kept)
    return Filmed(files, kept["phrases"], kept["clips"], told)
