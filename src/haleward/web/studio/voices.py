"""Voices that a service added: each tried before it is kept, kept under its content, chosen, put aside, deleted.

Each change is whole or not there at all, with who did it.
"""

from __future__ import annotations

import shutil
import time
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from haleward.errors import FileFault, HalewardError
from haleward.render.voice import digest_of
from haleward.render.voice_check import VoiceReport, report_of
from haleward.web.accounts.models import User
from haleward.web.languages.actions import MAY_MARK, may_mark
from haleward.web.studio.models import ServiceVoice
from haleward.web.team.models import Service

MOST_BYTES = 60_000_000  # seven times the voice that ships
_HALF, _OLD_S = "half-", 3600.0


def add_voice(upload: UploadedFile, *, name: str, user: User, now: datetime) -> ServiceVoice:
    """Try the file and keep it. Raises one sentence for each fault, and keeps nothing then."""
    _refuse(user)
    folder = voices_folder()
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        _clean(folder)
        with TemporaryDirectory(dir=folder, prefix=_HALF) as half:
            file = Path(half) / Path(upload.name or "voice.onnx").name
            with file.open("wb") as out:
                shutil.copyfileobj(upload, out)
            digest = digest_of(file)
            _refuse_known(user.service, digest)
            report = report_of(file)
            if report.faults:
                raise FileFault(list(report.faults))
            with transaction.atomic():
                row = _kept(user, name, digest, file.stat().st_size, report, now)
                file.replace(voice_path(row))
    except OSError as fault:
        raise HalewardError(
            f"The voice could not be kept ({fault.strerror or fault}). Make room on the disk and send it again; "
            "nothing half stored is left."
        ) from fault
    return row


def _kept(user: User, name: str, digest: str, size: int, report: VoiceReport, now: datetime) -> ServiceVoice:
    return ServiceVoice.objects.create(
        service=user.service, name=name, digest=digest, size_bytes=size, pace=report.pace,
        otherwise=list(report.otherwise), added_by=user, added_at=now,
    )  # fmt: skip


def _refuse_known(service: Service, digest: str) -> None:
    known = ServiceVoice.objects.filter(service=service, digest=digest).first()
    if known is not None:
        raise HalewardError(f"This voice is here already, as {known.name}.")


@transaction.atomic
def use_voice(voice: ServiceVoice | None, *, user: User) -> None:
    """Speak with this voice from now on; None for the usual one. Films and recordings are made anew when asked for."""
    _refuse(user)
    if voice is not None and not voice_path(voice).is_file():
        raise HalewardError(f"The file of {voice.name} is gone. Delete the voice here and add its file again.")
    for row in ServiceVoice.objects.select_for_update().filter(service=user.service, in_use=True):
        row.in_use = False
        row.save()
    if voice is not None:
        voice.in_use = True
        voice.save()


def delete_voice(voice: ServiceVoice, *, user: User) -> None:
    """Delete a voice that is not in use; its file too, unless another service has the same."""
    _refuse(user)
    if voice.in_use:
        raise HalewardError(f"{voice.name} is in use. Use another voice first, then delete it.")
    path = voice_path(voice)
    voice.delete()
    if not ServiceVoice.objects.filter(digest=voice.digest).exists():
        path.unlink(missing_ok=True)


def voice_in_use(service: Service) -> ServiceVoice | None:
    """The voice that the service chose; None for the usual one."""
    return ServiceVoice.objects.filter(service=service, in_use=True).first()


def voices_folder() -> Path:
    """Where voice files are kept."""
    return Path(settings.DATA) / "voices"


def voice_path(voice: ServiceVoice) -> Path:
    """The file, named by its content."""
    return voices_folder() / f"{voice.digest}.onnx"


def _clean(folder: Path) -> None:
    """Take away what a process that was ended left half stored."""
    old = time.time() - _OLD_S
    for left in folder.glob(f"{_HALF}*"):
        if left.stat().st_mtime < old:
            shutil.rmtree(left, ignore_errors=True)


def _refuse(user: User) -> None:
    if not may_mark(user):
        raise HalewardError(MAY_MARK)
