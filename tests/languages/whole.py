"""A shipped catalogue made whole: whatever it lacks today has a stand-in, so that tests of pages do not wait for it."""

from __future__ import annotations

import re
from dataclasses import replace

from haleward.languages import Catalogue, load_catalogue, person_texts
from haleward.safety.protocol import default_protocol

STAND_IN = {"ar": "نص", "de": "Wort"}
_BRACES = re.compile(r"\{\w+\}")


def whole_catalogue(tag: str, *values: str, without: str = "") -> Catalogue:
    """The catalogue with every text of today and the ``values`` of a service, but for the text ``without``."""
    shipped = load_catalogue(tag)
    texts = person_texts(symptoms={one.key: one.label for one in default_protocol().concerns.symptoms})
    told = {(text.table, text.english): shipped.of(text) or _stand_in(tag, text.english) for text in texts}
    told |= {("values", value): told.get(("values", value)) or STAND_IN[tag] for value in values}
    return replace(shipped, texts={place: text for place, text in told.items() if place[1] != without})


def _stand_in(tag: str, english: str) -> str:
    return " ".join([STAND_IN[tag], *_BRACES.findall(english)])
