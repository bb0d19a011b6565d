"""Names that come close to one that nobody knows."""

from __future__ import annotations

import difflib
import re
from collections.abc import Collection

NEAREST = 3  # how many names a question about a wrong one offers


def near(word: str, known: Collection[str]) -> str:
    """The end of a sentence: a question naming what in ``known`` comes close to ``word``, or a full stop."""
    parts = [part for part in re.split(r"[^a-z0-9]+", word.lower()) if part]
    spelt = difflib.get_close_matches(word, list(known), n=3, cutoff=0.6)
    holding = [name for name in known if parts and all(part in name for part in parts)]
    initials = [name for name in known if "".join(part[:1] for part in name.split("_")) == word.lower()]
    close = list(dict.fromkeys((*initials, *spelt, *holding)))[:NEAREST]
    return f"; did you mean {' or '.join(close)}?" if close else "."
