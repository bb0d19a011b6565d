"""Films: ask for one, see how far it is, stop it, play it, save it."""

from __future__ import annotations

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from haleward.errors import HalewardError
from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.delivery import sheets
from haleward.web.people.models import Person
from haleward.web.studio.files import ranged
from haleward.web.studio.jobs import ask_film, film_path, revive, stop_film
from haleward.web.studio.marks import film_mark
from haleward.web.studio.models import FilmJob
from haleward.web.studio.views import MAKERS, READERS, person_of

PIECES = {"film.mp4": (".mp4", "video/mp4"), "captions.vtt": (".vtt", "text/vtt"), "poster.jpg": (".jpg", "image/jpeg")}


def job_of(request: StaffRequest, job_id: UUID) -> FilmJob:
    """The job, if its person belongs to the user's team."""
    people = Person.objects.for_team(request.user)
    return get_object_or_404(
        FilmJob.objects.select_related("programme__person"), pk=job_id, programme__person__in=people
    )


@roles(*MAKERS)
@require_POST
def ask(request: StaffRequest, person_id: UUID, part_key: str) -> HttpResponse:
    """Have one size of the film made; a second press changes nothing."""
    row = sheets.signed_programme(person_of(request, person_id))
    size = request.POST.get("size", "")
    if size not in FilmJob.Size.values:
        raise HalewardError("That is not a size of film; choose large or small.")
    ask_film(row, part_key, size, mark=film_mark(row, part_key), user=request.user)
    return redirect(f"{request.path.removesuffix('film/')}#films")


@roles(*READERS)
@never_cache
def status(request: StaffRequest, job_id: UUID) -> HttpResponse:
    """How far the film is, for the progress bar; work whose worker died starts anew here."""
    revive()
    job = job_of(request, job_id)
    return JsonResponse(
        {"state": job.state, "live": job.live, "percent": job.percent, "label": job.get_state_display()}
        | {"sentence": job.sentence}
    )


@roles(*MAKERS)
@require_POST
def stop(request: StaffRequest, job_id: UUID) -> HttpResponse:
    """Stop making it; nothing half made is left."""
    job = job_of(request, job_id)
    stop_film(job)
    return redirect("studio", person_id=job.programme.person_id, part_key=job.part_key)


@roles(*READERS)
def piece(request: StaffRequest, job_id: UUID, piece: str) -> HttpResponseBase:
    """The film, its captions or its picture; ``?save`` saves the film under a plain name."""
    return piece_of(request, job_of(request, job_id), piece)


def piece_of(request: HttpRequest, job: FilmJob, piece: str) -> HttpResponseBase:
    """One file of a finished film."""
    if piece not in PIECES or job.state != FilmJob.State.DONE:
        raise Http404
    suffix, content_type = PIECES[piece]
    path = film_path(job).with_suffix(suffix)
    if not path.exists():
        raise Http404
    name = f"session-{job.part_key}-plan-{job.programme.version}{suffix}" if "save" in request.GET else ""
    return ranged(request, path, content_type=content_type, name=name)
