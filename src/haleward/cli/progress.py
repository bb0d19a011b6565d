"""A bar on standard error for work that takes longer than two seconds."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

QUIET_FOR_S = 2.0
WIDTH = 30


def progress_bar(words: str, *, clock: Callable[[], float] = time.monotonic) -> Callable[[int, int], None]:
    """A function to call with how many of how many are done; it draws on a terminal only, once it takes long."""
    began = clock()
    shown = False

    def tell(done: int, of: int) -> None:
        nonlocal shown
        if not sys.stderr.isatty() or (not shown and clock() - began < QUIET_FOR_S):
            return
        shown = True
        filled = WIDTH * done // of
        end = "\n" if done == of else ""
        sys.stderr.write(f"\r{words} [{'#' * filled}{'.' * (WIDTH - filled)}] {done} of {of}{end}")
        sys.stderr.flush()

    return tell
