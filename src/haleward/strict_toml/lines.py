"""Where each key of a TOML text stands: ``tomllib`` gives the values, this gives the lines.

Only positions are read here; the text has already passed ``tomllib``, so the scanner may assume that it is valid.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping

Path = tuple[str | int, ...]  # keys from the top of the file; the index in an array of tables stands after its name
_HEADER = re.compile(r"\s*(\[\[?)(.+?)\]\]?\s*(?:#.*)?$")
_OPENING = re.compile(r"[\"'\[{\]}#]")  # without one of these a statement ends with its line
_QUOTES = ('"""', "'''", '"', "'")


def key_lines(text: str) -> Mapping[Path, int]:
    """The line (from 1) of every table and key, by its path; the second ``[[event]]`` is ``("event", 1)``."""
    lines: dict[Path, int] = {}
    counts: dict[Path, int] = {}
    table: Path = ()
    for number, statement in _statements(text):
        header = _HEADER.match(statement)
        if header and "=" not in _outside_quotes(statement).split("]")[0]:
            table = _indexed(_keys(header[2]), counts, new_item=header[1] == "[[")
            lines.setdefault(table, number)
        elif "=" in statement:
            lines[(*table, *_keys(statement))] = number
    return lines


def line_of(lines: Mapping[Path, int], path: Path) -> int | None:
    """The line of ``path``, or of the nearest thing around it that has one; ``None`` for the file as a whole."""
    for length in range(len(path), 0, -1):
        if path[:length] in lines:
            return lines[path[:length]]
    return None


def error_line(error: tomllib.TOMLDecodeError, text: str) -> int:
    """The line a syntax error names; the last line if it says "end of document"."""
    match = re.search(r"line (\d+)", str(error))
    return int(match[1]) if match else max(1, len(text.rstrip().splitlines()))


def _statements(text: str) -> Iterator[tuple[int, str]]:
    """Each header or key with its value, however many lines it takes, with its first line's number."""
    pending, start = "", 0
    for number, line in enumerate(text.splitlines(), start=1):
        if not pending:
            if not line.strip() or line.lstrip().startswith("#"):
                continue
            start = number
        pending = f"{pending}{line}\n"
        if _complete(pending):
            yield start, pending.rstrip("\n")
            pending = ""
    if pending:
        yield start, pending.rstrip("\n")


def _complete(statement: str) -> bool:
    """Whether every string and bracket that was opened is closed again."""
    if not _OPENING.search(statement):
        return True
    bare = _outside_quotes(statement)
    return bare is not _OPEN and sum(bare.count(c) for c in "[{") == sum(bare.count(c) for c in "]}")


_OPEN = "\0"  # what _outside_quotes returns while a string is still open
_STRING = re.compile(
    r""""{3}(?:\\.|[^\\])*?"{3,5}|\'{3}.*?\'{3,5}|"{3}|\'{3}|"(?:\\.|[^"\\\n])*"|\'[^\'\n]*\'|#[^\n]*""", re.DOTALL
)


def _outside_quotes(text: str) -> str:
    """``text`` without its strings and comments, or ``_OPEN`` if a string does not end."""
    bare = _STRING.sub(lambda found: _OPEN if found[0] in _QUOTES[:2] else "", text)
    return _OPEN if any(one in bare for one in (_OPEN, '"', "'")) else bare


def _keys(text: str) -> Path:
    """The dotted key at the start of ``text``, without quotes."""
    parts = re.match(r"""\s*((?:"[^"]*"|'[^']*'|[\w-]+)(?:\s*\.\s*(?:"[^"]*"|'[^']*'|[\w-]+))*)""", text)
    found = re.findall(r""""([^"]*)"|'([^']*)'|([\w-]+)""", parts[1]) if parts else []
    return tuple("".join(groups) for groups in found)


def _indexed(keys: Path, counts: dict[Path, int], *, new_item: bool) -> Path:
    """The path of a header with the index of each array of tables put in after its name."""
    path: Path = ()
    for position, key in enumerate(keys):
        path = (*path, key)
        last = position == len(keys) - 1
        if last and new_item:
            counts[path] = counts.get(path, -1) + 1
        if path in counts:
            path = (*path, counts[path])
    return path
