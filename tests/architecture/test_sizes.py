"""No file and no function outgrows one reading (the "never" column of the size table)."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.architecture.tree import ROOT, place, source_files

LINES_MOST = {".py": 500, ".js": 260, ".css": 260, ".html": 200}
FUNCTION_LINES_MOST = 60


def function_sizes(tree: ast.AST) -> Iterator[tuple[str, int]]:
    """Each function's name and its lines without decorators and docstring."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            first = node.body[0]
            written = ast.get_docstring(node) is not None
            documented = (first.end_lineno or first.lineno) - first.lineno + 1 if written else 0
            yield node.name, (node.end_lineno or node.lineno) - node.lineno + 1 - documented


def long_functions(path: Path) -> list[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return [
        f"{place(path)} {name}: {lines} lines" for name, lines in function_sizes(tree) if lines > FUNCTION_LINES_MOST
    ]


@pytest.mark.parametrize("suffix", LINES_MOST)
def test_no_file_is_longer_than_its_kind_may_be(suffix: str) -> None:
    files = source_files(suffix)
    assert files
    sizes = {place(path): len(path.read_text(encoding="utf-8").splitlines()) for path in files}
    assert {name: lines for name, lines in sizes.items() if lines > LINES_MOST[suffix]} == {}


def test_no_function_is_longer_than_one_screen_and_a_half() -> None:
    files = [*source_files(".py"), ROOT / "start.py", ROOT / "docs" / "build_sources.py"]
    assert [fault for path in files for fault in long_functions(path)] == []


def test_the_measure_counts_code_and_not_the_docstring() -> None:
    source = 'def f():\n    """One.\n\n    Two.\n    """\n    return 1\n'
    assert list(function_sizes(ast.parse(source))) == [("f", 2)]


@pytest.mark.parametrize(
    ("name", "most"), [("README.md", 120), ("CONTRIBUTING.md", 150), ("docs/architecture.md", 200)]
)
def test_a_page_for_newcomers_is_short(name: str, most: int) -> None:
    assert len((ROOT / name).read_text(encoding="utf-8").splitlines()) <= most
