"""start.py sets up once, says in one sentence what to do when it cannot, and brings in nothing from outside."""

import ast
import errno
import importlib.util
import os
import shutil
import socket
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).resolve().parents[2]


def load_start() -> ModuleType:
    spec = importlib.util.spec_from_file_location("start", ROOT / "start.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


start = load_start()


def run_start(
    script: Path, *arguments: str, python: str = sys.executable, **changes: str
) -> subprocess.CompletedProcess[str]:
    """Run ``script`` from another folder, as a user would."""
    return subprocess.run(
        [python, str(script), *arguments],
        cwd="/",
        env={**os.environ, **changes},
        capture_output=True,
        text=True,
        stdin=subprocess.DEVNULL,
        timeout=120,
        check=False,
    )


def copy_of_the_project(folder: Path) -> Path:
    """The files that set-up reads, in ``folder``; the path of their start.py."""
    shutil.copytree(ROOT / "requirements", folder / "requirements")
    for name in ("start.py", "pyproject.toml"):
        shutil.copy(ROOT / name, folder / name)
    return folder / "start.py"


def sentence(call: Callable[[], object]) -> str:
    """What the user reads when ``call`` stops; it is one line, ends as a sentence and is no traceback."""
    with pytest.raises(start.StartError) as stopped:
        call()
    text = str(stopped.value)
    assert "\n" not in text
    assert text.endswith(".")
    return text


def test_it_parses_on_the_oldest_python_that_can_still_be_told_to_upgrade() -> None:
    source = (ROOT / "start.py").read_text()
    ast.parse(source, feature_version=(3, 6))
    imported = {
        name.split(".")[0]
        for node in ast.walk(ast.parse(source))
        for name in (
            [a.name for a in node.names]
            if isinstance(node, ast.Import)
            else [node.module or ""]
            if isinstance(node, ast.ImportFrom)
            else []
        )
    }
    assert imported <= sys.stdlib_module_names
    assert "__future__" not in imported  # deferred annotations came with 3.7
    assert len(source.splitlines()) <= 300


def test_an_old_python_is_told_which_one_is_needed() -> None:
    assert "3.11 or newer" in sentence(lambda: start.check_python((3, 10)))
    start.check_python((3, 11))
    start.check_python((3, 14))


def test_a_folder_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    def refuse(dir: str) -> None:
        raise OSError(errno.EROFS, "Read-only file system", dir)

    text = sentence(lambda: start.check_writable(tmp_path, make_file=refuse))
    assert str(tmp_path) in text
    assert "folder of your own" in text
    start.check_writable(tmp_path)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("missing", ["venv", "ensurepip"])
def test_a_python_without_its_venv_module_says_what_to_install(missing: str) -> None:
    text = sentence(lambda: start.check_venv_module(find=lambda name: None if name == missing else object()))
    assert "python3-venv" in text
    start.check_venv_module(find=lambda name: object())


def test_a_venv_that_cannot_be_made_is_one_sentence(tmp_path: Path) -> None:
    occupied = tmp_path / ".venv"
    occupied.write_text("a file where the folder should be")
    assert "delete that folder" in sentence(lambda: start.make_venv(occupied))


@pytest.mark.parametrize(
    ("output", "advice"),
    [
        (
            "WARNING: Retrying after connection broken by 'NewConnectionError'\nERROR: No matching distribution",
            "network",
        ),
        ("ERROR: Could not find a version that satisfies the requirement django==5.2.19", "network"),
        ("ERROR: THESE PACKAGES DO NOT MATCH THE HASHES FROM THE REQUIREMENTS FILE.", "differs from the locked one"),
        ("ERROR: Could not install packages due to an OSError: [Errno 28] No space left on device", "disk is full"),
        ("error: subprocess-exited-with-error", "last lines of"),
    ],
)
def test_a_failed_installation_says_why(output: str, advice: str) -> None:
    assert advice in start.why_pip_failed(output, Path("install.log"))


def test_without_a_network_set_up_stops_with_one_sentence(tmp_path: Path) -> None:
    script = copy_of_the_project(tmp_path)
    result = run_start(
        script,
        "setup",
        PIP_CONFIG_FILE=os.devnull,
        PIP_INDEX_URL="http://127.0.0.1:9/",
        PIP_EXTRA_INDEX_URL="",
        PIP_FIND_LINKS="",
        PIP_RETRIES="0",
        PIP_NO_CACHE_DIR="1",
    )
    assert result.returncode == 1
    assert result.stderr.count("\n") == 1
    assert "check the network connection" in result.stderr
    assert not list((tmp_path / ".venv").glob("installed-*"))


def test_a_taken_port_names_another_one() -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        taken = other.getsockname()[1]
        text = sentence(lambda: start.check_port(taken))
        assert str(taken) in text
        assert "--port " in text
        result = run_start(ROOT / "start.py", "--port", str(taken), "--no-browser")
        assert result.returncode == 1
        assert result.stderr == f"start.py: {text}\n"
    start.check_port(taken)


@pytest.mark.parametrize("port", [-1, 0, 65536])
def test_a_number_that_is_no_port_is_refused(port: int) -> None:
    assert "is not a port" in sentence(lambda: start.check_port(port))


def test_the_browser_for_the_tests_is_looked_for_by_name_and_by_variable() -> None:
    assert start.find_browser({}, which=lambda name: f"/bin/{name}") == "/bin/chromium"
    assert start.find_browser({}, which=lambda name: "/bin/g" if name == "google-chrome" else None) == "/bin/g"
    assert start.find_browser({}, which=lambda name: None) == ""
    assert start.find_browser({"HALEWARD_BROWSER": "/opt/b"}, which=lambda name: name) == "/opt/b"
    assert "HALEWARD_BROWSER" in sentence(
        lambda: start.find_browser({"HALEWARD_BROWSER": "/nowhere"}, which=lambda name: None)
    )


def test_without_a_browser_or_the_right_to_install_one_the_tests_say_what_to_do() -> None:
    calls: list[list[str]] = []
    text = sentence(lambda: start.install_browser(which=lambda name: None, call=calls.append, is_root=False))
    assert "apt install" in text
    assert "HALEWARD_BROWSER" in text
    assert calls == []


def test_root_on_debian_gets_the_browser_installed() -> None:
    calls: list[list[str]] = []

    def call(command: list[str], **streams: object) -> int:
        calls.append(command)
        return 0

    def which(name: str) -> str | None:
        installed = any("install" in command for command in calls)
        return "/bin/" + name if name == "apt-get" or (name == "chromium" and installed) else None

    assert start.install_browser(which=which, call=call, is_root=True) == "/bin/chromium"
    assert [command[1] for command in calls] == ["update", "install"]


def installed_project(folder: Path) -> Path:
    """A folder with locks and a ``.venv`` that looks as if set-up had finished in it; the path of ``.venv``."""
    copy_of_the_project(folder)
    venv = folder / ".venv"
    python = start.program(venv, "python")
    python.parent.mkdir(parents=True)
    python.touch()
    (venv / "pyvenv.cfg").write_text(f"command = python3 -m venv {venv}\n")
    start.stamp_of(venv, "run").write_text(start.fingerprint("run", folder))
    return venv


def test_what_is_installed_is_not_installed_again(tmp_path: Path) -> None:
    venv = installed_project(tmp_path)
    assert start.is_installed(venv, "run", tmp_path)
    assert not start.is_installed(venv, "test", tmp_path)


@pytest.mark.parametrize("name", ["requirements/run.txt", "pyproject.toml"])
def test_a_changed_lock_is_installed_again(tmp_path: Path, name: str) -> None:
    venv = installed_project(tmp_path)
    with (tmp_path / name).open("a") as lock:
        lock.write("\n")
    assert not start.is_installed(venv, "run", tmp_path)


def test_a_moved_folder_is_set_up_afresh(tmp_path: Path) -> None:
    here, there = tmp_path / "here", tmp_path / "there"
    here.mkdir()
    installed_project(here)
    here.rename(there)
    assert not start.is_installed(there / ".venv", "run", there)


def test_the_environment_keeps_packages_from_outside_away() -> None:
    kept = start.clean_environment(
        {"PYTHONPATH": "/x", "PIP_TARGET": "/y", "DJANGO_SETTINGS_MODULE": "z", "PATH": "/bin"}
    )
    assert kept == {"PATH": "/bin", "PYTHONNOUSERSITE": "1", "PIP_DISABLE_PIP_VERSION_CHECK": "1"}


def test_extra_words_after_test_go_to_pytest_alone() -> None:
    commands = {name: command for name, _, command, _ in start.checks(["-k", "walk"])}
    assert list(commands) == ["format", "lint", "imports", "migrations", "deployment", "types", "tests"]
    assert [name for name, command in commands.items() if "walk" in command] == ["tests"]


class Called:
    """Stands for the programs that the checks start: keeps command and environment; those of ``failing`` fail."""

    failing: tuple[str, ...] = ("mypy",)

    def __init__(self, command: list[str], env: dict[str, str]) -> None:
        self.command = command
        CALLS.append((command, env))

    def wait(self) -> int:
        return int(any(word in self.failing or Path(word).stem in self.failing for word in self.command))


CALLS: list[tuple[list[str], dict[str, str]]] = []


@pytest.fixture
def called(monkeypatch: pytest.MonkeyPatch) -> list[tuple[list[str], dict[str, str]]]:
    """Each command that the checks run, with its environment; the type check fails, the others pass."""
    CALLS.clear()
    monkeypatch.setattr(start, "set_up", lambda name: None)
    monkeypatch.setattr(start.subprocess, "Popen", Called)
    monkeypatch.setenv("HALEWARD_BROWSER", sys.executable)
    monkeypatch.setenv("HALEWARD_HTTPS", "yes")
    return CALLS


def test_the_first_check_that_fails_stops_the_run(
    called: list[tuple[list[str], dict[str, str]]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Called, "failing", ("lint-imports",))
    text = sentence(lambda: start.run_checks([]))
    assert "'imports' failed" in text
    assert [Path(command[0]).stem for command, _ in called] == ["ruff", "ruff", "lint-imports"]


def test_the_types_are_checked_beside_the_tests_and_fail_the_run_all_the_same(
    called: list[tuple[list[str], dict[str, str]]],
) -> None:
    text = sentence(lambda: start.run_checks([]))
    assert "'types' failed" in text
    assert [Path(command[0]).stem for command, _ in called][-2:] == ["python", "pytest"]


def test_the_checks_run_with_a_made_up_key_and_no_settings_of_the_user(
    called: list[tuple[list[str], dict[str, str]]],
) -> None:
    sentence(lambda: start.run_checks([]))
    first = called[0][1]
    called.clear()
    sentence(lambda: start.run_checks([]))
    second = called[0][1]
    assert first["HALEWARD_SECRET_KEY"] != second["HALEWARD_SECRET_KEY"]
    assert len(first["HALEWARD_SECRET_KEY"]) >= 50
    assert "HALEWARD_HTTPS" not in first
    assert first["HALEWARD_BROWSER"] == sys.executable
    assert not Path(first["HALEWARD_DATA"]).exists()


def pins(name: str) -> set[tuple[str, str]]:
    """Every package with a locked version; where versions of Python differ, one pair each."""
    lines = (ROOT / "requirements" / f"{name}.txt").read_text().splitlines()
    return {
        (line.split("==")[0], line.split("==")[1].split()[0])
        for line in lines
        if "==" in line and not line.lstrip().startswith("#")
    }


@pytest.mark.parametrize("larger", ["film", "test", "bench"])
def test_the_larger_sets_lock_everything_of_the_run_set_at_the_same_version(larger: str) -> None:
    assert pins("run")
    assert pins("run") <= pins(larger)


@pytest.mark.parametrize("name", ["run", "film", "test", "bench"])
def test_every_locked_version_has_hashes_and_names_no_place(name: str) -> None:
    text = (ROOT / "requirements" / f"{name}.txt").read_text()
    blocks = [block for block in text.replace("\\\n", " ").splitlines() if "==" in block and block[0] != "#"]
    assert blocks
    assert all("--hash=sha256:" in block for block in blocks)
    assert "://" not in text


def test_ci_runs_the_same_command_as_a_developer() -> None:
    script = ROOT / ".ci" / "run"
    lines = [line for line in script.read_text().splitlines() if line and not line.startswith("#")]
    assert lines == ["set -euo pipefail", 'cd "$(dirname "${BASH_SOURCE[0]}")/.."', "python3 start.py test"]
    assert os.access(script, os.X_OK)
