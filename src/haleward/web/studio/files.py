"""Large files of a person, sent in ranges so that a film can be wound to any place."""

from __future__ import annotations

from pathlib import Path

from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseBase
from whitenoise.responders import StaticFile


def ranged(request: HttpRequest, path: Path, *, content_type: str, name: str = "") -> HttpResponseBase:
    """The file, or the range of it that was asked for; with ``name`` it is saved rather than opened."""
    headers = [("Content-Type", content_type), ("Accept-Ranges", "bytes"), ("Cache-Control", "private, no-cache")]
    if name:
        headers.append(("Content-Disposition", f'attachment; filename="{name}"'))
    found = StaticFile(str(path), headers).get_response(request.method, request.META)
    response: HttpResponseBase
    if found.file is None:
        response = HttpResponse(status=found.status)
    else:
        response = FileResponse(found.file, status=found.status)
    for header, value in found.headers:
        response.headers[header] = value
    return response
