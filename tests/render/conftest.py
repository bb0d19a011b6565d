"""What tests of sound and film share: sentences that were said once."""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture(scope="session")
def said(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder in which sentences are kept."""
    return tmp_path_factory.mktemp("said")
