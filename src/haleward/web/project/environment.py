"""Settings from the environment, prefix ``HALEWARD_``; nonsense is refused at start, in one sentence."""

from __future__ import annotations

import os
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured


def text(name: str, default: str = "") -> str:
    """The value of ``HALEWARD_<name>``, or of the file that ``HALEWARD_<name>_FILE`` points to."""
    file_name = os.environ.get(f"HALEWARD_{name}_FILE")
    if file_name:
        try:
            return Path(file_name).read_text(encoding="utf-8").strip()
        except OSError as error:
            raise ImproperlyConfigured(f"HALEWARD_{name}_FILE: cannot read {file_name} ({error.strerror}).") from error
    return os.environ.get(f"HALEWARD_{name}", default)


def flag(name: str, *, default: bool) -> bool:
    """A yes/no setting; only the words yes and no are read."""
    value = text(name, "yes" if default else "no").lower()
    if value not in ("yes", "no"):
        raise ImproperlyConfigured(f"HALEWARD_{name} is {value!r}; write yes or no.")
    return value == "yes"


def names(name: str, default: str) -> list[str]:
    """A list of names separated by commas."""
    return [part.strip() for part in text(name, default).split(",") if part.strip()]


def data_folder() -> Path:
    """Where the store, the secret key and collected files are kept (``HALEWARD_DATA``, else ``var`` here)."""
    return Path(text("DATA", "var")).resolve()


def secret_key(folder: Path) -> str:
    """The signing key: from the environment, else the file that the first start made. Never a built-in value."""
    key = text("SECRET_KEY")
    if key:
        return key
    kept = folder / "secret_key"
    try:
        return kept.read_text(encoding="utf-8").strip()
    except OSError as error:
        raise ImproperlyConfigured(
            f"No secret key: set HALEWARD_SECRET_KEY, or start with `haleward serve`, which makes {kept}."
        ) from error
