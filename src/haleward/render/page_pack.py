"""Folds large parts of the page small, so that one file shows its first screen soon; inflate.js is the other half."""

from __future__ import annotations

import base64
import json
import zlib
from typing import Any

_FOR_HTML = str.maketrans("&<>", ",./")  # digits of the usual alphabet that would have to be escaped in the page
_FROM_HTML = str.maketrans(",./", "&<>")


def pack(value: object) -> str:
    """``value`` as text: the number of its bytes as JSON, a colon, and the bytes deflated (RFC 1951) in base 85."""
    plain = json.dumps(value, ensure_ascii=False, separators=(",", ":")).encode()
    folder = zlib.compressobj(9, zlib.DEFLATED, -zlib.MAX_WBITS)
    folded = folder.compress(plain) + folder.flush()
    return f"{len(plain)}:{base64.b85encode(folded).decode('ascii').translate(_FOR_HTML)}"


def unpack(text: str) -> Any:
    """What :func:`pack` folded."""
    size, _, data = text.partition(":")
    plain = zlib.decompress(base64.b85decode(data.translate(_FROM_HTML)), -zlib.MAX_WBITS, int(size))
    return json.loads(plain)
