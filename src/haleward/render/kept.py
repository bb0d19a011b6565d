"""Made things kept on disk under a name that says all they were made from; whole or not there at all.

Several workers may use one folder at the same moment. A damaged file counts as not there and is made anew.
"""

from __future__ import annotations

import hashlib
import time
from dataclasses import dataclass
from pathlib import Path
from tempfile import NamedTemporaryFile

_HALF = ".half"
_HALF_OLD_S = 3600.0  # a half-written file older than this was left by a worker that died
_DIGEST = hashlib.sha256().digest_size


@dataclass(frozen=True)
class Kept:
    """A folder of made things of one kind; ``folder`` None keeps nothing."""

    folder: Path | None
    kind: str

    def get(self, facts: object) -> bytes | None:
        """What was made from ``facts`` (their ``repr`` must tell all), or None."""
        path = self._path(facts)
        if path is None or not path.exists():
            return None
        digest, content = _parted(path.read_bytes())
        return content if hashlib.sha256(content).digest() == digest else None

    def has(self, facts: object) -> bool:
        """Whether something was kept for ``facts``; only :meth:`get` finds out whether it is whole."""
        path = self._path(facts)
        return path is not None and path.exists()

    def put(self, facts: object, content: bytes) -> None:
        """Keep ``content`` for ``facts``."""
        path = self._path(facts)
        if path is None:
            return
        path.parent.mkdir(parents=True, exist_ok=True)
        half = NamedTemporaryFile(dir=path.parent, suffix=_HALF, delete=False)  # noqa: SIM115 - renamed below
        try:
            with half:
                half.write(hashlib.sha256(content).digest() + content)
            Path(half.name).replace(path)
        finally:
            Path(half.name).unlink(missing_ok=True)  # there only if the disk was full

    def clean(self) -> None:
        """Take away what workers that died left half written."""
        if self.folder is None or not self.folder.is_dir():
            return
        old = time.time() - _HALF_OLD_S
        for left in self.folder.glob(f"*{_HALF}"):
            if left.stat().st_mtime < old:
                left.unlink(missing_ok=True)

    def _path(self, facts: object) -> Path | None:
        if self.folder is None:
            return None
        name = hashlib.sha256(repr(facts).encode()).hexdigest()[:32]
        return self.folder / f"{name}.{self.kind}"


def _parted(content: bytes) -> tuple[bytes, bytes]:
    return content[:_DIGEST], content[_DIGEST:]
