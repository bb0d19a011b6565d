"""Puts the page's small files together into one script and one style sheet, so that the page plays from one file."""

from __future__ import annotations

import base64
import hashlib
import re
from functools import cache
from pathlib import Path

ASSETS = Path(__file__).parent / "page_assets"
FONTS = Path(__file__).parent.parent / "data" / "fonts"
_ENTRY = "main.js"
_IMPORT = re.compile(r'^import \{[^}]*\} from "\./([\w.]+)";\n', re.MULTILINE)
_EXPORT = re.compile(r"^export ", re.MULTILINE)
_COMMENT = re.compile(r"^[ \t]*(?://.*|/\*\*[\s\S]*?\*/)$", re.MULTILINE)
_FACES = {400: "atkinson-hyperlegible-latin-400-normal.woff2", 700: "atkinson-hyperlegible-latin-700-normal.woff2"}
_ARABIC_FACES = {400: "vazirmatn-arabic-400-normal.woff2", 700: "vazirmatn-arabic-700-normal.woff2"}
_LATIN, _ARABIC = "Atkinson Hyperlegible", "Vazirmatn"


@cache
def script(entry: str = _ENTRY) -> str:
    """Every module that ``entry`` needs, each after those it imports, in one closed scope: nothing becomes global."""
    order: list[str] = []
    _visit(entry, order)
    bodies = (_EXPORT.sub("", _bare(_IMPORT.sub("", (ASSETS / name).read_text(encoding="utf-8")))) for name in order)
    return '(() => {\n"use strict";\n' + "\n".join(bodies) + "})();\n"


@cache
def style(*more: str, direction: str = "ltr") -> str:
    """The style sheet with the two faces of the typeface inside it, and ``more`` sheets after it.

    A page that runs from right to left has those of the Arabic letters too.
    """
    named = [(_LATIN, weight, name) for weight, name in _FACES.items()]
    named += [(_ARABIC, weight, name) for weight, name in _ARABIC_FACES.items()] if direction == "rtl" else []
    faces = "\n".join(_face(*each) for each in named)
    return "\n".join((faces, *((ASSETS / name).read_text(encoding="utf-8") for name in ("page.css", *more))))


@cache
def template(name: str = "page.html") -> str:
    """The page's frame; its blanks are filled by the module that makes the page."""
    return (ASSETS / name).read_text(encoding="utf-8")


def csp_hash(text: str) -> str:
    """The hash by which a content security policy allows one inline block."""
    digest = hashlib.sha256(text.encode("utf-8")).digest()
    return f"'sha256-{base64.b64encode(digest).decode('ascii')}'"


def _bare(source: str) -> str:
    """A module without its comments and indents: they are for whoever reads the files, not for a phone."""
    return "".join(f"{line.strip()}\n" for line in _COMMENT.sub("", source).splitlines() if line.strip())


def _visit(name: str, order: list[str]) -> None:
    if name in order:
        return
    for needed in _IMPORT.findall((ASSETS / name).read_text(encoding="utf-8")):
        _visit(needed, order)
    order.append(name)


def _face(family: str, weight: int, name: str) -> str:
    data = base64.b64encode((FONTS / name).read_bytes()).decode("ascii")
    return (
        f'@font-face{{font-family:"{family}";font-weight:{weight};font-display:swap;'
        f'src:url(data:font/woff2;base64,{data}) format("woff2")}}'
    )
