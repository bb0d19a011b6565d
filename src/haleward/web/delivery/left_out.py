"""A session without the movements that a restriction blocks: the stricter wins until somebody has resolved it."""

from __future__ import annotations

from dataclasses import replace

from django.utils import timezone

from haleward.dose.model import Programme
from haleward.dose.week_plan import Planned
from haleward.errors import HalewardError
from haleward.web.prescription.blocked import blocked_in, blocked_places
from haleward.web.prescription.ground import ground_of
from haleward.web.prescription.models import ProgrammeVersion
from haleward.web.prescription.signing import programme_of


def open_places(row: ProgrammeVersion, part_key: str, planned: Planned | None = None) -> tuple[int, ...]:
    """The places of a part that its session has; () for a walk, and where a restriction leaves nothing."""
    part = next((part for part in programme_of(row).parts if part.key == part_key), None)
    if part is None:
        return ()
    short = planned is not None and planned.short
    wanted = planned.exercises if planned is not None and short else tuple(range(len(part.exercises)))
    shut = blocked_places(row, part_key, ground_of(row.person, timezone.localdate()))
    return tuple(place for place in wanted if place not in shut)


def playable(row: ProgrammeVersion, part_key: str, planned: Planned | None = None) -> tuple[int, ...]:
    """The same. Raises when a restriction leaves none of a part."""
    places = open_places(row, part_key, planned)
    if not places and part_key in {part.key for part in programme_of(row).parts}:
        raise HalewardError("A restriction leaves no movement of this part. Ask your exercise lead.")
    return places


def with_places(programme: Programme, part_key: str, places: tuple[int, ...]) -> Programme:
    """The programme with no more than these places of a part; the same one where nothing is left out."""
    part = next((part for part in programme.parts if part.key == part_key), None)
    if part is None or not places or len(places) == len(part.exercises):
        return programme
    fewer = replace(part, exercises=tuple(part.exercises[place] for place in places))
    return replace(programme, parts=tuple(fewer if other is part else other for other in programme.parts))


def open_programme(row: ProgrammeVersion) -> tuple[Programme, tuple[str, ...]]:
    """The signed programme as its sessions are now, and the titles of what is left out.

    A part of which nothing is left stays whole here; its session says that there is nothing to do.
    """
    shut = blocked_in(row, ground_of(row.person, timezone.localdate()))
    programme = whole = programme_of(row)
    for part in whole.parts:
        left = {one.index for one in shut if one.part_key == part.key}
        places = tuple(place for place in range(len(part.exercises)) if place not in left)
        programme = with_places(programme, part.key, places)
    return programme, tuple(dict.fromkeys(one.title for one in shut))
