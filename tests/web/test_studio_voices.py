"""A voice that a service adds: tried, kept whole under its content, chosen for all sound, deleted."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse
from django.urls import reverse

from haleward.render.voice import Phrases
from haleward.render.voice_check import VoiceReport
from haleward.web.accounts.models import User
from haleward.web.delivery import sheets
from haleward.web.prescription.models import ProgrammeVersion
from haleward.web.studio import recording, views_voice, voices
from haleward.web.studio.marks import film_mark
from haleward.web.studio.models import ServiceVoice
from haleward.web.studio.recording import voice_file, voice_mark
from haleward.web.team.models import Service
from tests.web.conftest import as_user
from tests.web.test_studio import Hum

GOOD = VoiceReport((), ("Seven",), 1.1)


@pytest.fixture(autouse=True)
def tried(settings: object, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The store is here, and a file is a voice; trying real files has tests of its own."""
    settings.DATA = tmp_path  # type: ignore[attr-defined]
    monkeypatch.setattr(voices, "report_of", lambda _file: GOOD)


def send(user: User, content: bytes = b"a voice", name: str = "Emma") -> HttpResponse:
    upload = SimpleUploadedFile("emma.onnx", content)
    return as_user(user).post(reverse("voice_add"), {"name": name, "file": upload})  # type: ignore[return-value]


def press(user: User, what: str, voice_id: int) -> str:
    return as_user(user).post(reverse(what, args=[voice_id]), follow=True).content.decode()


def kept() -> list[str]:
    return sorted(path.name for path in voices.voices_folder().glob("*"))


def test_a_voice_is_tried_kept_heard_chosen_and_deleted(manager: User, monkeypatch: pytest.MonkeyPatch) -> None:
    assert send(manager).status_code == 302
    row = ServiceVoice.objects.get()
    assert voices.voice_path(row).read_bytes() == b"a voice"
    assert kept() == [f"{row.digest}.onnx"]
    html = as_user(manager).get(reverse("voices"), {"voice": row.pk}).content.decode()
    assert "1 phrase said by the usual voice" in html
    assert html.count("data-listen") > 40
    monkeypatch.setattr(views_voice, "phrases_of", lambda _file, folder: Phrases(Hum(), folder))
    assert as_user(manager).get(reverse("voice_hear", args=[row.pk, 3])).content.startswith(b"RIFF")
    assert as_user(manager).get(reverse("voice_hear", args=[row.pk, 999])).status_code == 404
    assert voice_file(manager.service) is None
    assert "Emma speaks from now on" in press(manager, "voice_use", row.pk)
    assert voice_file(manager.service) == voices.voice_path(row)
    assert "is in use" in press(manager, "voice_delete", row.pk)
    press(manager, "voice_use", 0)
    assert voice_file(manager.service) is None
    press(manager, "voice_delete", row.pk)
    assert kept() == []
    assert not ServiceVoice.objects.exists()
    assert ServiceVoice.history.filter(name="Emma").count() == 4


def test_every_fault_of_a_file_is_a_sentence_and_nothing_is_kept(
    manager: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(voices, "report_of", lambda _file: VoiceReport(("It is too slow.", "It is too short.")))
    answer = send(manager)
    assert answer.status_code == 422
    assert answer.content.decode().count('class="fault"') == 2
    assert kept() == []
    assert not ServiceVoice.objects.exists()


def test_a_file_that_does_not_speak_is_refused_by_the_real_trial(
    manager: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.undo()
    assert "emma.onnx is not a voice that can be used here" in send(manager, b"Dear all").content.decode()
    assert kept() == []


def test_a_full_disk_is_one_sentence_and_leaves_nothing(manager: User, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_args: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(voices.shutil, "copyfileobj", full)
    assert "(No space left on device). Make room" in send(manager).content.decode()
    assert kept() == []
    monkeypatch.undo()
    monkeypatch.setattr(voices, "report_of", lambda _file: GOOD)
    monkeypatch.setattr(Path, "replace", full)
    assert "Make room" in send(manager).content.decode()
    assert not ServiceVoice.objects.exists()


def test_a_large_file_and_a_second_copy_are_refused(manager: User, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(voices, "MOST_BYTES", 5)
    assert "is larger than" in send(manager).content.decode()
    monkeypatch.setattr(voices, "MOST_BYTES", 500)
    send(manager)
    assert "This voice is here already, as Emma." in send(manager, name="Another").content.decode()


def test_only_the_manager_or_the_clinical_lead_changes_voices(manager: User, lead: User) -> None:
    assert "Only the service manager or the clinical lead" in send(lead).content.decode()
    send(manager)
    row = ServiceVoice.objects.get()
    assert "Only the service manager" in press(lead, "voice_use", row.pk)
    assert "Only the service manager" in press(lead, "voice_delete", row.pk)
    assert not ServiceVoice.objects.get().in_use
    assert "Add a voice" not in as_user(lead).get(reverse("voices")).content.decode()


def test_a_voice_of_another_service_is_not_there(manager: User, outsider: User) -> None:
    send(manager)
    row = ServiceVoice.objects.get()
    assert as_user(outsider).get(reverse("voice_hear", args=[row.pk, 0])).status_code == 404
    assert as_user(outsider).post(reverse("voice_use", args=[row.pk])).status_code == 404


def test_a_file_that_another_service_has_too_stays_for_it(manager: User, outsider: User) -> None:
    outsider.role = "manager"
    outsider.save()
    send(manager)
    send(outsider)
    press(manager, "voice_delete", ServiceVoice.objects.get(service=manager.service).pk)
    assert len(kept()) == 1


def test_films_and_recordings_follow_the_content_of_the_voice(
    plan: ProgrammeVersion, manager: User, service: Service, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = tmp_path / "own.onnx"
    own.write_bytes(b"first")
    monkeypatch.setenv("HALEWARD_VOICE", str(own))
    monkeypatch.setattr(recording, "phrases_of", lambda _file, folder: Phrases(Hum(), folder))
    sheet, _record = sheets.sheet_of(plan, "walk")
    mark = sheets.mark_of(plan, "walk")
    first = (voice_mark(service), film_mark(plan, "walk"))
    recording.record_voice(sheet, mark, service)
    assert recording.recording_of(mark, service) is not None
    own.write_bytes(b"second under the same name")
    assert recording.recording_of(mark, service) is None
    second = (voice_mark(service), film_mark(plan, "walk"))
    send(manager)
    press(manager, "voice_use", ServiceVoice.objects.get().pk)
    third = (voice_mark(service), film_mark(plan, "walk"))
    assert len({first[0], second[0], third[0]}) == len({first[1], second[1], third[1]}) == 3
    voices.voice_path(ServiceVoice.objects.get()).unlink()
    assert "gone" in voice_mark(service)
    assert "The file of Emma is gone" in press(manager, "voice_use", ServiceVoice.objects.get().pk)
