"""The worker beside the server, or on a machine of its own: it makes films and looks at everybody once a day."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from pathlib import Path

INTERVAL_S = 0.5  # how often it looks for work
OWNER_GONE = 3


def start_worker(folder: Path) -> subprocess.Popen[bytes]:
    """A worker in a process of its own: a fault in a film's libraries never takes the server with it.

    It ends when this process does, however that ends: its standard input then closes.
    """
    command = [sys.executable, "-m", "haleward.web.work", str(folder)]
    return subprocess.Popen(command, stdin=subprocess.PIPE)  # noqa: S603  (our own module)


def end_worker(worker: subprocess.Popen[bytes]) -> None:
    """Stop the worker; what it was making is made anew at the next start."""
    if worker.stdin:
        worker.stdin.close()
    try:
        worker.wait(timeout=5)
    except subprocess.TimeoutExpired:
        worker.kill()


def work(folder: Path) -> None:
    """Work through what is asked for in the store in ``folder``, as long as the server that started this lives."""
    threading.Thread(target=_end_with_owner, daemon=True).start()
    os.environ["HALEWARD_DATA"] = str(folder)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "haleward.web.project.settings")
    import django
    from django.core.management import call_command

    django.setup()
    from haleward.web.prescription.daily import look_every_day

    threading.Thread(target=look_every_day, args=(threading.Event(),), daemon=True).start()
    call_command("db_worker", interval=INTERVAL_S, verbosity=0, startup_delay=False, reload=False)


def _end_with_owner() -> None:
    while os.read(0, 1):  # nothing is ever sent: it returns when the other end of the pipe closes
        pass
    os._exit(OWNER_GONE)  # at once: a film half made is under no name that anyone opens


if __name__ == "__main__":
    work(Path(sys.argv[1]))
