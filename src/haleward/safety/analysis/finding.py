"""One thing that the analysis found in a protocol."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Finding:
    """What stands against a protocol as written, in one plain sentence.

    ``place`` is where it stands in the file: ("rule", "R032"), ("dose", "sets"), ("gates", "hall"). ``ids`` are the
    rules or keys concerned, the first one being that to change. A ``serious`` finding is mended, or accepted in the
    file by its :attr:`name` with a reason, before the protocol is signed.
    """

    kind: str
    ids: tuple[str, ...]
    place: tuple[str, ...]
    sentence: str
    serious: bool = True
    jurisdictions: tuple[str, ...] = ()
    line: int | None = None

    @property
    def name(self) -> str:
        """The name by which the file accepts it, e.g. "dead R100 R101"."""
        return " ".join((self.kind, *self.ids))

    @property
    def section(self) -> str:
        """The part of the file it stands in."""
        return self.place[0]
