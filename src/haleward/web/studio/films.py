"""The films of one part of a plan: which are ready, being made, or can be asked for."""

from __future__ import annotations

from dataclasses import dataclass

from haleward.web.prescription.models import ProgrammeVersion
from haleward.web.studio.jobs import film_path
from haleward.web.studio.marks import film_mark
from haleward.web.studio.models import FilmJob


@dataclass(frozen=True)
class FilmRow:
    """One size of the film: its newest job, if it was asked for, and its size on disk once it is ready."""

    size: str
    label: str
    job: FilmJob | None

    @property
    def ready(self) -> bool:
        """Whether the film is there to play."""
        return self.job is not None and self.job.state == FilmJob.State.DONE and film_path(self.job).exists()

    @property
    def megabytes(self) -> str:
        """Its size, for people who send it."""
        return f"{film_path(self.job).stat().st_size / 1e6:.0f} MB" if self.job and self.ready else ""


def films_of(row: ProgrammeVersion, part_key: str) -> list[FilmRow]:
    """Both sizes as they would be made now; a film of an earlier plan, wording or voice does not count."""
    mark = film_mark(row, part_key)
    jobs = {job.size: job for job in FilmJob.objects.filter(mark=mark).order_by("asked_at")}
    return [FilmRow(size.value, str(size.label), jobs.get(size.value)) for size in FilmJob.Size]


def ready_film(row: ProgrammeVersion, part_key: str, size: str) -> FilmJob | None:
    """The finished film of this part as it holds now."""
    return next((one.job for one in films_of(row, part_key) if one.size == size and one.ready), None)


def parts_with_film(row: ProgrammeVersion) -> frozenset[str]:
    """The parts of a plan whose film is ready as it holds now."""
    made = FilmJob.objects.filter(programme=row, state=FilmJob.State.DONE).values_list("part_key", flat=True)
    return frozenset(key for key in set(made) if any(one.ready for one in films_of(row, key)))
