"""Whom the draft would change, the signature, and people to look at again."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from haleward.safety.protocol import read_protocol
from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.protocol import actions
from haleward.web.protocol.checks import check
from haleward.web.protocol.forms import CloseForm, SignatureForm
from haleward.web.protocol.models import ProtocolReview, ProtocolVersion
from haleward.web.protocol.people import looked_at, next_step, stored_preview
from haleward.web.protocol.shown import preview_shown
from haleward.web.protocol.views_draft import DRAFTERS, clinical_lead_of, needed_draft


@roles(*DRAFTERS)
def preview(request: StaffRequest) -> HttpResponse:
    """Whom the draft would change. Without script everyone is asked at once, with script in steps with a bar."""
    row = needed_draft(request)
    if request.method == "POST":
        in_steps = request.headers.get("X-Step") == "1"
        new = read_protocol(row.text, name=actions.DRAFT_NAME)
        found = next_step(row, new, today=timezone.localdate(), everyone=not in_steps)
        actions.keep_preview(row, found, user=request.user, now=timezone.now())
        if in_steps:
            return JsonResponse({"done": found.done, "total": found.total, "whole": found.is_whole})
        return redirect("protocol_preview")
    stored = stored_preview(row)
    shown = preview_shown(stored, request.user) if stored and stored.is_whole else None
    return render(request, "protocol/preview.html", {"row": row, "preview": shown, "may_read": may_read(request)})


def may_read(request: StaffRequest) -> bool:
    """Whether this role may open people's pages."""
    return request.user.role in ("lead", "nurse", "assistant")


@roles(*DRAFTERS)
def signature(request: StaffRequest) -> HttpResponse:
    """What must be so before signing, and the clinical lead's form when it is."""
    row = needed_draft(request)
    today = timezone.localdate()
    form = SignatureForm(request.POST or None, user=request.user, today=today, request=request)
    steps = _steps(row)
    ready = request.user.is_clinical_lead and all(done for _, done, _ in steps)
    if request.method == "POST" and form.is_valid():
        actions.sign(row, review_due=form.cleaned_data["review_due"], user=request.user, now=timezone.now())
        messages.success(request, f"{row} is signed and in force. People whom it changes are on Today.")
        return redirect("protocol")
    context = {"row": row, "form": form, "steps": steps, "ready": ready, "clinical_lead": clinical_lead_of(row.service)}
    return render(request, "protocol/signature.html", context, status=422 if form.is_bound else 200)


def _steps(row: ProtocolVersion) -> list[tuple[str, bool, str]]:
    """What is needed, whether it is so, and the page where it is done."""
    seen = looked_at(row, today=timezone.localdate())
    return [
        ("The checks find nothing to put right", check(row.text, row.service).is_clean, "protocol_draft"),
        ("What is changed, and why, is written down", bool(row.note.strip()), "protocol_draft"),
        ("Whom this exact text would change was looked at today", seen is not None, "protocol_preview"),
    ]


@roles("lead")
def review(request: StaffRequest, review_id: int) -> HttpResponse:
    """A person whom a newly signed version changed: what, and what the lead found."""
    rows = ProtocolReview.objects.filter(person__service_id=request.user.service_id)
    row = get_object_or_404(rows.select_related("person", "version", "closed_by"), pk=review_id)
    form = CloseForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        actions.close_review(row, form.cleaned_data["note"], user=request.user, now=timezone.now())
        messages.success(request, f"{row.person} is looked at under version {row.version.version}.")
        return redirect("today")
    return render(request, "protocol/review.html", {"row": row, "form": form}, status=422 if form.is_bound else 200)
