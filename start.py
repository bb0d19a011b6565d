#!/usr/bin/env python3
"""Set up Haleward and run it, with nothing but Python's standard library.

    python3 start.py              set up, serve on this computer and open the browser
    python3 start.py setup [SET]  only set up; SET is run (the default), film, test or bench
    python3 start.py test [...]   everything CI runs; what follows goes to pytest alone

This file must parse on any Python 3.6 or newer, so that an old one gets a sentence and not a syntax error.
"""

import argparse
import errno
import hashlib
import importlib.util
import os
import secrets
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
OLDEST = (3, 11)
HOST = "127.0.0.1"
PORT = 8000
# Installing a set also installs the sets it names.
SETS = {"run": "run", "film": "film run", "test": "test film run", "bench": "bench test film run"}
BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
NETWORK_SIGNS = ("Could not find a version", "Connection", "Max retries exceeded", "timed out", "ProxyError")


class StartError(Exception):
    """Something the user must put right; the message is one sentence that says what to do."""


def main(arguments):
    """Run the command that ``arguments`` name and return the exit code."""
    try:
        check_python(sys.version_info[:2])
        os.chdir(str(ROOT))
        return dispatch(arguments)
    except StartError as error:
        print(f"start.py: {error}", file=sys.stderr)
        return 1
    except OSError as error:
        print(f"start.py: {error.filename}: {error.strerror}: put that right and run it again.", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nStopped.", file=sys.stderr)
        return 130


def dispatch(arguments):
    """Choose between test, setup and serve."""
    if arguments[:1] == ["test"]:
        return run_checks(arguments[1:])
    options = parse(arguments)
    if options.command == "setup":
        set_up(options.set)
        print("Set up. Run it with: python3 start.py", flush=True)
        return 0
    return serve(options)


def parse(arguments):
    """Read the options of setup and serve."""
    parser = argparse.ArgumentParser(prog="start.py", description="Set up Haleward and run it.")
    parser.add_argument("command", nargs="?", choices=("setup", "test"), help="left out: set up and serve")
    parser.add_argument("set", nargs="?", choices=sorted(SETS), default="run", help="what setup installs")
    parser.add_argument("--port", type=int, default=PORT, help="port to serve on (default %(default)s)")
    parser.add_argument("--no-browser", action="store_true", help="do not open the browser")
    return parser.parse_args(arguments)


def check_python(version):
    """Refuse a Python that is too old."""
    if tuple(version) < OLDEST:
        raise StartError(
            f"this is Python {version[0]}.{version[1]}, and Haleward needs {OLDEST[0]}.{OLDEST[1]} or newer: "
            "install a newer Python and run start.py with it."
        )


def check_writable(folder, make_file=tempfile.TemporaryFile):
    """Refuse a folder in which no file can be made."""
    try:
        make_file(dir=str(folder)).close()
    except OSError as error:
        raise StartError(
            f"nothing can be written in {folder} ({error.strerror}): copy Haleward to a folder of your own, with 1 GB "
            "free, and run start.py there."
        ) from error


def check_venv_module(find=importlib.util.find_spec):
    """Refuse a Python that cannot make virtual environments (Debian ships that part separately)."""
    if find("venv") is None or find("ensurepip") is None:
        raise StartError(
            "this Python lacks its venv module: on Debian or Ubuntu run `sudo apt install python3-venv`, elsewhere "
            "install the complete Python, and run start.py again."
        )


def clean_environment(environment):
    """The environment without anything that could bring in packages or settings from elsewhere."""
    dropped = ("PYTHONPATH", "PYTHONHOME", "PYTHONSTARTUP", "PIP_TARGET", "PIP_PREFIX", "PIP_USER", "VIRTUAL_ENV")
    kept = {name: value for name, value in environment.items() if name not in (*dropped, "DJANGO_SETTINGS_MODULE")}
    return dict(kept, PYTHONNOUSERSITE="1", PIP_DISABLE_PIP_VERSION_CHECK="1")


def set_up(wanted):
    """Make ``.venv`` and install the locked versions of the set ``wanted``, unless that is done already."""
    if is_installed(VENV, wanted):
        return
    check_venv_module()
    check_writable(ROOT)
    if not is_own_venv(VENV):
        print("Making .venv ...", flush=True)
        make_venv(VENV)
    for stamp in VENV.glob("installed-*"):
        stamp.unlink()  # a half-finished installation must not look finished
    started, lock = time.monotonic(), f"requirements/{wanted}.txt"
    print(f"Installing the locked versions of {lock} (the first time takes a minute or two) ...", flush=True)
    pip("--no-compile", "--require-hashes", "-r", str(ROOT / lock))  # files are compiled when they are first used
    pip("--no-build-isolation", "--no-deps", "-e", str(ROOT))
    for name in SETS[wanted].split():
        stamp_of(VENV, name).write_text(fingerprint(name))
    print(f"  done in {time.monotonic() - started:.0f} s", flush=True)


def stamp_of(venv, name):
    """The file that says the set ``name`` is installed in ``venv``."""
    return venv / f"installed-{name}"


def fingerprint(name, root=ROOT):
    """What an installation of the set ``name`` depends on, as a hash: its lock and the project's own metadata."""
    digest = hashlib.sha256()
    for path in (root / "requirements" / f"{name}.txt", root / "pyproject.toml"):
        digest.update(path.read_bytes())
    return digest.hexdigest()


def is_installed(venv, name, root=ROOT):
    """Whether ``venv`` is whole, was made here, and holds the set ``name`` as it is locked now."""
    stamp = stamp_of(venv, name)
    return is_own_venv(venv) and stamp.is_file() and stamp.read_text() == fingerprint(name, root)


def is_own_venv(venv):
    """Whether ``venv`` has a Python and was made at this place (a moved one holds paths that no longer exist)."""
    configuration = venv / "pyvenv.cfg"
    return program(venv, "python").exists() and configuration.is_file() and str(venv) in configuration.read_text()


def program(venv, name):
    """The path of a program inside ``venv``."""
    return venv / "Scripts" / (name + ".exe") if os.name == "nt" else venv / "bin" / name


def make_venv(venv):
    """Make ``venv`` afresh."""
    command = [sys.executable, "-m", "venv", "--clear", str(venv)]
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    if subprocess.call(command, env=clean_environment(os.environ), **quiet):
        raise StartError(
            f"Python could not make {venv}: delete that folder, make the venv module whole (on Debian or Ubuntu "
            "`sudo apt install python3-venv`) and run start.py again."
        )


def pip(*arguments):
    """Run ``pip install`` inside ``.venv`` with its output in a log, and say in one sentence why it failed."""
    log = VENV / "install.log"
    command = [str(program(VENV, "python")), "-m", "pip", "install", "--no-input", "--progress-bar=off", *arguments]
    with log.open("w", encoding="utf-8") as output:
        failed = subprocess.call(
            command, env=clean_environment(os.environ), stdin=subprocess.DEVNULL, stdout=output, stderr=output
        )
    if failed:
        raise StartError(why_pip_failed(log.read_text(encoding="utf-8", errors="replace"), log))


def why_pip_failed(output, log):
    """The sentence for a failed installation, from what pip printed."""
    if "DO NOT MATCH THE HASHES" in output:
        return f"a fetched package differs from the locked one: check where pip fetches from (see {log})."
    if "No space left" in output:
        return "the disk is full: free 1 GB and run start.py again."
    if any(sign in output for sign in NETWORK_SIGNS):
        return (
            "the locked packages could not be fetched: check the network connection (or pip's proxy settings) and "
            f"run start.py again; pip's own words are in {log}."
        )
    return f"pip could not install the locked packages: read the last lines of {log} and run start.py again."


def serve(options):
    """Set up, then hand over to ``haleward serve``, which migrates, loads the demo service and serves."""
    check_port(options.port)
    set_up("run")
    command = [str(program(VENV, "haleward")), "serve", "--port", str(options.port)]
    command += ["--no-browser"] * options.no_browser
    environment = clean_environment(os.environ)
    if os.name == "nt":
        return subprocess.call(command, env=environment)
    # The server takes this process's place, so that a signal to stop reaches it.
    return os.execve(command[0], command, environment)  # noqa: S606


def check_port(port):
    """Refuse a port that cannot be served on."""
    if not 1 <= port <= 65535:
        raise StartError(f"{port} is not a port: choose one from 1024 to 65535, for example --port {PORT}.")
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        if os.name != "nt":
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)  # a port just left is free again
        try:
            probe.bind((HOST, port))
        except OSError as error:
            reason = "taken by another program" if error.errno == errno.EADDRINUSE else "not open to you"
            other = PORT if port < 1024 else port - 1 if port == 65535 else port + 1
            raise StartError(
                f"port {port} is {reason}: choose another, for example `python3 start.py --port {other}`."
            ) from error


def run_checks(pytest_arguments):
    """Set up with the test set, then run each check of CI, stopping at the first that fails."""
    browser = find_browser(os.environ) or install_browser()
    set_up("test")
    with tempfile.TemporaryDirectory(prefix="haleward-") as store:
        # The tests know the product as it comes.
        environment = {k: v for k, v in clean_environment(os.environ).items() if not k.startswith("HALEWARD_")}
        environment.update(
            HALEWARD_SECRET_KEY=secrets.token_urlsafe(50),  # made up for this run and thrown away with it
            HALEWARD_DATA=store,
            HALEWARD_BROWSER=browser,
        )
        running = []
        for name, changes, command, advice in checks(pytest_arguments):
            print(f"== {name}: {' '.join(command)}", flush=True)
            command = [str(program(VENV, command[0])), *command[1:]]
            running.append((name, subprocess.Popen(command, env=dict(environment, **changes)), advice))
            while running and name != "types":  # the tests begin beside it
                done, process, told = running.pop()
                if process.wait():
                    raise StartError(f"the check '{done}' failed: {told}, then run `python3 start.py test` again.")
    return 0


def checks(pytest_arguments):
    """Each check: its name, what it changes in the environment, its command, and what to do when it fails."""
    django = {"DJANGO_SETTINGS_MODULE": "haleward.web.project.settings"}
    deployed = dict(django, HALEWARD_DEBUG="no", HALEWARD_HTTPS="yes", HALEWARD_HOSTS="haleward.example")
    mend = "mend what is named above"
    return (
        ("format", {}, ["ruff", "format", "--check"], "run `.venv/bin/ruff format`"),
        ("lint", {}, ["ruff", "check"], mend),
        ("imports", {}, ["lint-imports"], "move the import named above to a room that may have it"),
        ("migrations", django, ["django-admin", "makemigrations", "--check"], "write the missing migration"),
        ("deployment", deployed, ["django-admin", "check", "--deploy", "--fail-level=WARNING"], mend),
        ("types", {}, ["python", "-m", "mypy"], mend),
        ("tests", {}, ["pytest", "-n", "2", "--dist", "loadfile", "--no-loadscope-reorder", *pytest_arguments], mend),
    )


def find_browser(environment, which=shutil.which):
    """The path of a Chromium for the browser tests, or an empty string when there is none."""
    named = environment.get("HALEWARD_BROWSER", "")
    if named:
        if which(named):
            return which(named)
        raise StartError(f"HALEWARD_BROWSER names {named}, which is not a program: set it to the path of Chromium.")
    return next((path for path in map(which, BROWSERS) if path), "")


def install_browser(which=shutil.which, call=subprocess.call, is_root=None):
    """Install Debian's Chromium where that is possible without asking; otherwise say what to do."""
    is_root = getattr(os, "geteuid", lambda: 1)() == 0 if is_root is None else is_root
    if is_root and which("apt-get"):
        print("Installing Chromium for the browser tests ...", flush=True)
        quiet = {"stdin": subprocess.DEVNULL, "stdout": subprocess.DEVNULL}
        call(["apt-get", "update"], **quiet)
        call(["apt-get", "install", "-y", "--no-install-recommends", "chromium"], **quiet)
    found = find_browser({}, which)
    if not found:
        raise StartError(
            "the browser tests need Chromium and there is none: install it (on Debian or Ubuntu `sudo apt install "
            "chromium`) or set HALEWARD_BROWSER to its path, and run `python3 start.py test` again."
        )
    return found


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
