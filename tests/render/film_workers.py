"""What a film's worker does in tests that are about a worker's death."""

from __future__ import annotations

import os
import signal


def dies(*_arguments: object) -> None:
    """The system ends the worker."""
    os.kill(os.getpid(), signal.SIGKILL)
