"""Starting on this machine: the key, the store, the demo, and what stands in the way."""

from __future__ import annotations

import os
import shutil
import socket
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from haleward.errors import HalewardError
from haleward.web import run

PREPARE = """
import sys
from pathlib import Path
from haleward.web.run import prepare
demo = prepare(Path(sys.argv[1]))
from haleward.web.accounts.models import User
from haleward.web.people.models import Person, Referral
from haleward.web.prescription.models import ProgrammeVersion
print(demo, *(model.objects.count() for model in (User, Person, Referral, ProgrammeVersion)))
"""
MADE_REAL = """
import sys
from pathlib import Path
from haleward.web.run import prepare
prepare(Path(sys.argv[1]))
from haleward.web.team.models import Service
Service.objects.update(is_demo=False)
"""


def start(program: str, folder: Path, **settings: str) -> subprocess.CompletedProcess[str]:
    """Run a small program in a process of its own: Django can be set up only once in each."""
    plain = {name: text for name, text in os.environ.items() if not name.startswith(("HALEWARD_", "DJANGO_"))}
    return subprocess.run(
        [sys.executable, "-c", program, str(folder)],
        env=plain | {f"HALEWARD_{name}": text for name, text in settings.items()},
        capture_output=True,
        text=True,
        timeout=180,
        check=False,
    )


@pytest.fixture(scope="module")
def started(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A data folder after its first start, and what that start printed."""
    folder = tmp_path_factory.mktemp("first") / "new" / "data"
    first = start(PREPARE, folder)
    assert first.returncode == 0, first.stderr
    return folder, first.stdout


def test_the_first_start_makes_key_store_and_demo_and_the_second_changes_nothing(started: tuple[Path, str]) -> None:
    folder, printed = started
    assert printed.split() == ["True", "4", "4", "5", "2"]
    key = folder / "secret_key"
    assert stat.S_IMODE(key.stat().st_mode) == 0o600
    made = key.read_text()
    assert len(made) >= 50
    assert (folder / "static" / "staticfiles.json").exists()
    second = start(PREPARE, folder)
    assert second.stdout == printed
    assert key.read_text() == made


def test_a_store_that_is_not_a_demo_gets_no_demo(started: tuple[Path, str], tmp_path: Path) -> None:
    folder = shutil.copytree(started[0], tmp_path / "real")
    assert start(MADE_REAL, folder).returncode == 0
    assert start(PREPARE, folder).stdout.split()[0] == "False"


def test_the_named_folder_outranks_every_setting(started: tuple[Path, str], tmp_path: Path) -> None:
    folder, printed = started
    other = tmp_path / "other"
    where = tmp_path / "where"
    where.write_text(str(other))
    named = shutil.copytree(folder, tmp_path / "named")
    assert start(PREPARE, named, DATA=str(other), DATA_FILE=str(where)).stdout == printed
    assert not other.exists()


def test_each_folder_gets_a_key_of_its_own(tmp_path: Path) -> None:
    for name in ("one", "two"):
        run.make_key(tmp_path / name)
    assert (tmp_path / "one" / "secret_key").read_text() != (tmp_path / "two" / "secret_key").read_text()


def test_a_folder_that_cannot_be_made_gets_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    for folder in (tmp_path / "file", tmp_path / "file" / "below"):
        with pytest.raises(HalewardError) as error:
            run.make_key(folder)
        assert str(error.value).startswith(f"The data folder {folder} cannot be written (")
        assert str(error.value).endswith("Choose another with --data FOLDER.")


def test_a_folder_that_became_read_only_gets_the_same_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    run.make_key(tmp_path)

    def read_only(**_: object) -> None:
        raise OSError(30, "Read-only file system")

    monkeypatch.setattr(run.tempfile, "TemporaryFile", read_only)
    with pytest.raises(HalewardError, match=r"cannot be written \(Read-only file system\)"):
        run.make_key(tmp_path)


def test_trying_the_folder_leaves_nothing_behind(tmp_path: Path) -> None:
    run.make_key(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["secret_key"]


def test_a_taken_port_gets_one_sentence_before_anything_is_made(tmp_path: Path) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        with pytest.raises(HalewardError) as error:
            run.serve(port=port, data=tmp_path / "data", open_browser=False)
    assert str(error.value) == (
        f"Port {port} is in use. Stop the other program, or choose another with --port {port + 1}."
    )
    assert not (tmp_path / "data").exists()


def test_a_free_port_is_not_refused() -> None:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    run.refuse_taken(port)


@pytest.mark.parametrize("setting", [("TIME_ZONE", "Nowhere"), ("DEBUG", "true"), ("SECRET_KEY", "short")])
def test_the_command_tells_a_bad_setting_in_one_sentence(setting: tuple[str, str], tmp_path: Path) -> None:
    name, value = setting
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    program = (
        "import sys; from haleward.cli import main;"
        f"sys.exit(main(['serve', '--no-browser', '--port', '{port}', '--data', sys.argv[1]]))"
    )
    result = start(program, tmp_path / "data", **{name: value})
    assert result.returncode == 2
    assert f"HALEWARD_{name}" in result.stderr
    assert "Traceback" not in result.stderr
    assert len(result.stderr.strip().splitlines()) == 1
