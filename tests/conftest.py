"""What every test shares: patience on a busy machine, and the browser."""

import os
import shutil

import pytest
from hypothesis import settings

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
