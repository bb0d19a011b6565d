"""Pictures and charts of the library, drawn once and kept on disk under a name that says what they were made from."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path

from django.conf import settings

from haleward.web.delivery.sheets import made_from

MARK_LENGTH = 16


def mark() -> str:
    """The mark of everything that pictures are made from; it stands in their addresses."""
    return made_from()[:MARK_LENGTH]


def kept(*facts: object, make: Callable[[], str]) -> str:
    """The text made from these facts, from disk when it was made before. The facts must say all that it depends on."""
    name = hashlib.sha256("\x1f".join(map(repr, facts)).encode()).hexdigest()[:32]
    path = Path(settings.DATA) / "library" / mark() / name
    if not path.exists():
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        half = path.with_suffix(f".{id(facts)}.half")
        half.write_text(make(), encoding="utf-8")
        half.replace(path)  # whole or not at all, also when two ask for it at the same moment
    return path.read_text(encoding="utf-8")
