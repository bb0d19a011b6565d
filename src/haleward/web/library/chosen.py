"""What an address asks for: a movement in one posture, with one kit, of one side, on one body."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from urllib.parse import urlencode
from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.shortcuts import get_object_or_404
from django.utils import timezone

from haleward.movement.loads import KitKind
from haleward.movement.model import SIDES, Form, Movement
from haleward.record import Posture, Side
from haleward.web.accounts.access import StaffRequest
from haleward.web.library.catalogue import look_of
from haleward.web.library.subject import Subject, person_subject, stated_figure
from haleward.web.people.models import Person
from haleward.web.team import protocol as in_force
from haleward.wording import MovementWording

READS_PEOPLE = frozenset({"lead", "nurse", "assistant"})


@dataclass(frozen=True)
class Chosen:
    """One movement as asked for. ``side`` is the side that works first where a movement has sides."""

    movement: Movement
    posture: Posture
    form: Form
    kit: KitKind
    side: Side
    subject: Subject
    words: MovementWording
    typed: Mapping[str, str] = field(default_factory=dict)  # a band that was typed, which every address keeps

    @property
    def drawn_side(self) -> str:
        """The side for drawing; none where both sides work together."""
        return self.side if self.form.each_side else ""

    @property
    def against(self) -> str:
        """Why this person is not to do it so; "" when they may, or when no person was asked for."""
        return self.subject.against(self.posture, self.kit)

    def query(self, **changed: str) -> str:
        """The query of an address that keeps what was chosen, with some of it changed."""
        parts: dict[str, str] = {"posture": self.posture, "kit": self.kit}
        if self.form.each_side:
            parts["side"] = self.side
        if self.subject.person is not None:
            parts["person"] = str(self.subject.person.pk)
        return urlencode({**parts, **self.typed, **changed})


def chosen_of(request: StaffRequest, movement_id: str) -> Chosen:
    """Read the address; what it names and the library lacks is not found. Without a choice: the easiest posture."""
    library = in_force.library()
    movement = library.movements.get(movement_id)
    if movement is None:
        raise Http404
    asked = request.GET.get("posture", "")
    posture = next((one for one in movement.postures if asked in ("", one)), None)
    if posture is None:
        raise Http404
    form = movement.postures[posture]
    kit = next((kind for kind in form.kits if kind == request.GET.get("kit")), form.kits[0])
    side: Side = next((which for which in SIDES if which == request.GET.get("side")), "left")
    words = in_force.wording_of(request.user.service).movement(movement.id, posture)
    return Chosen(movement, posture, form, kit, side, _subject(request, movement), words)


def _subject(request: StaffRequest, movement: Movement) -> Subject:
    asked = request.GET.get("person", "")
    if not asked:
        return stated_figure(look_of(in_force.library(), movement.id))
    if request.user.role not in READS_PEOPLE:
        raise PermissionDenied
    try:
        person_id = UUID(asked)
    except ValueError as error:
        raise Http404 from error
    person = get_object_or_404(Person.objects.for_team(request.user).select_related("service"), pk=person_id)
    return person_subject(person, movement, timezone.localdate())
