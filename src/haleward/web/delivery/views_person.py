"""What a person sees through their link: today's session, the session page, the booklet, and where the log goes."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date, datetime
from functools import wraps
from typing import Any

from django.core.exceptions import RequestDataTooBig
from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST

from haleward.dose.week_plan import Planned
from haleward.errors import HalewardError
from haleward.render.page import page_hashes
from haleward.render.page_bundle import script
from haleward.web.accounts.access import link_holder
from haleward.web.delivery import actions, sheets
from haleward.web.delivery.holding import settled_sessions, why_held
from haleward.web.delivery.landing import landing_of, words_for
from haleward.web.delivery.links import Holder, LinkClosed, read_token
from haleward.web.delivery.prints import printed
from haleward.web.delivery.safety_page import safety_of
from haleward.web.delivery.weeks import week_for
from haleward.web.languages.shown import told_in_language_of
from haleward.web.people.models import end_of
from haleward.web.prescription.models import ProgrammeVersion, signed_of
from haleward.web.studio.films import parts_with_film
from haleward.web.team import protocol as in_force

SESSION_POLICY = {
    "default-src": "'none'",
    "img-src": "data:",
    "font-src": "data:",
    "media-src": "data:",
    "connect-src": "'self'",
    "base-uri": "'none'",
    "form-action": "'none'",
    "frame-ancestors": "'none'",
}


def closed_page(request: HttpRequest, *, ended: bool = False) -> HttpResponse:
    """A closed link shows no name and no number of any team; ``ended``: the programme is over."""
    keys = {"heading": "link_closed_heading", "line": "link_closed", "ill": "link_closed_ill"}
    if ended:
        keys |= {"heading": "link_ended_heading", "line": "link_ended"}
    words = {name: in_force.wording().template(key) for name, key in keys.items()}
    return render(request, "delivery/closed.html", {"words": words}, status=410)


def covering(covers: str) -> Callable[[Callable[..., HttpResponseBase]], Callable[..., HttpResponseBase]]:
    """Reads the token before the view; a closed link becomes one plain page.

    ``covers`` is what a carer's consent must cover for this page; "" opens to every holder of a link.
    """

    def wrapped(view: Callable[..., HttpResponseBase]) -> Callable[..., HttpResponseBase]:
        @link_holder
        @never_cache
        @wraps(view)
        def opened(request: HttpRequest, token: str, **kwargs: Any) -> HttpResponseBase:
            try:
                holder = read_token(token)
            except LinkClosed:
                return closed_page(request)
            if holder.origin != "staff" and end_of(holder.person) is not None:
                return closed_page(request, ended=True)
            if covers and covers not in holder.covers:
                return told_in_language_of(holder.person, lambda: not_covered(request, holder, token))
            stores = request.method not in ("GET", "HEAD")
            return told_in_language_of(
                holder.person, lambda: view(request, holder, token=token, **kwargs), stores=stores
            )

        return opened

    return wrapped


holding = covering("plan")  # what most pages of a person are


def not_covered(request: HttpRequest, holder: Holder, token: str) -> HttpResponse:
    """A helper opened a page that the consent does not cover."""
    say = words_for(holder.person)
    words = {"line": say("carer_not_covered"), "back": say("back_button"), "emergency": say("banner_lead")}
    return render(request, "delivery/not_covered.html", {"token": token, "words": words}, status=403)


def self_contained(html: str) -> HttpResponse:
    """A page that carries its own scripts and styles, under a policy that allows exactly these."""
    response = HttpResponse(html)
    allowed = {kind: " ".join(hashes) for kind, hashes in page_hashes(html).items()}
    response.headers["Content-Security-Policy"] = "; ".join(
        [f"{kind} {sources}" for kind, sources in (SESSION_POLICY | allowed).items()]
    )
    response._csp_exempt = True  # type: ignore[attr-defined]  # the page's own, stricter policy stands instead
    return response


@covering("")
def landing(request: HttpRequest, holder: Holder, *, token: str) -> HttpResponse:
    """Hello, what is for today, and the way into it."""
    row = signed_of(holder.person)
    films = {"film_parts": parts_with_film(row) if row else (), "film_word": words_for(holder.person)("film_open")}
    context = landing_of(holder, today=timezone.localdate())
    return render(request, "delivery/landing.html", {"token": token} | films | context)


@covering("")
def safety(request: HttpRequest, holder: Holder, *, token: str) -> HttpResponse:
    """What to do when something is wrong, most urgent first."""
    return render(request, "delivery/safety.html", {"token": token} | safety_of(holder.person))


@holding
def session(request: HttpRequest, holder: Holder, *, token: str, part_key: str) -> HttpResponse:
    """The session page: one self-contained file that goes on working when the network goes."""
    if why_held(holder.person, timezone.localdate()):
        return redirect("me", token=token)
    row = sheets.signed_programme(holder.person)
    post_url = reverse("me_log", args=[token]) if "log" in holder.covers else ""  # "": it keeps its log to hand over
    planned = _planned_on(request.GET.get("day", ""), row, part_key)
    return self_contained(sheets.page_of(row, part_key, post_url=post_url, token=token, planned=planned))


def _planned_on(day: str, row: ProgrammeVersion, part_key: str) -> Planned | None:
    """The session of this part on a day of the person's week, as short as that day is; ``None``: the whole of it."""
    try:
        week = week_for(row, date.fromisoformat(day))
    except ValueError:
        return None
    return next((one for one in week.sessions if (one.on.isoformat(), one.part_key) == (day, part_key)), None)


@holding
def booklet(request: HttpRequest, holder: Holder, *, token: str, part_key: str) -> HttpResponse:
    """The same session to print; like the session, not while the plan is on hold. A helper gets no code of the link."""
    if why_held(holder.person, timezone.localdate()):
        return redirect("me", token=token)
    row = sheets.signed_programme(holder.person)
    return printed(request, row, part_key, with_links=holder.origin != "carer")


@link_holder
@csrf_exempt  # no cookie is read here: the signed token in the address is the whole authority
@require_POST
def log(request: HttpRequest, token: str) -> HttpResponse:
    """Store good entries once each, say which are stored and which are faulty; a repeat gets the same answer."""
    try:
        holder = read_token(token)
        if "log" not in holder.covers:
            fault = words_for(holder.person)("carer_not_covered")
            return JsonResponse({"stored": [], "fault": fault}, status=403)
        body = _body(request)
        stored = actions.store_entries(_entries(body), holder=holder, now=timezone.now(), sent_at=_sent_at(body))
    except LinkClosed as closed:
        return JsonResponse({"stored": [], "fault": str(closed)}, status=410)
    except HalewardError as refused:
        return JsonResponse({"stored": [], "fault": str(refused)}, status=422)
    return _answer(stored, settled_sessions(holder.person, timezone.localdate()))


def _answer(stored: actions.Stored, settled: tuple[str, ...]) -> JsonResponse:
    """What is stored, by its id what is wrong with each entry that is not, and the stops that staff have closed."""
    body: dict[str, Any] = {"stored": stored.ids, "settled": settled}
    if not stored.refused:
        return JsonResponse(body)
    refused = [{"entry_id": one.entry_id, "fault": " ".join(one.faults)} for one in stored.refused]
    body |= {"refused": refused, "fault": stored.fault}
    return JsonResponse(body, status=200 if stored.ids else 422)


def _body(request: HttpRequest) -> object:
    try:
        body = json.loads(request.body)
    except RequestDataTooBig as error:
        raise HalewardError("The log is too large to send at once; send fewer entries at a time.") from error
    except (ValueError, RecursionError) as error:
        raise HalewardError('The log is not JSON that can be kept; send {"entries": [...]}.') from error
    return body


def _sent_at(body: object) -> datetime | None:
    """What the clock of the device said; pages of an older version do not tell."""
    told = body.get("sent_at") if isinstance(body, dict) else None
    if not isinstance(told, str):
        return None
    try:
        moment = datetime.fromisoformat(told)
    except ValueError:
        return None
    return moment if moment.tzinfo else None


def _entries(body: object) -> list[object]:
    entries = body.get("entries") if isinstance(body, dict) else None
    if not isinstance(entries, list):
        raise HalewardError('The log has no list of entries; send {"entries": [...]}.')
    return entries


@covering("")
def home_script(_request: HttpRequest, _holder: Holder, **_token: str) -> HttpResponse:
    """The script of the first page: the same outbox and store as the pages that play and ask."""
    return HttpResponse(script("home.js"), content_type="text/javascript; charset=utf-8")


@covering("")
def worker(request: HttpRequest, _holder: Holder, **_token: str) -> HttpResponse:
    """The service worker that keeps the person's pages for times without a network."""
    return render(request, "delivery/worker.js", content_type="text/javascript")
