"""The WSGI application."""

from __future__ import annotations

import os
from collections.abc import Iterable
from wsgiref.types import StartResponse, WSGIApplication, WSGIEnvironment

from django.core.wsgi import get_wsgi_application


def headers_alone_for_head(app: WSGIApplication) -> WSGIApplication:
    """``app`` with HEAD answered by its headers alone.

    The server does not cut the body off: on a kept connection a browser would read it as the start of the next answer.
    """

    def answer(environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        body = app(environ, start_response)
        if environ["REQUEST_METHOD"] != "HEAD":
            return body
        if close := getattr(body, "close", None):
            close()
        return []

    return answer


os.environ.setdefault("DJANGO_SETTINGS_MODULE", "haleward.web.project.settings")
application = headers_alone_for_head(get_wsgi_application())
