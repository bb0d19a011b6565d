"""The application as the server runs it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from wsgiref.util import setup_testing_defaults

import pytest
from django.core.signals import request_finished, request_started
from django.db import close_old_connections

from haleward.web.project.wsgi import application


@pytest.fixture(autouse=True)
def _store_kept_open(db: None) -> Iterator[None]:
    """A request closes old connections to the store, which in tests is held in memory by one of them."""
    signals = (request_started, request_finished)
    for signal in signals:
        signal.disconnect(close_old_connections)
    yield
    for signal in signals:
        signal.connect(close_old_connections)


def answer(method: str) -> tuple[str, dict[str, str], bytes]:
    """Status, headers and body of the sign-in page as the server would send them."""
    environ: dict[str, Any] = {"REQUEST_METHOD": method, "PATH_INFO": "/sign-in/"}
    setup_testing_defaults(environ)
    sent: list[Any] = []

    def start_response(status: str, headers: list[tuple[str, str]], _fault: object = None) -> Any:
        sent.extend((status, dict(headers)))

    body = b"".join(application(environ, start_response))
    return sent[0], sent[1], body


def test_a_head_request_is_answered_by_the_headers_of_the_page_without_its_body() -> None:
    page, head = answer("GET"), answer("HEAD")
    assert page[2].startswith(b"<!doctype html>")
    assert head[0] == page[0] == "200 OK"
    assert head[1]["Content-Length"] == page[1]["Content-Length"] == str(len(page[2]))
    assert head[2] == b""
