"""Two hands on one plan: a restriction that somebody wrote, and a movement that somebody chose.

The stricter wins, whoever wrote last. Both are shown with name and date until the movement goes or the restriction is
released with a reason.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from django.utils import timezone

from haleward.dose.cautions import under_restriction
from haleward.dose.loads import as_mass_kg
from haleward.dose.model import Exercise
from haleward.web.assessment.forms import ReleaseForm
from haleward.web.assessment.readable import RestrictionLine, restriction_lines
from haleward.web.assessment.titles import movement_title
from haleward.web.prescription.ground import Ground
from haleward.web.prescription.models import ProgrammeVersion
from haleward.web.prescription.signing import programme_of


@dataclass(frozen=True)
class Blocked:
    """One movement of a plan, the restriction that forbids it, and since when and by whom it is in the plan."""

    part_key: str
    index: int
    title: str
    note: RestrictionLine
    chosen_in: ProgrammeVersion
    form: ReleaseForm

    @property
    def chosen_by(self) -> str:
        """Who signed the first plan with it; for a draft, who began it."""
        return str(self.chosen_in.signed_by or self.chosen_in.made_by)

    @property
    def chosen_on(self) -> date:
        """When."""
        return timezone.localdate(self.chosen_in.signed_at or self.chosen_in.made_at)


def blocked_in(row: ProgrammeVersion, ground: Ground | None) -> tuple[Blocked, ...]:
    """The movements of a plan that a restriction in force forbids, in the order of the plan."""
    if ground is None:
        return ()
    return tuple(_blocked(row, ground))


def blocked_places(row: ProgrammeVersion, part_key: str, ground: Ground | None) -> frozenset[int]:
    """The places in a part that are left out of its sessions until somebody has resolved it."""
    return frozenset(one.index for one in blocked_in(row, ground) if one.part_key == part_key)


def _blocked(row: ProgrammeVersion, ground: Ground) -> Iterator[Blocked]:
    notes = [one for one in restriction_lines(ground.record, ground.today) if one.restriction.start_on <= ground.today]
    for part in programme_of(row).parts:
        for index, exercise in enumerate(part.exercises):
            for note in notes:
                if _forbids(note, exercise, ground):
                    title = movement_title(exercise.movement_id, exercise.posture)
                    chosen_in, form = _first_with(exercise.movement_id, row), ReleaseForm(auto_id=False)
                    yield Blocked(part.key, index, title, note, chosen_in, form)


def _forbids(note: RestrictionLine, exercise: Exercise, ground: Ground) -> bool:
    movement = ground.library.movements.get(exercise.movement_id)
    form = movement.postures.get(exercise.posture) if movement else None
    if movement is None or form is None:
        return False
    most = ground.protocol.policies.dose.light_load_most_kg
    left = under_restriction(movement, form, note.restriction, light_load_most_kg=most)
    load, fits = exercise.dose.load, exercise.posture in left.postures and exercise.dose.load.kit in left.kits
    return not (left.allowed and fits) or left.forbids(form, load.kit, as_mass_kg(load))


def _first_with(movement_id: str, row: ProgrammeVersion) -> ProgrammeVersion:
    """The first of the versions up to this one that have the movement without a break."""
    found = row
    earlier = row.person.programmes.filter(version__lt=row.version, signed_at__isnull=False)
    for version in earlier.select_related("signed_by", "made_by"):
        if movement_id not in programme_of(version).movement_ids:
            break
        found = version
    return found
