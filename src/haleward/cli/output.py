"""Writing to the terminal and to files; the only place of the command line that does either."""

from __future__ import annotations

import json
import sys
import tempfile
from collections.abc import Mapping
from io import TextIOWrapper
from pathlib import Path

from haleward.errors import HalewardError


def speak_any_terminal() -> None:
    """Let a terminal that lacks a character (−, ×, °) show a stand-in instead of failing."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")


def say(*lines: str) -> None:
    """Lines for the user or the next program, on standard output."""
    sys.stdout.write("".join(f"{line}\n" for line in lines))
    sys.stdout.flush()


def say_json(value: object) -> None:
    """One JSON value on standard output."""
    say(as_json(value).rstrip("\n"))


def complain(*lines: str) -> None:
    """Sentences about what is wrong, on standard error."""
    sys.stderr.write("".join(f"{line}\n" for line in lines))


def as_json(value: object) -> str:
    """JSON text with a final line end."""
    return json.dumps(value, ensure_ascii=False, indent=1) + "\n"


def write_files(folder: Path, contents: Mapping[str, bytes], *, force: bool) -> list[Path]:
    """Write every file or none: an existing one is an error unless ``force``.

    Each is written under another name beside its place and takes its name only when all are whole.
    """
    present = [name for name in contents if (folder / name).exists()]
    if present and not force:
        raise HalewardError(f"{folder} already holds {', '.join(present)}. Choose another folder, or add --force.")
    new = not folder.exists()
    folder.mkdir(parents=True, exist_ok=True)
    try:
        with tempfile.TemporaryDirectory(dir=folder, prefix=".half-") as half:
            for name, content in contents.items():
                (Path(half) / name).write_bytes(content)
            return [(Path(half) / name).replace(folder / name) for name in contents]
    except OSError as error:
        if new:
            folder.rmdir()
        reason = (error.strerror or str(error)).lower()
        raise HalewardError(
            f"{folder}: {reason}. Nothing was written; make room, or choose a folder that you may write to."
        ) from error
