"""Two versions compared: the sentences by section, and how many go which way."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from haleward.safety.compare import Change, compare
from haleward.web.protocol.versions import Version

TITLES = {
    "protocol": "The protocol itself",
    "rule": "Rules",
    "gate": "What must be known",
    "risk": "Risk level",
    "placement": "Posture to start in",
    "intensity": "Intensity",
    "dose": "Dose",
    "progression": "Progression",
    "check": "The day’s questions",
    "symptom": "Triage of reported symptoms",
    "setting": "Numbers that wording prints",
    "number": "The service’s own numbers",
    "wording": "Wording",
    "accepted": "Findings that are kept",
}
DIRECTIONS = {"stricter": "Stricter", "milder": "Milder", "other": "Neither stricter nor milder"}


@dataclass(frozen=True)
class Compared:
    """The changes from one version to another, by section, with counts in words."""

    sections: tuple[tuple[str, tuple[Change, ...]], ...]
    counts: tuple[tuple[str, int], ...]

    @property
    def count(self) -> int:
        """How many changes there are."""
        return sum(len(changes) for _, changes in self.sections)


def compared(old: Version, new: Version) -> Compared:
    """What differs. Raises :class:`FileFault` when one of them cannot be read."""
    changes = compare(old.protocol, new.protocol)
    number = Counter(change.direction for change in changes)
    sections = (
        (TITLES.get(key, key), tuple(change for change in changes if change.section == key))
        for key in dict.fromkeys([*TITLES, *(change.section for change in changes)])
    )
    return Compared(
        tuple((title, found) for title, found in sections if found),
        tuple((words, number[key]) for key, words in DIRECTIONS.items() if number[key]),  # type: ignore[index]
    )
