"""The draft: start, import, read its checks, change a section, keep a finding, discard."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from haleward.errors import FileFault, HalewardError
from haleward.safety import edits
from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.accounts.models import User
from haleward.web.protocol import actions
from haleward.web.protocol.checks import Checked, check
from haleward.web.protocol.choosing import choices_elsewhere
from haleward.web.protocol.forms import FileForm, KeepForm, NoteForm, SectionForm
from haleward.web.protocol.locate import Told
from haleward.web.protocol.models import ProtocolVersion, draft_of
from haleward.web.protocol.people import stored_preview
from haleward.web.protocol.versions import DEFAULT, version_in_force, version_of
from haleward.web.team.models import Service

DRAFTERS = ("lead", "nurse", "manager")


def needed_draft(request: StaffRequest) -> ProtocolVersion:
    """The service's draft; 404 when there is none."""
    row = draft_of(request.user.service)
    if row is None:
        raise Http404
    return row


@roles(*DRAFTERS)
def draft(request: StaffRequest) -> HttpResponse:
    """The draft: its checks, its sections, what was changed, whom it would change, and the way to the signature."""
    row = needed_draft(request)
    form = NoteForm(request.POST or None, initial={"note": row.note})
    if request.method == "POST" and form.is_valid():
        actions.note(row, form.cleaned_data["note"])
        messages.success(request, "Saved.")
        return redirect("protocol_draft")
    return render(request, "protocol/draft.html", _draft_context(row, form), status=422 if form.is_bound else 200)


def _draft_context(row: ProtocolVersion, form: NoteForm, **more: Any) -> dict[str, Any]:
    return {
        "row": row,
        "in_force": version_in_force(row.service),
        "checked": check(row.text, row.service),
        "groups": [group for group in groups_of(row) if group.entries or group.key == "wording"],
        "note_form": form,
        "file_form": FileForm(),
        "changes": row.changes.select_related("made_by"),
        "preview": stored_preview(row),
    } | more


def clinical_lead_of(service: Service) -> User | None:
    """The colleague whom the manager named to sign the protocol."""
    return User.objects.filter(service=service, clinical_lead_since__isnull=False).first()


def groups_of(row: ProtocolVersion) -> tuple[edits.Group, ...]:
    """The groups of the draft, with the entries for its own jurisdiction only; the file keeps the others."""
    sections = edits.editable(row.text, choices=choices_elsewhere())
    field = sections.find("protocol/jurisdiction")
    own = ("ALL", str(field.value) if field else row.service.jurisdiction)
    return tuple(
        replace(group, entries=tuple(entry for entry in group.entries if entry.jurisdiction in own))
        for group in sections.groups
    )


def group_of(row: ProtocolVersion, key: str) -> edits.Group:
    """One group of the draft; 404 for a key that none has."""
    found = next((group for group in groups_of(row) if group.key == key), None)
    if found is None:
        raise Http404
    return found


@roles(*DRAFTERS)
def section(request: StaffRequest, key: str) -> HttpResponse:
    """One section as boxes, or all of one ``entry``: every change is stored, or none and each fault is said."""
    row, path = needed_draft(request), request.GET.get("entry", "")
    form = _form(request, row, key, path)
    checked, tries = Checked(), "check" in request.POST
    if form.is_bound and form.is_valid():
        if tries:
            checked = tried(row, form)
        elif not form.changes() or not (checked := _stored(request, row, form)).faults:
            return redirect("protocol_section", key=key)
    context = {"row": row, "group": form.group, "form": form, "checked": checked, "tried": tries, "entry": path}
    refused = bool(form.errors or checked.faults)
    return render(request, "protocol/section.html", context, status=422 if refused else 200)


def _form(request: StaffRequest, row: ProtocolVersion, key: str, path: str) -> SectionForm:
    group = group_of(row, key)
    return SectionForm(request.POST or None, group=_only(group, path) if path else group, whole=bool(path))


def _only(group: edits.Group, path: str) -> edits.Group:
    """The group with one entry; 404 when it has none of that path."""
    found = tuple(entry for entry in group.entries if entry.path == path)
    if not found:
        raise Http404
    return replace(group, entries=found)


def _stored(request: StaffRequest, row: ProtocolVersion, form: SectionForm) -> Checked:
    """Store the changes, or say every fault that stands against storing any of them."""
    before = row.text
    try:
        actions.change(row, form.changes(), user=request.user, now=timezone.now())
    except HalewardError as fault:
        return tried(row, form, fault, whole=False)
    messages.success(request, "Saved in the draft. It decides nothing until it is signed.")
    for sentence in edits.words_to_read(before, row.text):
        messages.warning(request, sentence)
    return Checked()


def tried(
    row: ProtocolVersion, form: SectionForm, fault: HalewardError | None = None, *, whole: bool = True
) -> Checked:
    """What the draft would be told with these changes; nothing is stored. Without ``whole`` it is only read."""
    row.refresh_from_db(fields=["text"])
    try:
        text = edits.apply(row.text, form.changes())
    except FileFault as told:
        return Checked(faults=as_told(told))
    except HalewardError as told:
        return Checked(faults=as_told(fault or told))
    return check(text, row.service, whole=whole)


def as_told(fault: HalewardError) -> tuple[Told, ...]:
    """The sentences of an error, without a place in the draft."""
    return tuple(Told(sentence) for sentence in str(fault).splitlines())


@require_POST
def _checks(request: StaffRequest, key: str) -> HttpResponse:
    """The checks of what is typed right now, for the live region; nothing is stored."""
    row = needed_draft(request)
    path = request.GET.get("entry", "")
    form = _form(request, row, key, path)
    quick = request.headers.get("X-Quick") == "1"
    checked = tried(row, form, whole=not quick) if form.is_valid() else Checked()
    context = {"form": form, "checked": checked, "group": form.group, "tried": True, "quick": quick, "entry": path}
    return render(request, "protocol/_checked.html", context)


@require_POST
def _drafts(request: StaffRequest) -> HttpResponse:
    """Start a draft from the version in force or the default."""
    service = request.user.service
    start = version_of(service, DEFAULT) if "default" in request.POST else version_in_force(service)
    actions.start_draft(start, user=request.user, now=timezone.now())
    return redirect("protocol_draft")


@require_POST
def _import(request: StaffRequest) -> HttpResponse:
    """A draft from a file; with any fault nothing is kept, and each fault is said with its line."""
    form = FileForm(request.POST, request.FILES)
    faults: tuple[str, ...] = ()
    if form.is_valid():
        name, text = form.cleaned_data["file"]
        try:
            actions.import_draft(text, name=name, user=request.user, now=timezone.now())
        except HalewardError as fault:
            faults = tuple(str(fault).splitlines())
        else:
            messages.success(request, f"The file {name} is now the draft.")
            return redirect("protocol_draft")
    return render(request, "protocol/import.html", {"form": form, "faults": faults}, status=422)


@require_POST
def _removal(request: StaffRequest) -> HttpResponse:
    needed_draft(request).delete()
    messages.success(request, "The draft is thrown away. The version in force is as it was.")
    return redirect("protocol_versions")


@require_POST
def _kept(request: StaffRequest) -> HttpResponse:
    """A finding that the team keeps, with its reason: written into the file, and said in the history."""
    row = needed_draft(request)
    form = KeepForm(request.POST)
    if not form.is_valid():
        context = _draft_context(row, NoteForm(initial={"note": row.note}), keep_form=form)
        return render(request, "protocol/draft.html", context, status=422)
    actions.accept(row, **form.cleaned_data, user=request.user, now=timezone.now())
    return redirect("protocol_draft")


checks = roles(*DRAFTERS)(_checks)
drafts = roles(*DRAFTERS)(_drafts)
import_file = roles(*DRAFTERS)(_import)
removal = roles(*DRAFTERS)(_removal)
kept = roles(*DRAFTERS)(_kept)
