"""Reading the protocol: as a document, its versions, two of them compared, as a file."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render

from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.protocol.compared import compared
from haleward.web.protocol.document import sources_of
from haleward.web.protocol.models import draft_of
from haleward.web.protocol.sections import sections_of
from haleward.web.protocol.versions import Version, version_in_force, version_of, versions_of

DRAFTERS = ("lead", "nurse", "manager")


@roles()
def protocol(request: StaffRequest) -> HttpResponse:
    """The protocol in force as a document."""
    return _document(request, version_in_force(request.user.service))


@roles()
def version(request: StaffRequest, key: str) -> HttpResponse:
    """Any version as a document; a draft with faults says them instead."""
    return _document(request, version_of(request.user.service, key))


def _document(request: StaffRequest, shown: Version) -> HttpResponse:
    query = request.GET.get("q", "").strip()
    sections = () if shown.faults else sections_of(shown.protocol)
    found = tuple(section for section in (one.filtered(query) for one in sections) if section.parts)
    context = {
        "version": shown,
        "protocol": None if shown.faults else shown.protocol,
        "sections": found,
        "sources": sources_of(found),
        "query": query,
        "draft": draft_of(request.user.service),
        "may_draft": request.user.role in DRAFTERS,
    }
    return render(request, "protocol/protocol.html", context)


@roles()
def versions(request: StaffRequest) -> HttpResponse:
    """Every version: who signed it, when, until when, and what was changed and why."""
    service = request.user.service
    context = {
        "versions": versions_of(service),
        "draft": draft_of(service),
        "in_force": version_in_force(service),
        "may_draft": request.user.role in DRAFTERS,
    }
    return render(request, "protocol/versions.html", context)


@roles()
def file(request: StaffRequest, key: str) -> HttpResponse:
    """The version as a file that can be read, kept and imported elsewhere."""
    shown = version_of(request.user.service, key)
    answer = HttpResponse(shown.text, content_type="application/toml; charset=utf-8")
    name = f"protocol-{shown.row.number if shown.row else 'default'}.toml"
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


@roles()
def comparison(request: StaffRequest) -> HttpResponse:
    """Two versions side by side in sentences, and which way each change goes."""
    service = request.user.service
    draft, in_force = draft_of(service), version_in_force(service)
    old = version_of(service, request.GET.get("old") or in_force.key)
    new = version_of(service, request.GET.get("new") or (str(draft.number) if draft else in_force.key))
    context = {
        "old": old,
        "new": new,
        "versions": versions_of(service),
        "compared": compared(old, new),
        "draft": draft,
    }
    return render(request, "protocol/comparison.html", context)
