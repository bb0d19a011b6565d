"""The library to print: station cards, one or several, and the home sheet of one movement."""

from __future__ import annotations

from dataclasses import replace

from django.http import HttpResponse
from django.utils import timezone

from haleward.errors import HalewardError
from haleward.render.movement_print import PrintedFor, PrintedMovement, home_sheet_pdf, station_cards_pdf
from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.delivery.prints import pdf
from haleward.web.library.catalogue import look_of
from haleward.web.library.chosen import Chosen, chosen_of
from haleward.web.library.forms import LoadForm
from haleward.web.library.loads import same_for
from haleward.web.library.views import asked_load
from haleward.web.team import protocol as in_force


@roles()
def station_card(request: StaffRequest, movement_id: str) -> HttpResponse:
    """The card of one movement, to hang where it is done."""
    chosen = chosen_of(request, movement_id)
    return pdf(station_cards_pdf([_printed(chosen)], _printed_for(request)), f"station-card-{movement_id}.pdf")


@roles()
def station_cards(request: StaffRequest) -> HttpResponse:
    """The cards of the ticked movements in one print."""
    cards = [_card(text) for text in request.GET.getlist("card")]
    if not cards:
        raise HalewardError("No movement is ticked. Go back, tick the movements you want cards of, and print again.")
    return pdf(station_cards_pdf(cards, _printed_for(request)), "station-cards.pdf")


@roles()
def home_sheet(request: StaffRequest, movement_id: str) -> HttpResponse:
    """One movement for someone to take home; none is printed for a person who is not to do it."""
    chosen = chosen_of(request, movement_id)
    subject = chosen.subject
    if subject.person is not None and chosen.against:
        raise HalewardError(f"No sheet is printed for {subject.person.first_name}. {chosen.against}")
    first_name = subject.person.first_name if subject.person else ""
    sheet = home_sheet_pdf(_with_same(request, chosen), _printed_for(request, first_name))
    return pdf(sheet, f"home-sheet-{movement_id}.pdf")


def _printed(chosen: Chosen) -> PrintedMovement:
    return PrintedMovement(
        movement_id=chosen.movement.id,
        posture=chosen.posture,
        kit=chosen.kit,
        look=chosen.subject.look,
        stature_m=chosen.subject.drawn_m,
        mass_kg=chosen.subject.drawn_kg,
        side=chosen.drawn_side,
    )


def _with_same(request: StaffRequest, chosen: Chosen) -> PrintedMovement:
    """For a person, what of their other kit loads as much as the load on the page."""
    loaded = asked_load(request, chosen, LoadForm(chosen.form, request.GET))
    same = same_for(chosen, loaded)
    return replace(_printed(chosen), like=loaded.words, same=tuple(one.take for one in same))


def _card(text: str) -> PrintedMovement:
    """A ticked card: movement, posture and kit, joined by full stops."""
    library = in_force.library()
    movement_id, _, rest = text.partition(".")
    posture, _, kit = rest.partition(".")
    form = library.form(movement_id, posture)  # type: ignore[arg-type]  # it refuses what it does not have
    if kit not in form.kits:
        raise HalewardError(f'"{movement_id}" is not done with "{kit}" in this posture.')
    side = form.cycles[0].side
    return PrintedMovement(movement_id, posture, kit, look_of(library, movement_id), side=side)  # type: ignore[arg-type]


def _printed_for(request: StaffRequest, first_name: str = "") -> PrintedFor:
    service = request.user.service
    protocol, numbers = in_force.protocol_of(service), in_force.numbers_of(service)
    return PrintedFor(
        service_name=numbers.name,
        library=in_force.library(),
        wording=in_force.wording_of(service),
        values={**protocol.wording_values, **numbers.values},
        today=timezone.localdate(),
        first_name=first_name,
    )
