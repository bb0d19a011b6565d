"""The square codes that open a person's session page and film, and what stands in their place without a link."""

from __future__ import annotations

import io
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import segno

from haleward.errors import HalewardError
from haleward.wording import Wording

ADDRESS_MOST = 600  # characters; a longer address makes squares too small for the camera of an old phone


@dataclass(frozen=True)
class Links:
    """Addresses of the person's session page and film; "" where there is none."""

    page: str = ""
    film: str = ""


NO_LINKS = Links()


def code_data(links: Links, *, wording: Wording, values: Mapping[str, str]) -> dict[str, Any]:
    """The codes with their words, and the lines around them."""
    wanted = (("page", links.page), ("film", links.film))
    codes = [
        {
            "svg": _svg(address),
            "alt": wording.text(f"print_code_{kind}_alt", values),
            "caption": wording.text(f"print_code_{kind}", values),
        }
        for kind, address in wanted
        if address
    ]
    ask = [wording.text(f"print_code_ask_{kind}", values) for kind, address in wanted if not address]
    how = [wording.text(key, values) for key in ("print_code_how", "print_code_private")] if codes else []
    return {
        "heading": wording.text("print_on_screen", values),
        "codes": codes,
        "lines": [*how, *ask, wording.text("print_code_same", values)],
    }


def _svg(address: str) -> str:
    if not address.startswith(("https://", "http://")):
        raise HalewardError(f'"{address}" cannot go into a code; give an address that starts with https://.')
    if len(address) > ADDRESS_MOST:
        raise HalewardError(f"The address has {len(address)} characters; a code can hold {ADDRESS_MOST}.")
    out = io.BytesIO()
    segno.make(address, error="m", micro=False).save(out, kind="svg", xmldecl=False, border=4, light="#ffffff")
    return out.getvalue().decode()
