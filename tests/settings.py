"""Settings of the tests: the product's own, with a key made for this run and files kept out of the way."""

import os
import secrets
import tempfile

from django.contrib.auth.hashers import Argon2PasswordHasher

os.environ.setdefault("HALEWARD_DATA", tempfile.mkdtemp(prefix="haleward-tests-"))
os.environ.setdefault("HALEWARD_SECRET_KEY", secrets.token_urlsafe(64))

from haleward.web.project.settings import *  # noqa: F403

STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = True
# A file, as in the product: the browser tests read it while the server writes, which a store in memory does not allow.
DATABASES["default"]["TEST"] = {"NAME": DATA / "tests.sqlite3"}  # noqa: F405
# Nothing of a test needs to outlive a loss of power, and no password of a test is worth a tenth of a second of work.
DATABASES["default"]["OPTIONS"] |= {"init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=OFF;"}  # type: ignore[operator]  # noqa: F405
Argon2PasswordHasher.time_cost, Argon2PasswordHasher.memory_cost, Argon2PasswordHasher.parallelism = 1, 64, 1
