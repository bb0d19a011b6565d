"""What every test shares: patience on a busy machine, and the browser."""

from __future__ import annotations

import os
import shutil
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings

if TYPE_CHECKING:
    from tests.render.filmed import Filmed

# A shared machine may be slow for a moment; what a property says does not depend on that.
settings.register_profile("haleward", deadline=None)
settings.load_profile("haleward")


@pytest.fixture(scope="session")
def chromium() -> str:
    """The path of the browser for the browser tests, as start.py found or installed it."""
    names = (os.environ.get("HALEWARD_BROWSER", ""), "chromium", "chromium-browser", "google-chrome")
    found = next((path for path in map(shutil.which, filter(None, names)) if path), "")
    assert found, "Install Chromium or set HALEWARD_BROWSER to its path (python3 start.py test does)."
    return found


@pytest.fixture(scope="session")
def filmed(tmp_path_factory: pytest.TempPathFactory) -> Filmed:
    """A short session's film: made once, because making one takes seconds."""
    from tests.render.filmed import film_once

    return film_once(tmp_path_factory.mktemp("filmed"))
