"""Pictures of pages, for people to look at. None is made unless HALEWARD_SHOTS names a folder."""

import os
from pathlib import Path

from playwright.sync_api import Page

WIDE, NARROW = (1280, 900), (390, 844)


def shot(page: Page, name: str) -> None:
    """Keep a picture of the page at both widths, in the folder that HALEWARD_SHOTS names (if it names one)."""
    folder = os.environ.get("HALEWARD_SHOTS", "")
    if not folder:
        return
    before = page.viewport_size
    for width, height in (WIDE, NARROW):
        page.set_viewport_size({"width": width, "height": height})
        page.screenshot(path=Path(folder) / f"{name}-{width}.png", full_page=True)
    page.set_viewport_size(before)
