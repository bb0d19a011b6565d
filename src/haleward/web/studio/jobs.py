"""Films made in the background: asked for once, followed, stopped, and made anew after a worker died."""

from __future__ import annotations

import time
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

from django.conf import settings
from django.db import IntegrityError, models, transaction
from django.utils import timezone
from django_tasks import task

from haleward.errors import HalewardError
from haleward.web.accounts.models import User
from haleward.web.prescription.models import ProgrammeVersion
from haleward.web.studio.making import FilmStopped, film_to_disk, remove_half_made
from haleward.web.studio.models import FilmJob

State = FilmJob.State
LIVE = (State.WAITING, State.RUNNING)
TELL_EVERY_S = 0.5  # how often the worker writes how far it is, and looks whether it should stop
SILENT_S = 60  # a worker that says nothing for so long is taken for dead
TRIES_MOST = 3
BROKEN = (
    "The film could not be made because of a fault in the program; nothing half made is left. "
    "The fault is in the log of the server: show it to whoever looks after it."
)
DIED = f"The work stopped in the middle {TRIES_MOST} times; nothing half made is left. Check the space on the disk."


def ask_film(row: ProgrammeVersion, part_key: str, size: str, *, mark: str, user: User) -> FilmJob:
    """The job of this film: the one that is done or under way, else a new one."""
    found = FilmJob.objects.filter(mark=mark, size=size, state__in=(*LIVE, State.DONE))
    job = next((one for one in found if one.live or film_path(one).exists()), None)
    if job is not None:
        return job
    try:
        with transaction.atomic():
            job = FilmJob.objects.create(programme=row, part_key=part_key, size=size, mark=mark, asked_by=user)
            enqueue(job)
    except IntegrityError:  # a colleague asked for the same film at the same moment
        return FilmJob.objects.get(mark=mark, size=size, state__in=LIVE)
    return job


def enqueue(job: FilmJob) -> None:
    """Put the job before the worker once the store holds it."""
    transaction.on_commit(lambda: make_film_in_background.enqueue(str(job.pk)))


def stop_film(job: FilmJob) -> None:
    """Stop a job. Its worker, if it has one, leaves it at its next look; asked for again, the film is a new job."""
    FilmJob.objects.filter(pk=job.pk, state__in=LIVE).update(
        state=State.CANCELLED, cancel_asked=True, finished_at=timezone.now()
    )


def revive(*, silent_s: float = SILENT_S) -> int:
    """Start jobs anew whose worker died, and say how many; ``silent_s=0`` when no worker can be alive.

    After :data:`TRIES_MOST` tries a job is given up, with a sentence.
    """
    old = timezone.now() - timedelta(seconds=silent_s)
    dead = FilmJob.objects.filter(state=State.RUNNING, beat_at__lte=old)
    dead.filter(tries__gte=TRIES_MOST).update(state=State.FAILED, sentence=DIED, finished_at=timezone.now())
    again = list(dead.filter(tries__lt=TRIES_MOST))
    for job in again:
        FilmJob.objects.filter(pk=job.pk).update(state=State.WAITING, share=0, sentence="")
        enqueue(job)
    return len(again)


@task()
def make_film_in_background(job_id: str) -> None:
    """Make one film; every end of it stands in the job."""
    claimed = FilmJob.objects.filter(pk=job_id, state=State.WAITING).update(
        state=State.RUNNING, tries=models.F("tries") + 1, beat_at=timezone.now(), share=0
    )
    if not claimed:  # stopped meanwhile, or another worker has it
        return
    job = FilmJob.objects.select_related("programme__person__service").get(pk=job_id)
    end, sentence = State.FAILED, BROKEN  # unless something better is said below
    try:
        remove_half_made(film_path(job))
        film_to_disk(job, film_path(job), follow=Follower(job))
        end, sentence = State.DONE, ""
    except FilmStopped:
        end, sentence = State.CANCELLED, ""
    except HalewardError as fault:
        sentence = str(fault)
    except OSError as fault:
        sentence = f"The film could not be written ({fault.strerror or fault}). Make room on the disk and ask again."
    finally:
        done = {"share": 1.0} if end == State.DONE else {}
        rows = FilmJob.objects.filter(pk=job_id)
        ended = rows if done else rows.filter(state=State.RUNNING)  # what was stopped meanwhile stays stopped
        ended.update(state=end, sentence=sentence[:500], finished_at=timezone.now(), beat_at=timezone.now(), **done)


@dataclass
class Follower:
    """Writes how far the work is and reads whether to stop, neither more often than every :data:`TELL_EVERY_S`."""

    job: FilmJob
    told_s: float = -TELL_EVERY_S
    looked_s: float = -TELL_EVERY_S
    stop: bool = False

    def progress(self, share: float, sentence: str) -> None:
        """How much of the work is done, 0 to 1, and what is being done."""
        if time.monotonic() - self.told_s >= TELL_EVERY_S:
            self.told_s = time.monotonic()
            FilmJob.objects.filter(pk=self.job.pk).update(beat_at=timezone.now(), share=share, sentence=sentence)

    def stopped(self) -> bool:
        """Whether someone asked to stop."""
        if not self.stop and time.monotonic() - self.looked_s >= TELL_EVERY_S:
            self.looked_s = time.monotonic()
            self.stop = FilmJob.objects.filter(pk=self.job.pk, cancel_asked=True).exists()
        return self.stop


def film_path(job: FilmJob) -> Path:
    """Where the film is kept; captions and poster stand beside it under the same name."""
    return Path(settings.DATA) / "films" / f"{job.mark}-{job.size}.mp4"
