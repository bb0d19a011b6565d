"""Settings from the environment: nonsense is refused in one sentence; what every answer of the server carries."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.test import Client
from django.urls import reverse

from haleward.errors import HalewardError
from haleward.web.accounts.models import User
from haleward.web.people.models import Person
from haleward.web.prescription.models import ProgrammeVersion
from haleward.web.project import environment
from tests.web.conftest import as_user

KEY = "k" * environment.SHORTEST_KEY


@pytest.fixture(autouse=True)
def clean(monkeypatch: pytest.MonkeyPatch) -> None:
    """No setting of this machine reaches a test."""
    for name in [name for name in os.environ if name.startswith("HALEWARD_")]:
        monkeypatch.delenv(name)


def sentence(error: pytest.ExceptionInfo[environment.BadSetting]) -> str:
    """The one sentence; Django and the command line both know this error."""
    assert isinstance(error.value, ImproperlyConfigured)
    assert isinstance(error.value, HalewardError)
    text = str(error.value)
    assert len(text.splitlines()) == 1
    return text


def test_there_is_no_built_in_key(tmp_path: Path) -> None:
    with pytest.raises(environment.BadSetting) as error:
        environment.secret_key(tmp_path)
    text = sentence(error)
    assert text.startswith("No secret key: set HALEWARD_SECRET_KEY, or start with `haleward serve`")


def test_the_key_comes_from_the_environment_a_named_file_or_the_first_start(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "secret_key").write_text(f"{KEY}-kept\n")
    assert environment.secret_key(tmp_path) == f"{KEY}-kept"
    monkeypatch.setenv("HALEWARD_SECRET_KEY", f"{KEY}-set")
    assert environment.secret_key(tmp_path) == f"{KEY}-set"
    named = tmp_path / "named"
    named.write_text(f"{KEY}-named\n")
    monkeypatch.setenv("HALEWARD_SECRET_KEY_FILE", str(named))
    assert environment.secret_key(tmp_path) == f"{KEY}-named"


def test_a_short_key_is_refused_without_being_shown(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HALEWARD_SECRET_KEY", "secret")
    with pytest.raises(environment.BadSetting, match="HALEWARD_SECRET_KEY has 6 characters; it must have 50") as error:
        environment.secret_key(tmp_path)
    assert "'secret'" not in sentence(error)
    monkeypatch.delenv("HALEWARD_SECRET_KEY")
    (tmp_path / "secret_key").write_text("")
    with pytest.raises(environment.BadSetting, match="secret_key has 0 characters"):
        environment.secret_key(tmp_path)


def test_a_key_that_cannot_be_read_is_named(tmp_path: Path) -> None:
    (tmp_path / "secret_key").mkdir()
    with pytest.raises(environment.BadSetting, match=r"cannot be read \(Is a directory\)\."):
        environment.secret_key(tmp_path)


@pytest.mark.parametrize(("content", "why"), [(None, "cannot read"), (b"\xff\xfe", "is not UTF-8 text")])
def test_a_settings_file_that_cannot_be_read_is_named(
    content: bytes | None, why: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "hosts"
    if content is not None:
        path.write_bytes(content)
    monkeypatch.setenv("HALEWARD_HOSTS_FILE", str(path))
    with pytest.raises(environment.BadSetting) as error:
        environment.names("HOSTS", "localhost")
    assert "HALEWARD_HOSTS_FILE" in sentence(error)
    assert str(path) in sentence(error)
    assert why in sentence(error)


@pytest.mark.parametrize("word", ["true", "1", "on", "y", "", "yes please"])
def test_a_flag_reads_yes_and_no_only(word: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HALEWARD_HTTPS", word)
    with pytest.raises(environment.BadSetting) as error:
        environment.flag("HTTPS", default=False)
    assert sentence(error) == f"HALEWARD_HTTPS is {word!r}; write yes or no."


def test_a_flag_has_its_default_when_nothing_is_set(monkeypatch: pytest.MonkeyPatch) -> None:
    assert environment.flag("HTTPS", default=False) is False
    assert environment.flag("HTTPS", default=True) is True
    monkeypatch.setenv("HALEWARD_HTTPS", "Yes")
    assert environment.flag("HTTPS", default=False) is True


@pytest.mark.parametrize("zone", ["Nowhere/Else", "", "../etc/passwd", "BST"])
def test_an_unknown_time_zone_is_refused(zone: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HALEWARD_TIME_ZONE", zone)
    with pytest.raises(environment.BadSetting) as error:
        environment.time_zone("Europe/London")
    assert sentence(error) == f"HALEWARD_TIME_ZONE is {zone!r}; write a time zone such as Europe/London."


def test_names_are_separated_by_commas(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HALEWARD_HOSTS", "a.example, b.example,,")
    assert environment.names("HOSTS", "localhost") == ["a.example", "b.example"]


# In a process of its own, as it is started


def django(*words: str, data: Path, **settings: str) -> subprocess.CompletedProcess[str]:
    plain = {name: value for name, value in os.environ.items() if not name.startswith("HALEWARD_")}
    environ = plain | {"DJANGO_SETTINGS_MODULE": "haleward.web.project.settings", "HALEWARD_DATA": str(data)}
    environ |= {f"HALEWARD_{name}": value for name, value in settings.items()}
    return subprocess.run(
        [sys.executable, "-m", "django", *words], env=environ, capture_output=True, text=True, timeout=120, check=False
    )


def test_the_check_of_a_deployment_finds_nothing(tmp_path: Path) -> None:
    key = "".join(chr(33 + number) for number in range(90) if chr(33 + number) != "'")
    result = django("check", "--deploy", "--fail-level", "INFO", data=tmp_path, HTTPS="yes", SECRET_KEY=key)
    assert result.returncode == 0, result.stderr
    assert "no issues (0 silenced)" in result.stdout


def test_without_a_key_django_does_not_start(tmp_path: Path) -> None:
    result = django("check", data=tmp_path)
    assert result.returncode != 0
    assert "No secret key" in result.stderr


# What every answer carries

STRICT = {
    "default-src": "'none'",
    "style-src": "'self'",
    "connect-src": "'self'",
    "base-uri": "'none'",
    "form-action": "'self'",
    "frame-ancestors": "'none'",
}


def policy(header: str) -> dict[str, str]:
    parts = (part.strip().partition(" ") for part in header.split(";") if part.strip())
    return {name: sources for name, _, sources in parts}


@pytest.mark.django_db
def test_the_policy_of_every_staff_page_is_strict(
    staff: dict[str, User], person: Person, plan: ProgrammeVersion
) -> None:
    pages = ["/", "/people/", "/referrals/", "/referrals/new/", "/concerns/", "/protocol/", "/service/", "/nowhere/"]
    pages += [f"/people/{person.pk}/{page}" for page in ("", "details/", "link/", "sessions/", "numbers/")]
    for page in pages:
        answer = as_user(staff["lead"]).get(page)
        found = policy(answer.headers["Content-Security-Policy"])
        assert found.items() >= STRICT.items(), page
        assert found["script-src"].split()[0] == "'self'"
        assert "unsafe" not in answer.headers["Content-Security-Policy"], page
        assert answer.headers["X-Frame-Options"] == "DENY"
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        text = answer.content.decode()
        assert "<style" not in text, page
        assert " style=" not in text, page
        assert " onclick=" not in text, page


@pytest.mark.django_db
def test_no_script_reads_a_cookie(nurse: User) -> None:
    nurse.set_password("a heron on the tarn")
    nurse.save()
    client = Client()
    client.get(reverse("sign_in"))
    client.post(reverse("sign_in"), {"username": "nurse", "password": "a heron on the tarn"})
    assert set(client.cookies) >= {"sessionid", "csrftoken"}
    for name, cookie in client.cookies.items():
        assert cookie["httponly"], name
        assert cookie["samesite"] == "Lax", name
    assert not client.cookies["sessionid"]["max-age"], "the session ends with the browser"
