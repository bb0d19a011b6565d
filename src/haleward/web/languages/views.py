"""The languages of a service: where each stands, reading it beside the English, exporting, importing, marking."""

from __future__ import annotations

import io
import zipfile
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from haleward.errors import HalewardError
from haleward.languages import Catalogue, Text
from haleward.languages.files import head_of, po_files
from haleward.languages.texts import TABLES
from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.languages import actions
from haleward.web.languages.catalogues import Standing, standing_of, standings
from haleward.web.languages.forms import CatalogueForm, ReviewForm


@roles("lead", "nurse", "manager")
def languages(request: StaffRequest) -> HttpResponse:
    """Every language, and where it stands."""
    return _list(request, CatalogueForm())


@roles("lead", "nurse", "manager")
def language(request: StaffRequest, tag: str) -> HttpResponse:
    """One language, a table at a time: English beside the translation."""
    return _one(request, _standing(request, tag), None)


@roles("lead", "nurse", "manager")
@require_POST
def mark(request: StaffRequest, tag: str) -> HttpResponse:
    """Mark as reviewed."""
    standing = _standing(request, tag)
    form = ReviewForm(request.POST)
    if form.is_valid():
        told = {name: form.cleaned_data[name] for name in ("digest", "reviewer", "qualification")}
        try:
            actions.mark_reviewed(standing, user=request.user, now=timezone.localtime(), **told)
        except HalewardError as fault:
            form.add_error(None, str(fault))
        else:
            messages.success(request, f"{standing.catalogue.english_name} is shown to people who chose it.")
            return redirect("language", tag=tag)
    return _one(request, standing, form)


@roles("lead", "nurse", "manager")
@require_POST
def take_back(request: StaffRequest, tag: str) -> HttpResponse:
    """No longer reviewed."""
    standing = _standing(request, tag)
    try:
        actions.take_back(standing, user=request.user, now=timezone.localtime())
    except HalewardError as fault:
        messages.error(request, str(fault))
    else:
        messages.success(request, f"{standing.catalogue.english_name} is a draft again. Pages are in English.")
    return redirect("language", tag=tag)


@roles("lead", "nurse", "manager")
def export(request: StaffRequest, tag: str) -> HttpResponse:
    """The catalogue for a translator: every text, with its translation where there is one."""
    standing = _standing(request, tag)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in po_files(head_of(standing.catalogue), standing.texts, standing.catalogue).items():
            archive.writestr(name, content)
    headers = {"Content-Disposition": f'attachment; filename="haleward-{standing.catalogue.tag}.zip"'}
    return HttpResponse(out.getvalue(), content_type="application/zip", headers=headers)


@roles("lead", "nurse", "manager")
@require_POST
def import_catalogue(request: StaffRequest) -> HttpResponse:
    """Take a catalogue as the service's own; it is a draft until it is marked."""
    form = CatalogueForm(request.POST, request.FILES)
    if form.is_valid():
        try:
            row = actions.import_files(form.cleaned_data["file"], user=request.user, now=timezone.now())
        except HalewardError as fault:
            form.add_error("file", str(fault))
        else:
            messages.success(request, "Kept as this service’s own catalogue. It is a draft until it is reviewed.")
            return redirect("language", tag=row.tag)
    return _list(request, form)


def _list(request: StaffRequest, form: CatalogueForm) -> HttpResponse:
    rows = standings(request.user.service)
    context = {"rows": rows, "form": form, "may_mark": actions.may_mark(request.user)}
    return render(request, "languages/languages.html", context, status=422 if form.is_bound else 200)


def _one(request: StaffRequest, standing: Standing, form: ReviewForm | None) -> HttpResponse:
    table = request.GET.get("table", "")
    table = table if table in TABLES else TABLES[0]
    catalogue = standing.catalogue
    context: dict[str, Any] = {
        "one": standing,
        "catalogue": catalogue,
        "table": table,
        "tables": TABLES,
        "texts": [(text, _told(catalogue, text)) for text in standing.texts if text.table == table],
        "found": [one for one in standing.findings if one.table == table],
        "faults": sum(one.is_fault for one in standing.findings),
        "form": form or ReviewForm(initial={"digest": catalogue.digest}),
        "may_mark": actions.may_mark(request.user),
    }
    return render(request, "languages/language.html", context, status=422 if form else 200)


def _told(catalogue: Catalogue, text: Text) -> str:
    """The translation; of a text that counts every plural form."""
    told = catalogue.of(text)
    return " / ".join(dict.fromkeys(catalogue.forms.get((text.table, text.english), (told,)))) if told else ""


def _standing(request: StaffRequest, tag: str) -> Standing:
    standing = standing_of(request.user.service, tag)
    if standing is None:
        raise Http404
    return standing
