"""How a band is held for a movement on one body: every hold, what 5 cm do, doubling, and what to ask before its use.

A band is known by its measured stiffness alone. Without a measured band the holds and stretches are still shown.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from haleward.dose.cautions import NOT_GRIPPED
from haleward.errors import OutOfRange
from haleward.movement.band_fit import measure_again_on
from haleward.movement.band_path import BandPath, band_loads, band_path, hold_lengths_m, needed_m
from haleward.movement.bands import LONGEST_STRETCH, easier_cm, folded, force_n, hold_length_m, stretch_force
from haleward.movement.model import KitUse
from haleward.physiology.tables import texts
from haleward.record import Band
from haleward.web.library.chosen import Chosen
from haleward.web.library.loads import Loaded

SHORTER_M = 0.05
CM = 100


@dataclass(frozen=True)
class Hold:
    """One length to hold a band at: how far that stretches it, and with a measured band what it pulls."""

    length_cm: int
    stretch: float
    newtons: float | None = None
    shorter: str = ""
    query: str = ""
    here: bool = False


@dataclass(frozen=True)
class Banded:
    """One band in this movement: its holds, easiest first, and sentences about it."""

    name: str
    holds: tuple[Hold, ...]
    told: tuple[str, ...]


@dataclass(frozen=True)
class BandCard:
    """The band section of a movement's page."""

    where: str
    path: str
    bands: tuple[Banded, ...]
    plain: tuple[Hold, ...]  # the holds when no band is measured
    target: tuple[str, ...] = ()


def band_card(
    chosen: Chosen, bands: tuple[Band, ...], *, loaded: Loaded, target_n: float | None, today: date
) -> BandCard | None:
    """``None`` where the movement has no band whose pull can be worked out. ``shown`` is the band and hold on the page.

    ``target_n`` is a pull wanted at the hardest point, in newtons.
    """
    use, path = chosen.form.kit_use.get("band"), band_path(chosen.form, chosen.subject.body)
    if use is None or path is None:
        return None
    words = texts("library_words")
    ways = words["band_path"].format(start=f"{CM * path.start_m:.0f}", longest=f"{CM * path.longest_m:.0f}")
    return BandCard(
        where=words[f"hold_{use.drawn}"],
        path=ways,
        bands=tuple(_banded(chosen, use, path, band, loaded, today) for band in bands),
        plain=() if bands else tuple(_plain(path, held) for held in hold_lengths_m(path)),
        target=tuple(_target(path, band, target_n) for band in bands) if target_n else (),
    )


def _banded(chosen: Chosen, use: KitUse, path: BandPath, band: Band, loaded: Loaded, today: date) -> Banded:
    fits = [load.hold_length_m for load in band_loads(chosen.form, band, chosen.subject.body) if load.hold_length_m]
    holds = []
    for held in fits:
        query = chosen.query(kit="band", band=band.name, hold=f"{CM * held:.0f}")
        pulls = _pull(path, band.stiffness_n, held)
        shorter = _shorter(path, band, held, pulls)
        holds.append(
            replace(
                _plain(path, held),
                newtons=pulls,
                shorter=shorter,
                query=query,
                here=(loaded.spec.band, loaded.spec.hold_length_m) == (band.name, held),
            )
        )
    told = [*_before_use(use, band), _measured(band, today)]
    told.append(_doubled(path, band, fits[0]) if fits else texts("library_words")["band_none_fits"])
    return Banded(band.name, tuple(holds), tuple(told))


def _plain(path: BandPath, held_m: float) -> Hold:
    return Hold(round(CM * held_m), max(path.longest_m / held_m, 1.0))


def _pull(path: BandPath, stiffness_n: float, held_m: float) -> float:
    return path.together * force_n(stiffness_n=stiffness_n, hold_length_m=held_m, length_m=path.longest_m)


def _shorter(path: BandPath, band: Band, held_m: float, pulls: float) -> str:
    words, shorter_m = texts("library_words"), held_m - SHORTER_M
    if shorter_m <= 0 or path.longest_m > LONGEST_STRETCH * shorter_m:
        return words["band_five_too_far"]
    more = _pull(path, band.stiffness_n, shorter_m)
    return words["band_five"].format(newtons=f"{more:.0f}", more=f"{CM * (more / pulls - 1):.0f}")


def _doubled(path: BandPath, band: Band, easiest_m: float) -> str:
    """Folded in half the strip is half as long and twice as stiff."""
    words = texts("library_words")
    stiffness_n, length_m = folded(stiffness_n=band.stiffness_n, hold_length_m=band.rest_length_m)
    if needed_m(path, easiest_m) > length_m:
        return words["band_doubled_short"]
    return words["band_doubled"].format(newtons=f"{_pull(path, stiffness_n, easiest_m):.0f}")


def _measured(band: Band, today: date) -> str:
    words = texts("library_words")
    if band.measured_on is None:
        return words["band_unmeasured"]
    again = measure_again_on(band.measured_on)
    key = "band_due" if again >= today else "band_overdue"
    return words[key].format(measured=_day(band.measured_on), again=_day(again))


def _before_use(use: KitUse, band: Band) -> list[str]:
    """What stands against the band, or is still to be asked: rubber on the skin, and the ends in the hands."""
    words = texts("library_words")
    found = []
    if band.latex is None and band.latex_ok is not True:
        found.append("band_ask_latex")
    if band.latex is not False:
        found += {None: ["band_ask_skin"], False: ["band_latex_no"], True: []}[band.latex_ok]
    if use.held not in NOT_GRIPPED:
        found += {None: ["band_ask_grip"], False: ["band_grip_no"], True: []}[band.can_grip]
    return [words[key] for key in found]


def _target(path: BandPath, band: Band, target_n: float) -> str:
    words, told = texts("library_words"), {"band": band.name, "newtons": f"{target_n:.0f}"}
    try:
        exact = hold_length_m(stiffness_n=band.stiffness_n, force_n=target_n / path.together, length_m=path.longest_m)
    except OutOfRange:
        most = path.together * band.stiffness_n * stretch_force(LONGEST_STRETCH)
        return words["band_target_too_hard"].format(most=f"{most:.0f}", **told)
    held = easier_cm(exact)
    key = "band_target" if held <= path.start_m else "band_target_slack"
    if needed_m(path, held) > band.rest_length_m:
        key = "band_target_too_short"
    return words[key].format(held=f"{CM * held:.0f}", **told)


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"
