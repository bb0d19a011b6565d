"""A domain error that reaches a view becomes one page with its one sentence, never a traceback."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from haleward.errors import HalewardError


class FaultMiddleware:
    """Shows a :class:`HalewardError` as a page with status 422. Nothing was saved: views save in one transaction."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        if isinstance(error, HalewardError):
            page = "fault_person.html" if request.path.startswith("/me/") else "fault.html"
            return render(request, page, {"faults": str(error).splitlines()}, status=422)
        return None
