"""The page of formulas says what the formulas say."""

import importlib
import importlib.util
import pkgutil
import re
from types import ModuleType

from haleward import capacity, physiology
from haleward.formula import REGISTRY
from tests.architecture.tree import ROOT

DOCS = ROOT / "docs"


def builder() -> ModuleType:
    spec = importlib.util.spec_from_file_location("build_formulas", DOCS / "build_formulas.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_page_of_formulas_is_current() -> None:
    written = (DOCS / "formulas.md").read_text(encoding="utf-8")
    assert written == builder().page(), "Run `python docs/build_formulas.py` and commit docs/formulas.md."


def test_the_page_names_every_formula_of_every_module_once() -> None:
    for room in (physiology, capacity):
        for module in pkgutil.iter_modules(room.__path__):
            importlib.import_module(f"{room.__name__}.{module.name}")
    named = re.findall(r"^#### `(\w+)`$", builder().page(), flags=re.MULTILINE)
    assert sorted(named) == sorted(REGISTRY)


def test_each_formula_on_the_page_has_a_source_and_a_check_row() -> None:
    text = builder().page()
    entries = text.split("#### `")[1:]
    assert len(entries) >= 70
    assert [entry.splitlines()[0] for entry in entries if "Source: " not in entry or ". 0 check rows." in entry] == []
