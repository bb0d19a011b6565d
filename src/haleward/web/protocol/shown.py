"""The preview as the page shows it: counts first, then each person with what would change."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from haleward.dose.preview import Difference
from haleward.web.accounts.models import User
from haleward.web.people.models import Person
from haleward.web.protocol.people import Preview, is_stricter

WHAT = {
    "entry_gate": "Gate before a prescription",
    "session_gate": "Gate before a session",
    "risk": "Risk level",
    "range": "Heart-rate range",
    "effort": "Effort",
    "placement": "Posture to start in",
    "dose": "Dose of a first programme",
}


@dataclass(frozen=True)
class PersonLine:
    """One person whom the draft changes."""

    person: Person
    differences: tuple[Difference, ...]
    stricter: bool

    @property
    def first(self) -> str:
        """What changes for them that comes first in the order of the page."""
        changed = {one.what for one in self.differences}
        return next(what for what in WHAT if what in changed)


@dataclass(frozen=True)
class Group:
    """The people for whom one thing changes; each stands under the first thing that changes for them."""

    title: str
    count: int
    lines: tuple[PersonLine, ...]


@dataclass(frozen=True)
class PreviewShown:
    """Counts, then groups."""

    found: Preview
    counts: tuple[tuple[str, int], ...]
    groups: tuple[Group, ...]


def preview_shown(found: Preview, user: User) -> PreviewShown:
    """The preview with people's names, for staff of the same service."""
    people = Person.objects.for_team(user).in_bulk([UUID(one.key) for one in found.people])
    lines = [
        PersonLine(people[UUID(one.key)], one.differences, is_stricter(one.differences))
        for one in found.people
        if UUID(one.key) in people
    ]
    lines.sort(key=lambda line: (line.person.last_name, line.person.first_name))
    counts = tuple((WHAT[what], found.counts[what]) for what in WHAT if found.counts[what])
    groups = (_group(what, title, lines, found) for what, title in WHAT.items())
    return PreviewShown(found, counts, tuple(group for group in groups if group.lines))


def _group(what: str, title: str, lines: list[PersonLine], found: Preview) -> Group:
    return Group(title, found.counts[what], tuple(line for line in lines if line.first == what))
