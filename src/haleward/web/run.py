"""Starting the application on this machine: make the key, migrate, load the demo into an empty store, serve."""

from __future__ import annotations

import os
import secrets
import socket
import tempfile
import threading
import webbrowser
from pathlib import Path

from haleward.errors import HalewardError
from haleward.web.project import environment

DEMO_LINE = "Sign in as lead, nurse, assistant or manager; the password is: demo heart team"


def prepare(folder: Path) -> bool:
    """Set up Django on ``folder``, migrate, collect static files; True when the store is the demo."""
    make_key(folder)
    os.environ["HALEWARD_DATA"] = str(folder)
    os.environ.pop("HALEWARD_DATA_FILE", None)  # the folder named here outranks it
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "haleward.web.project.settings")
    import django
    from django.core.management import call_command

    django.setup()
    call_command("migrate", verbosity=0, interactive=False)
    call_command("collectstatic", verbosity=0, interactive=False)
    from haleward.web.team.demo import load_demo_if_empty

    return load_demo_if_empty()


def make_key(folder: Path) -> None:
    """Make the data folder and, once, its secret key, readable by its owner only."""
    kept = folder / "secret_key"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if not kept.exists():
            kept.touch(mode=0o600)
            kept.write_text(secrets.token_urlsafe(64), encoding="utf-8")
        with tempfile.TemporaryFile(dir=folder):  # the store writes beside itself: an old key alone proves nothing
            pass
    except OSError as error:
        raise HalewardError(
            f"The data folder {folder} cannot be written ({error.strerror}). Choose another with --data FOLDER."
        ) from error


def refuse_taken(port: int) -> None:
    """One sentence when something else already listens on the port."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", port))
        except OSError as error:
            raise HalewardError(
                f"Port {port} is in use. Stop the other program, or choose another with --port {port + 1}."
            ) from error


def serve(*, port: int = 8000, data: Path | None = None, open_browser: bool = True) -> None:
    """Serve on the loopback address until interrupted; the store is in ``data``, else in HALEWARD_DATA, else var."""
    refuse_taken(port)
    folder = (data or environment.data_folder()).resolve()
    demo = prepare(folder)
    from waitress import serve as listen

    from haleward.web.project.wsgi import application
    from haleward.web.studio.jobs import revive
    from haleward.web.work import end_worker, start_worker

    revive(silent_s=0)  # no worker of this store can be alive yet
    worker = start_worker(folder)

    address = f"http://127.0.0.1:{port}/"
    print(
        f"Haleward is at {address}  {DEMO_LINE if demo else 'Sign in with your account.'}  (Ctrl+C stops it)",
        flush=True,
    )
    if open_browser:
        threading.Timer(0.6, webbrowser.open, args=(address,)).start()
    try:
        listen(application, host="127.0.0.1", port=port, threads=4, ident="")
    finally:
        end_worker(worker)
