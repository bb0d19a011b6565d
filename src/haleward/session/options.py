"""How one person's sessions are told: pace, talk, counting and for whom. The language goes by the person's details."""

from __future__ import annotations

import csv
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any, Literal

from haleward.dose.model import Dose
from haleward.plain import from_plain, to_plain
from haleward.wording import WORDING_FOLDER

Pace = Literal["slower", "usual"]
Talk = Literal["few", "usual", "more"]
Listener = Literal["self", "carer"]

_TABLE = WORDING_FOLDER.parent / "tables" / "session_telling.csv"


@dataclass(frozen=True)
class SessionOptions:
    """What may differ in the telling, never in the dose: movements, sets, repetitions, loads and limits stay as signed.

    ``pace`` slows the movement, and only slows it. ``talk`` says how much is said besides what safety needs.
    ``listener`` words the session for the person or for a carer beside them. ``harder_agreed`` names the movements (by
    id) whose harder version the lead has agreed with this person; only these are offered harder.
    """

    pace: Pace = "usual"
    talk: Talk = "usual"
    count_aloud: bool = True
    listener: Listener = "self"
    low_vision: bool = False
    harder_agreed: tuple[str, ...] = ()

    def plain(self) -> dict[str, Any]:
        """The options as they are stored."""
        return dict(to_plain(self))

    @classmethod
    def from_plain(cls, data: object) -> SessionOptions:
        """What :meth:`plain` wrote. Raises :class:`haleward.errors.Inconsistent` naming each fault.

        Options that were stored with a language, when they had one, open without it.
        """
        now = {name: value for name, value in data.items() if name != "language"} if isinstance(data, dict) else data
        return from_plain(cls, now)

    def at_pace(self, dose: Dose) -> Dose:
        """The dose at the pace chosen: "slower" lengthens every move and pause, in whole milliseconds."""
        if self.pace == "usual":
            return dose
        factor = telling("slower_factor")
        out_s, pause_s, back_s = (round(each * factor, 3) for each in (dose.out_s, dose.pause_s, dose.back_s))
        return replace(dose, out_s=out_s, pause_s=pause_s, back_s=back_s)


USUAL = SessionOptions()


def telling(name: str) -> float:
    """One setting of data/tables/session_telling.csv."""
    return _settings(_TABLE)[name]


@cache
def _settings(path: Path) -> dict[str, float]:
    with path.open(encoding="utf-8", newline="") as file:
        return {row["name"]: float(row["value"]) for row in csv.DictReader(file)}
