"""How I am doing: the person's own page of what they told us."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from haleward.web.delivery.doing import doing_of
from haleward.web.delivery.links import Holder
from haleward.web.delivery.views_person import covering


@covering("progress")
def doing(request: HttpRequest, holder: Holder, *, token: str) -> HttpResponse:
    """Goal, sessions, minutes, effort and walk test; no streaks, nothing about what is missing."""
    context = {"token": token} | doing_of(holder.person, today=timezone.localdate())
    return render(request, "delivery/doing.html", context)
