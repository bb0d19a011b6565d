"""What every decision about one person stands on today: record, protocol, library, and what follows from them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cached_property

from haleward.dose.model import Prescription, Programme
from haleward.dose.options import Options, options_for
from haleward.dose.prescription import prescribe
from haleward.dose.programme import check_programme
from haleward.errors import HalewardError
from haleward.movement.library import Library
from haleward.record import Record
from haleward.safety.protocol import Protocol
from haleward.web.assessment.mapping import record_of
from haleward.web.assessment.models import Assessment, finished_of
from haleward.web.people.models import Person
from haleward.web.team import protocol as in_force


@dataclass(frozen=True)
class Ground:
    """The latest finished assessment, read under the protocol in force today."""

    assessment: Assessment
    record: Record
    protocol: Protocol
    library: Library
    today: date

    @cached_property
    def prescription(self) -> Prescription:
        """Everything computed for today, by the entry rules."""
        return prescribe(self.record, protocol=self.protocol, library=self.library, today=self.today)

    @cached_property
    def options(self) -> Options:
        """The movements this person can use today, and why not the others."""
        return options_for(self.record, self.prescription, protocol=self.protocol, library=self.library)

    def faults(self, programme: Programme) -> tuple[str, ...]:
        """What stands against signing this programme today."""
        return check_programme(programme, self.record, self.prescription, protocol=self.protocol, library=self.library)


def ground_of(person: Person, today: date) -> Ground | None:
    """Where the person stands today; ``None`` before the first finished assessment."""
    row = finished_of(person)
    if row is None:
        return None
    return Ground(
        assessment=row,
        record=record_of(row),
        protocol=in_force.protocol_of(person.service),
        library=in_force.library(),
        today=today,
    )


def needed_ground(person: Person, today: date) -> Ground:
    """The same; raises one sentence when there is no finished assessment."""
    ground = ground_of(person, today)
    if ground is None:
        raise HalewardError("There is no finished assessment yet. Finish one first; the programme is built from it.")
    return ground
