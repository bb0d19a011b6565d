"""What names a film: everything it is made from."""

from __future__ import annotations

import hashlib

from haleward.web.delivery import sheets
from haleward.web.languages.shown import wording_for
from haleward.web.prescription.models import ProgrammeVersion
from haleward.web.studio.recording import voice_mark


def film_mark(row: ProgrammeVersion, part_key: str) -> str:
    """A name that changes with the session of one part, the language it is shown in, and the voice that tells it."""
    wording = wording_for(row.person)
    language = f"{wording.language} {wording.catalogue.digest}" if wording else ""
    parts = (sheets.mark_of(row, part_key), voice_mark(row.person.service), language)
    return hashlib.sha256("\x1f".join(parts).encode()).hexdigest()[:32]
