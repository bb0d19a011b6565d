"""Small still pictures of movements."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.cache import cache_control

from haleward.render.figure import still
from haleward.render.looks import LOOKS
from haleward.web.accounts.access import roles
from haleward.web.team import protocol as in_force

SIZE = (220, 220)
WEEK_S = 7 * 24 * 3600


@cache_control(private=True, max_age=WEEK_S)
def _figure(request: HttpRequest, movement: str, posture: str, kit: str, pose: str) -> HttpResponse:
    library = in_force.library()
    known = library.movements.get(movement)
    form = known.postures.get(posture) if known else None  # type: ignore[call-overload]
    look = request.GET.get("look", "")
    if form is None or (look and look not in LOOKS) or kit not in form.kits or pose not in ("start", "end"):
        raise Http404
    svg = still(
        movement,
        posture,  # type: ignore[arg-type]  # checked above
        kit=kit,  # type: ignore[arg-type]
        pose=pose,  # type: ignore[arg-type]
        stature_m=None,
        mass_kg=None,
        look=look,
        size=SIZE,
        library=library,
    )
    return HttpResponse(svg, content_type="image/svg+xml")


figure = roles("lead", "nurse", "assistant")(_figure)
