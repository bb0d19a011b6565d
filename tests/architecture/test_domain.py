"""The domain rooms explain themselves and stand without the framework."""

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.architecture.tree import domain_files, domain_rooms, place

# Runs in a Python of its own: blocks the framework, then imports every module of one room.
IMPORT_A_ROOM = """
import importlib, pkgutil, sys

class Blocker:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in ("django", "django_htmx", "axes", "csp", "simple_history"):
            raise ModuleNotFoundError(f"{name} is blocked")

sys.meta_path.insert(0, Blocker())
room = importlib.import_module("haleward." + sys.argv[1])
for module in pkgutil.walk_packages(getattr(room, "__path__", []), room.__name__ + "."):
    importlib.import_module(module.name)
"""


@pytest.mark.parametrize("room", domain_rooms())
def test_a_room_is_imported_with_the_framework_blocked(room: str) -> None:
    result = subprocess.run([sys.executable, "-c", IMPORT_A_ROOM, room], capture_output=True, text=True, check=False)
    assert result.returncode == 0, result.stderr


def test_the_blocker_stops_a_room_that_needs_the_framework() -> None:
    result = subprocess.run([sys.executable, "-c", IMPORT_A_ROOM, "web"], capture_output=True, text=True, check=False)
    assert "django is blocked" in result.stderr


Definition = ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef


def public_definitions(tree: ast.Module | ast.ClassDef) -> Iterator[Definition]:
    """The public functions, classes and methods of a module, however deep the classes lie."""
    for node in tree.body:
        if isinstance(node, Definition) and not node.name.startswith("_"):
            yield node
            if isinstance(node, ast.ClassDef):
                yield from public_definitions(node)


def undocumented(path: Path) -> list[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return [
        f"{place(path)}:{node.lineno} {node.name}" for node in public_definitions(tree) if not ast.get_docstring(node)
    ]


def test_everything_public_in_the_domain_has_a_docstring() -> None:
    assert [name for path in domain_files() for name in undocumented(path)] == []


def test_every_module_of_the_domain_says_what_it_is() -> None:
    silent = [place(path) for path in domain_files() if not ast.get_docstring(ast.parse(path.read_text("utf-8")))]
    assert [name for name in silent if not name.endswith("__init__.py")] == []
