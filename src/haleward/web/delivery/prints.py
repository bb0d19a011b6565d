"""Which print is asked for, what it is called as a file, and the person's own links that stand in it as codes."""

from __future__ import annotations

from typing import get_args

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone

from haleward.render.booklet_codes import NO_LINKS, Links
from haleward.web.delivery.links import token_of
from haleward.web.delivery.sheets import PrintKind, print_of
from haleward.web.languages.shown import told_in_language_of
from haleward.web.prescription.models import ProgrammeVersion
from haleward.web.studio.films import films_of


def printed(request: HttpRequest, row: ProgrammeVersion, part_key: str, *, with_links: bool = True) -> HttpResponse:
    """The print as a PDF that opens in the browser; ``?print=large`` and ``?print=card`` ask for the other two."""
    kind = _kind(request.GET.get("print", "booklet"))
    links, mark = links_of(request, row, part_key) if with_links and kind != "card" else (NO_LINKS, "")
    name = {"booklet": "session", "large": "session-large-print", "card": "card"}[kind]
    made = told_in_language_of(row.person, lambda: print_of(row, part_key, kind, links=links, link_mark=mark))
    return pdf(made, f"{name}-{part_key}-plan-{row.version}.pdf")


def pdf(content: bytes, name: str) -> HttpResponse:
    """A PDF that opens in the browser."""
    return HttpResponse(
        content, content_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{name}"'}
    )


def links_of(request: HttpRequest, row: ProgrammeVersion, part_key: str) -> tuple[Links, str]:
    """The person's session page, if a link of theirs is open, and the film, if it is made; with a mark of both."""
    link = row.person.links.filter(withdrawn_at__isnull=True, expires_at__gt=timezone.now()).first()
    if link is None:
        return NO_LINKS, ""
    names = ["me_session"] + (["me_film"] if any(one.ready for one in films_of(row, part_key)) else [])
    token = token_of(link)
    links = Links(*(request.build_absolute_uri(reverse(name, args=[token, part_key])) for name in names))
    return links, f"{request.get_host()} {link.pk} {names}"


def _kind(asked: str) -> PrintKind:
    for kind in get_args(PrintKind):
        if kind == asked:
            return kind
    raise Http404
