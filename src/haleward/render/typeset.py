"""Turns a template of this folder and its data into a tagged PDF/UA-1, or says in one sentence why it cannot."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import typst

from haleward.errors import HalewardError
from haleward.render.page_bundle import FONTS
from haleward.wording import Wording

_TEMPLATES = Path(__file__).parent
_FACES = ("AtkinsonHyperlegible-Regular.ttf", "AtkinsonHyperlegible-Bold.ttf")
_RTL_FACES = ("VazirmatnArabic-Regular.ttf", "VazirmatnArabic-Bold.ttf")
_NO_GLYPH = re.compile(r'the text `"(.+?)"` could not be displayed')


def language_data(wording: Wording) -> dict[str, str]:
    """What a template sets its language, direction and draft line from."""
    return {"lang": wording.language.partition("-")[0], "dir": wording.direction, "draft": wording.draft_line}


def typeset(template: str, data: Mapping[str, Any], *, fonts: Path = FONTS) -> bytes:
    """The PDF of ``template`` (a file of this folder) filled with ``data``.

    Raises :class:`haleward.errors.HalewardError` if the typeface is missing (the typesetter would quietly take
    another), or if a name or a goal has a sign that no face here can print.
    """
    faces = _FACES + (_RTL_FACES if data.get("dir") == "rtl" else ())
    missing = [name for name in faces if not (fonts / name).is_file()]
    if missing:
        raise HalewardError(f"{fonts} lacks the typeface {' and '.join(missing)}; install Haleward again to print.")
    try:
        pdf = typst.compile(
            str(_TEMPLATES / template),
            root=str(_TEMPLATES),
            font_paths=[str(fonts)],
            ignore_system_fonts=True,
            sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
            pdf_standards="ua-1",
        )
    except typst.TypstError as error:
        raise _as_sentence(error) from error
    if not isinstance(pdf, bytes):
        raise TypeError("The typesetter gave several files for one print.")
    return pdf


def _as_sentence(error: typst.TypstError) -> Exception:
    sign = _NO_GLYPH.search(str(error))
    if sign is None:
        return error  # a fault of the template, not of what was entered
    return HalewardError(
        f'The print has no sign for "{sign[1]}"; write the name, the goal or the limit that has it in other letters.'
    )
