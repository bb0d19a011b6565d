"""Make a copy of the repository whose formulas mutmut can change.

    .venv/bin/python bench/mutants.py FOLDER
    cd FOLDER && ../path/to/.venv/bin/mutmut run --max-children 1

mutmut leaves decorated functions alone, and every formula is one. In the copy ``@formula(...)`` before a function
becomes ``name = formula(...)(name)`` after it: the same registration, but the function itself is plain.
"""

from __future__ import annotations

import ast
import shutil
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]
COPIED = ("src", "tests", "docs", "bench", "examples", "pyproject.toml", "README.md", "LICENSE", "CHANGELOG.md")
ROOMS = ("physiology", "capacity")


def undecorated(text: str) -> str:
    """The module with every ``@formula(...)`` moved behind its function."""
    lines = text.splitlines()
    for node in reversed(ast.parse(text).body):
        if not isinstance(node, ast.FunctionDef) or len(node.decorator_list) != 1:
            continue
        (decorator,) = node.decorator_list
        if not (
            isinstance(decorator, ast.Call) and isinstance(decorator.func, ast.Name) and decorator.func.id == "formula"
        ):
            continue
        first, last, end = (
            decorator.lineno - 1,
            decorator.end_lineno or decorator.lineno,
            node.end_lineno or node.lineno,
        )
        call = [lines[first].replace("@formula(", f"{node.name} = formula(", 1), *lines[first + 1 : last]]
        lines[first:end] = [*lines[last:end], "", "", *call[:-1], f"{call[-1]}({node.name})"]
    return "\n".join(lines) + "\n"


def main(words: list[str]) -> int:
    """Copy, then rewrite the rooms that hold formulas."""
    if len(words) != 1:
        sys.stderr.write("Give one folder that does not exist yet: bench/mutants.py FOLDER\n")
        return 2
    folder = Path(words[0])
    folder.mkdir(parents=True)
    for name in COPIED:
        place = ROOT / name
        if place.is_dir():
            shutil.copytree(place, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(place, folder / name)
    for room in ROOMS:
        for path in sorted((folder / "src" / "haleward" / room).glob("*.py")):
            path.write_text(undecorated(path.read_text(encoding="utf-8")), encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
