"""The voices of a service: hear each, add one, choose which speaks, delete one."""

from __future__ import annotations

from django import forms
from django.conf import settings
from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from haleward.errors import FileFault, HalewardError
from haleward.render.sound import wav
from haleward.render.voice import phrases_of
from haleward.render.voice_check import phrases_to_hear
from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.languages.actions import may_mark
from haleward.web.studio import voices
from haleward.web.studio.models import ServiceVoice
from haleward.web.studio.recording import usual_file

READERS = ("lead", "nurse", "manager")
USUAL = 0  # in addresses, the voice that ships


class VoiceForm(forms.Form):
    """A voice as one file."""

    name = forms.CharField(label="Name of the voice", max_length=80, help_text="For example: warm and slow, British.")
    file = forms.FileField(label="Voice file, an .onnx model")

    def clean_file(self) -> UploadedFile:
        """A file of a size that a voice has."""
        upload: UploadedFile = self.cleaned_data["file"]
        if (upload.size or 0) > voices.MOST_BYTES:
            raise forms.ValidationError(f"The file is larger than {voices.MOST_BYTES // 1_000_000} MB.")
        return upload


@roles(*READERS)
def voice_list(request: StaffRequest) -> HttpResponse:
    """Every voice, which one speaks, and the phrases to hear in it."""
    return _list(request, VoiceForm())


@roles(*READERS)
@require_POST
def add(request: StaffRequest) -> HttpResponse:
    """Try a file and keep it."""
    form = VoiceForm(request.POST, request.FILES)
    if form.is_valid():
        sent = {"name": form.cleaned_data["name"], "user": request.user, "now": timezone.now()}
        try:
            row = voices.add_voice(form.cleaned_data["file"], **sent)
        except FileFault as refusal:
            for fault in refusal.faults:
                form.add_error("file", fault)
        except HalewardError as fault:
            form.add_error("file", str(fault))
        else:
            messages.success(request, f"{row.name} was tried and kept. Hear it, then choose to use it.")
            return redirect(f"{request.path.removesuffix('add/')}?voice={row.pk}")
    return _list(request, form)


@roles(*READERS)
@require_POST
def use(request: StaffRequest, voice_id: int) -> HttpResponse:
    """Speak with this voice from now on."""
    voice = _voice(request, voice_id)
    try:
        voices.use_voice(voice, user=request.user)
    except HalewardError as fault:
        messages.error(request, str(fault))
    else:
        name = voice.name if voice else "The usual voice"
        messages.success(request, f"{name} speaks from now on. Films with another voice are to be asked for again.")
    return redirect("voices")


@roles(*READERS)
@require_POST
def delete(request: StaffRequest, voice_id: int) -> HttpResponse:
    """Delete a voice that is not in use."""
    voice = get_object_or_404(ServiceVoice, pk=voice_id, service=request.user.service)
    name = voice.name
    try:
        voices.delete_voice(voice, user=request.user)
    except HalewardError as fault:
        messages.error(request, str(fault))
    else:
        messages.success(request, f"{name} was deleted.")
    return redirect("voices")


@roles(*READERS)
def hear(request: StaffRequest, voice_id: int, place: int) -> HttpResponse:
    """One phrase in one voice, as sound."""
    voice, phrases = _voice(request, voice_id), phrases_to_hear()
    if place >= len(phrases):
        raise Http404
    file = voices.voice_path(voice) if voice else usual_file()
    said = phrases_of(file, settings.DATA / "voice").say(phrases[place])
    return HttpResponse(wav(said), content_type="audio/wav")


def _list(request: StaffRequest, form: VoiceForm) -> HttpResponse:
    rows = list(ServiceVoice.objects.filter(service=request.user.service).select_related("added_by"))
    heard = _voice(request, int(number) if (number := request.GET.get("voice", "")).isdigit() else USUAL)
    context = {
        "rows": rows,
        "heard": heard,
        "heard_id": heard.pk if heard else USUAL,
        "otherwise": heard.otherwise if heard else [],
        "phrases": list(enumerate(phrases_to_hear())),
        "usual_in_use": not any(row.in_use for row in rows),
        "named_by_server": bool(usual_file()),
        "may_change": may_mark(request.user),
        "form": form,
    }
    return render(request, "studio/voices.html", context, status=422 if form.is_bound else 200)


def _voice(request: StaffRequest, voice_id: int) -> ServiceVoice | None:
    """The voice of this service; None for the one that ships."""
    if voice_id == USUAL:
        return None
    return get_object_or_404(ServiceVoice, pk=voice_id, service=request.user.service)
