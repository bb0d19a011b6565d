"""A TOML file being read: its values, where each key stands, and the faults found so far."""

from __future__ import annotations

import pathlib
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from haleward.errors import FileFault
from haleward.strict_toml.lines import Path, error_line, key_lines, line_of

LARGEST_FILE_BYTES = 1_000_000


@dataclass
class TomlFile:
    """One file. Faults are noted with the path of their key and told together by :meth:`finish`."""

    name: str
    text: str
    values: Mapping[str, Any]
    _faults: list[tuple[int, str]] = field(default_factory=list)

    @classmethod
    def read(cls, path: pathlib.Path) -> TomlFile:
        """The file at ``path``.

        Raises :class:`FileFault` for what is too large, not UTF-8 or not TOML, and OSError if it cannot be opened.
        """
        data = path.read_bytes()
        if len(data) > LARGEST_FILE_BYTES:
            size = f"{len(data) / 1e6:.1f} MB is over the limit of {LARGEST_FILE_BYTES / 1e6:g} MB"
            raise FileFault([f"{path.name}: {size}; a file of this kind is far smaller."])
        try:
            text = data.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            line = data[: error.start].count(b"\n") + 1
            raise FileFault([f"{path.name}, line {line}: letters cannot be read; save the file as UTF-8."]) from error
        return cls.parse(text, name=path.name)

    @classmethod
    def parse(cls, text: str, *, name: str) -> TomlFile:
        """The same for text; ``name`` is the file's name in the sentences about faults."""
        text = text.replace("\r\n", "\n")
        try:
            return cls(name, text, tomllib.loads(text))
        except tomllib.TOMLDecodeError as error:
            line, reason = error_line(error, text), str(error).split(" (at ")[0].strip().rstrip(".")
            raise FileFault([f"{name}, line {line}: this line cannot be read as TOML ({reason})."]) from error
        except ValueError as error:
            raise FileFault([f"{name}, line 1: the file holds a number with too many digits to be read."]) from error
        except RecursionError as error:
            told = f"{name}, line 1: brackets are nested too deeply; write the sections as in examples."
            raise FileFault([told]) from error

    @cached_property
    def lines(self) -> Mapping[Path, int]:
        """The line of every table and key, found when the first fault asks for it."""
        return key_lines(self.text)

    def fault(self, path: Path, sentence: str) -> None:
        """Note a fault at ``path``, or at the nearest thing around it that stands in the file."""
        self._faults.append((line_of(self.lines, path) or 0, sentence))

    def finish(self) -> None:
        """Raise :class:`FileFault` with every fault so far, in the order of the file; do nothing if there is none."""
        if self._faults:
            raise FileFault([f"{self._place(line)}: {sentence}" for line, sentence in sorted(self._faults)])

    def _place(self, line: int) -> str:
        """The file and the line; the file alone for what is nowhere in it."""
        return f"{self.name}, line {line}" if line else self.name
