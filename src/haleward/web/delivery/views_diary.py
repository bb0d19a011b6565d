"""The person's log: one page that keeps what is told until it is sent."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from haleward.web.delivery.diary import diary_html
from haleward.web.delivery.links import Holder
from haleward.web.delivery.views_person import covering, self_contained


@covering("log")
def diary(_request: HttpRequest, holder: Holder, *, token: str) -> HttpResponse:
    """What was done, soreness and symptoms, told in a minute, with or without a network."""
    return self_contained(diary_html(holder, token=token, today=timezone.localdate()))
