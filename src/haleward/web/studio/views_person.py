"""The film on a person's own link."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone

from haleward.web.delivery import sheets
from haleward.web.delivery.holding import why_held
from haleward.web.delivery.landing import words_for
from haleward.web.delivery.links import Holder
from haleward.web.delivery.views_person import holding
from haleward.web.languages.shown import language_now
from haleward.web.studio.films import films_of, ready_film
from haleward.web.studio.models import FilmJob
from haleward.web.studio.views_film import piece_of
from haleward.web.team import protocol as in_force

TEXTS = ("film_heading", "film_before", "film_log", "film_save", "film_small", "film_none", "back_button")


@holding
def film(request: HttpRequest, holder: Holder, *, token: str, part_key: str) -> HttpResponse:
    """The film of one part, with its captions; not while the plan is on hold."""
    person = holder.person
    if why_held(person, timezone.localdate()):
        return redirect("me", token=token)
    row, say = sheets.signed_programme(person), words_for(person)
    ready = [one for one in films_of(row, part_key) if one.ready]
    context = {
        "token": token,
        "person": person,
        "part_key": part_key,
        "films": ready,
        "captions": language_now(),
        "service": in_force.numbers_of(person.service).name,
        "emergency": say("banner_lead"),
        "safety_line": say("safety_page_link"),
        "words": {key: say(key) for key in TEXTS} | {"caution_line": say("caution_line")},
    }
    return render(request, "studio/film.html", context)


@holding
def piece(
    request: HttpRequest, holder: Holder, *, part_key: str, size: str, piece: str, **_token: str
) -> HttpResponseBase:
    """One file of the person's film."""
    job = None
    if size in FilmJob.Size.values and not why_held(holder.person, timezone.localdate()):
        job = ready_film(sheets.signed_programme(holder.person), part_key, size)
    if job is None:
        raise Http404
    return piece_of(request, job, piece)
