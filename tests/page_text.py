"""A session page as text to look into: what is folded in it, unfolded."""

import json
import re
from typing import Any

from haleward.render.page_pack import unpack

_FOLDED = re.compile(r'"(\d+:[^"\s]{20,})"')
_FILES = re.compile(r"base64,[A-Za-z0-9+/=]+")
_DATA = re.compile(r'id="data">(.*?)</script>', re.DOTALL)


def opened(page: str) -> str:
    """The page without its embedded files, with every folded part as JSON. A page with nothing folded is no page."""
    assert _FOLDED.search(page)
    return _FOLDED.sub(lambda found: json.dumps(unpack(found[1]), ensure_ascii=False), _FILES.sub("", page))


def page_data(page: str) -> dict[str, Any]:
    """What the page plays from, with its texts, sheet and gate unfolded; the figures stay folded."""
    found = _DATA.search(page)
    assert found
    data = json.loads(found[1])
    return {**data, **unpack(data["said"]), "sheet": unpack(data["sheet"]), "gate": unpack(data["gate"])}
