"""The library to look at: the list, one movement, its pictures and its animation. Open to all staff."""

from __future__ import annotations

from dataclasses import replace
from typing import Any
from urllib.parse import parse_qsl

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.cache import patch_cache_control

from haleward.render.figure import animation, still
from haleward.render.looks import LOOKS
from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.library import shown
from haleward.web.library.band_card import band_card
from haleward.web.library.catalogue import CHOICES, Catalogue, Sought
from haleward.web.library.chosen import Chosen, chosen_of
from haleward.web.library.forms import LoadForm
from haleward.web.library.kept import kept, mark
from haleward.web.library.loads import Asked, Loaded, chosen_load, numbers_of
from haleward.web.library.versions import versions
from haleward.web.team import protocol as in_force
from haleward.web.team.models import Service

YEAR_S = 365 * 24 * 3600
LIST_SIZE = (240, 240)
FILTERS = {  # label and what it says when nothing is chosen
    "region": ("Part of the body", "any part"),
    "posture": ("Posture", "any posture"),
    "kit": ("Kit", "any kit"),
    "caution": ("Right with", "no condition"),
}
QUICK = (
    ("posture=seated&kit=own_weight", "seated, no kit"),
    ("posture=seated", "seated"),
    ("caution=sternum", "with a healing breastbone"),
    ("kit=band", "with a band"),
    ("region=balance", "balance"),
    ("words=stairs", "for stairs"),
)


def catalogue_of(service: Service) -> Catalogue:
    """The library in the service's own words and limits."""
    light_kg = in_force.protocol_of(service).policies.dose.light_load_most_kg
    return Catalogue(in_force.library(), in_force.wording_of(service), light_kg)


@roles()
def library(request: StaffRequest) -> HttpResponse:
    """All movements as pictures, narrowed by what the address asks for."""
    asked = {name: request.GET.get(name, "") for name in CHOICES}
    known = {name: value for name, value in asked.items() if value in CHOICES[name]}
    sought = Sought(words=request.GET.get("words", "").strip()[:80], **known)
    catalogue = catalogue_of(request.user.service)
    context = {
        "sought": sought,
        "nothing": Sought(),
        "found": catalogue.found(sought),
        "total": len(catalogue.library.movements),
        "filters": filters(catalogue, sought),
        "quick": QUICK,
        "mark": mark(),
    }
    return render(request, "library/library.html", context)


def filters(catalogue: Catalogue, sought: Sought) -> list[tuple[str, tuple[object, ...]]]:
    """Each filter with its label, its empty choice and its choices."""
    choices = catalogue.choices(sought)
    return [(name, (*labels, choices[name])) for name, labels in FILTERS.items()]


@roles()
def movement(request: StaffRequest, movement_id: str) -> HttpResponse:
    """One movement in the chosen posture, with the chosen kit, on the chosen body."""
    chosen = chosen_of(request, movement_id)
    form = LoadForm(chosen.form, request.GET)
    keep = parse_qsl(chosen.query())
    if form.band:
        chosen = replace(chosen, typed={name: request.GET[name] for name in ("pull", "length")})
    bands = (*chosen.subject.bands, *((form.band,) if form.band else ()))
    loaded = asked_load(request, chosen, form)
    light_kg = in_force.protocol_of(request.user.service).policies.dose.light_load_most_kg
    context: dict[str, Any] = {
        "chosen": chosen,
        "words": chosen.words,
        "pictures": pictures(chosen),
        "kit_line": chosen.words.kit_line(chosen.kit),
        "needs": shown.needs(chosen.form, chosen.kit),
        "cautions": shown.caution_rows(chosen.movement, light_kg=light_kg),
        "ladder": shown.ladder(chosen),
        "numbers": numbers_of(chosen, loaded, bands),
        "versions": versions(chosen, loaded, bands),
        "band_card": band_card(chosen, bands, loaded=loaded, target_n=form.target_n, today=timezone.localdate()),
        "load_form": form,
        "keep": keep,
        "mark": mark(),
    }
    context |= shown.choices(chosen)
    return render(request, "library/movement.html", context, status=200 if form.is_valid() else 422)


def asked_load(request: StaffRequest, chosen: Chosen, form: LoadForm) -> Loaded:
    """The load that the address or the form on the page asks for."""
    band, hold = (request.GET.get(name, "") for name in ("band", "hold"))
    return chosen_load(chosen, Asked(form.mass_kg, form.band, band, hold))


def pictures(chosen: Chosen) -> list[dict[str, str]]:
    """Start and turning point of what was chosen, with their words."""
    both = (("start", "Start", chosen.words.alt_text_start), ("end", "Move", chosen.words.alt_text_end))
    return [
        {
            "caption": caption,
            "svg": still(
                *(chosen.movement.id, chosen.posture),
                kit=chosen.kit,
                pose="start" if pose == "start" else "end",
                stature_m=chosen.subject.drawn_m,
                mass_kg=chosen.subject.drawn_kg,
                look=chosen.subject.look,
                side=chosen.drawn_side,
                title=alt,
                library=in_force.library(),
            ),
        }
        for pose, caption, alt in both
    ]


@roles()
def frames(request: StaffRequest, movement_id: str) -> HttpResponse:
    """One repetition as frames for the player, at the movement's own pace."""
    chosen = chosen_of(request, movement_id)
    drawn = animation(
        *(chosen.movement.id, chosen.posture),
        kit=chosen.kit,
        stature_m=chosen.subject.drawn_m,
        mass_kg=chosen.subject.drawn_kg,
        look=chosen.subject.look,
        out_s=chosen.form.out_s,
        pause_s=chosen.form.pause_s,
        back_s=chosen.form.back_s,
        side=chosen.drawn_side,
        library=in_force.library(),
    )
    pace = {"out_s": chosen.form.out_s, "pause_s": chosen.form.pause_s, "back_s": chosen.form.back_s}
    answer = JsonResponse({"figure": drawn, **pace})
    if chosen.subject.person is None and request.GET.get("made") == mark():
        patch_cache_control(answer, private=True, max_age=YEAR_S, immutable=True)
    return answer


@roles()
def picture(_request: HttpRequest, made: str, movement_id: str, posture: str, kit: str, look: str) -> HttpResponse:
    """The start picture for the list. Its address names what it was made from, so a browser may keep it."""
    known = in_force.library().movements.get(movement_id)
    form = known.postures.get(posture) if known else None  # type: ignore[call-overload]
    if known is None or form is None or kit not in form.kits or look not in LOOKS:
        raise Http404
    if made != mark():
        return redirect("library_picture", mark(), movement_id, posture, kit, look)

    def drawn() -> str:
        return still(
            *(movement_id, posture),  # type: ignore[arg-type]  # checked above
            kit=kit,  # type: ignore[arg-type]
            pose="start",
            stature_m=None,
            mass_kg=None,
            look=look,
            size=LIST_SIZE,
            side=form.cycles[0].side,
            library=in_force.library(),
        )

    answer = HttpResponse(kept("picture", movement_id, posture, kit, look, make=drawn), content_type="image/svg+xml")
    patch_cache_control(answer, private=True, max_age=YEAR_S, immutable=True)
    return answer
