"""Settings from the environment, prefix ``HALEWARD_``; nonsense is refused at start, in one sentence."""

from __future__ import annotations

import os
import zoneinfo
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

from haleward.errors import HalewardError

SHORTEST_KEY = 50  # characters; what Django's own check of a deployment asks for


class BadSetting(ImproperlyConfigured, HalewardError):
    """A setting that cannot be used: one sentence, for Django and for the command line alike."""


def text(name: str, default: str = "") -> str:
    """The value of ``HALEWARD_<name>``, or of the file that ``HALEWARD_<name>_FILE`` points to."""
    file_name = os.environ.get(f"HALEWARD_{name}_FILE")
    if file_name:
        try:
            return Path(file_name).read_text(encoding="utf-8").strip()
        except OSError as error:
            raise BadSetting(f"HALEWARD_{name}_FILE: cannot read {file_name} ({error.strerror}).") from error
        except UnicodeDecodeError as error:
            raise BadSetting(f"HALEWARD_{name}_FILE: {file_name} is not UTF-8 text.") from error
    return os.environ.get(f"HALEWARD_{name}", default)


def flag(name: str, *, default: bool) -> bool:
    """A yes/no setting; only the words yes and no are read."""
    value = text(name, "yes" if default else "no").lower()
    if value not in ("yes", "no"):
        raise BadSetting(f"HALEWARD_{name} is {value!r}; write yes or no.")
    return value == "yes"


def names(name: str, default: str) -> list[str]:
    """A list of names separated by commas."""
    return [part.strip() for part in text(name, default).split(",") if part.strip()]


def time_zone(default: str) -> str:
    """The name of a time zone that this machine knows (``HALEWARD_TIME_ZONE``)."""
    value = text("TIME_ZONE", default)
    if value not in zoneinfo.available_timezones():
        raise BadSetting(f"HALEWARD_TIME_ZONE is {value!r}; write a time zone such as {default}.")
    return value


def data_folder() -> Path:
    """Where the store, the secret key and collected files are kept (``HALEWARD_DATA``, else ``var`` here)."""
    return Path(text("DATA", "var")).resolve()


def secret_key(folder: Path) -> str:
    """The signing key: from the environment, else the file that the first start made. Never a built-in value."""
    kept, key = folder / "secret_key", text("SECRET_KEY")
    try:
        where, key = ("HALEWARD_SECRET_KEY", key) if key else (str(kept), kept.read_text(encoding="utf-8").strip())
    except FileNotFoundError as error:
        raise BadSetting(
            f"No secret key: set HALEWARD_SECRET_KEY, or start with `haleward serve`, which makes {kept}."
        ) from error
    except OSError as error:
        raise BadSetting(f"The secret key in {kept} cannot be read ({error.strerror}).") from error
    if len(key) < SHORTEST_KEY:
        raise BadSetting(f"The secret key in {where} has {len(key)} characters; it must have {SHORTEST_KEY} or more.")
    return key
