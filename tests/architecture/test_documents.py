"""The documents say what the code says."""

import importlib.util
import re
from pathlib import Path

import pytest

from haleward.formula import REGISTRY
from tests.architecture.tree import ROOT, SOURCE, place, source_files

DOCS = ROOT / "docs"
PAGES = sorted([*ROOT.glob("*.md"), *DOCS.rglob("*.md")])
DECISIONS = sorted((DOCS / "decisions").glob("*.md"))
# How src reads a setting: by its whole name, or by the reader's functions, which put the prefix before the name.
WHOLE_NAME = re.compile(r"\bHALEWARD_([A-Z][A-Z_]*[A-Z])\b")
READ_NAME = re.compile(r"\b(?:text|flag|names|number)\(\s*\"([A-Z][A-Z_]*)\"")


def sources_page() -> str:
    spec = importlib.util.spec_from_file_location("build_sources", DOCS / "build_sources.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    page = module.page()
    assert isinstance(page, str)
    return page


def test_the_page_of_sources_is_current() -> None:
    written = (DOCS / "sources.md").read_text(encoding="utf-8")
    assert written == sources_page(), "Run `python docs/build_sources.py` and commit docs/sources.md."


def settings_read() -> set[str]:
    """The names, without prefix and without ``_FILE``, of all settings that src reads."""
    texts = [path.read_text(encoding="utf-8") for path in source_files(".py")]
    found = {name for text in texts for pattern in (WHOLE_NAME, READ_NAME) for name in pattern.findall(text)}
    return {name.removesuffix("_FILE") for name in found}


def settings_documented() -> set[str]:
    """The names in the first column of the table of settings."""
    page = (DOCS / "configuration.md").read_text(encoding="utf-8")
    return set(re.findall(r"^\| `HALEWARD_([A-Z_]+)`", page, flags=re.MULTILINE))


def test_each_setting_is_documented_and_each_documented_setting_is_read() -> None:
    assert settings_read()
    assert settings_documented() == settings_read()


@pytest.mark.parametrize("page", PAGES, ids=place)
def test_each_link_to_a_file_leads_somewhere(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    targets = re.findall(r"\]\(([^)#]+)(?:#[^)]*)?\)", text)
    missing = [target for target in targets if "://" not in target and not (page.parent / target).exists()]
    assert missing == []


@pytest.mark.parametrize("name", ["README.md", "CONTRIBUTING.md", "docs/architecture.md"])
def test_each_path_that_a_page_names_exists(name: str) -> None:
    named = re.findall(
        r"`((?:src|tests|docs|requirements|examples)/[^`\s<>*]+|\.ci/run|start\.py)`", (ROOT / name).read_text()
    )
    assert named
    assert [path for path in named if not (ROOT / path).exists()] == []


@pytest.mark.parametrize("page", DECISIONS, ids=place)
def test_each_decision_is_short_and_says_when_to_revisit_it(page: Path) -> None:
    lines = page.read_text(encoding="utf-8").splitlines()
    assert re.fullmatch(r"\d{4}-[a-z0-9-]+", page.stem)
    assert len(lines) <= 60
    headings = [line for line in lines if line.startswith("## ")]
    assert headings == ["## Context", "## Choice", "## Alternatives", "## Consequences", "## When to revisit"]


def test_decisions_are_numbered_without_a_gap() -> None:
    assert [int(page.stem[:4]) for page in DECISIONS] == list(range(1, len(DECISIONS) + 1))


def glossary_names() -> set[str]:
    """The code names of the glossary's table."""
    rows = [line for line in (DOCS / "glossary.md").read_text("utf-8").splitlines() if line.startswith("| ")]
    return {name for row in rows for name in re.findall(r"`(\w+)`", row.split("|")[3])}


def test_each_argument_of_a_formula_is_in_the_glossary() -> None:
    sources_page()  # imports every room that registers formulas
    used = {argument for formula in REGISTRY.values() for argument in formula.ranges}
    assert used - glossary_names() == set()


def test_each_quantity_of_a_record_is_in_the_glossary() -> None:
    text = (SOURCE / "record.py").read_text(encoding="utf-8")
    units = "bpm|mmhg|m|kg|n|s|m_per_s"
    used = set(re.findall(rf"^    (\w+_(?:{units})): ", text, flags=re.MULTILINE))
    assert used
    assert used - glossary_names() == set()


def test_the_change_log_has_a_place_for_numbers_that_change() -> None:
    text = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    assert "### Numbers that change" in text.split("## [")[1]


def test_each_room_and_function_that_the_architecture_names_exists() -> None:
    text = (DOCS / "architecture.md").read_text(encoding="utf-8")
    named = re.findall(r"`([a-z_]+(?:\.[A-Za-z_]+)+)`", text)
    dotted = sorted({name for name in named if name.rpartition(".")[2] not in ("py", "toml", "csv", "md")})
    assert dotted
    assert [name for name in dotted if not exists(name)] == []


def exists(dotted: str) -> bool:
    """Whether ``dotted`` names a module of ours, or a function or class in one."""
    path = SOURCE.joinpath(*dotted.split("."))
    if path.with_suffix(".py").is_file() or path.is_dir():
        return True
    module, name = path.parent.with_suffix(".py"), path.name
    return module.is_file() and re.search(rf"^(?:def|class) {name}\b", module.read_text("utf-8"), re.M) is not None
