"""Nothing in the project names a machine, a registry or work left undone.

The words are put together here from pieces, so that this file does not hold them itself.
"""

import re

from tests.architecture.tree import place, project_files

# Files that hold other people's text, or nothing but hashes and drawings.
BINARY = {".png", ".jpg", ".woff2", ".woff", ".ttf", ".otf", ".ico", ".sqlite3", ".pdf", ".gz"}


def joined(*pieces: str) -> str:
    return "".join(pieces)


PLACES = [
    joined("/wo", "rk/"),
    joined("/ro", "ot/"),
    joined("/tm", "p/"),
    joined("../sha", "red"),
    joined("py", "pi.org"),
    joined("python", "hosted.org"),
    joined("npm", "js.org"),
    joined("deb.", "debian.org"),
]
UNDONE = [
    joined("not imple", "mented"),
    joined("coming ", "soon"),
    joined("placeholder ", "data"),
    joined("lorem ", "ipsum"),
    joined("tran", "script"),
    joined("seed ", "document"),
]
MARKS = [joined("TO", "DO"), joined("FIX", "ME"), joined("XX", "X")]
FORBIDDEN = re.compile(
    "|".join([f"(?i:{re.escape(word)})" for word in [*PLACES, *UNDONE]] + [rf"\b{mark}\b" for mark in MARKS])
)


def test_no_file_names_a_machine_or_leaves_a_promise() -> None:
    found = []
    for path in project_files():
        if path.suffix in BINARY or "vendor" in path.parts or path.name == "LICENSE":
            continue
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            if match := FORBIDDEN.search(line):
                found.append(f"{place(path)}:{number} {match.group()}")
    assert found == []


def test_the_pattern_finds_what_it_should() -> None:
    assert FORBIDDEN.search(joined("see /wo", "rk/main"))
    assert FORBIDDEN.search(joined("# TO", "DO later"))
    assert FORBIDDEN.search(joined("Coming ", "Soon"))
    assert not FORBIDDEN.search("What to do: due_lines and homework/tasks")
