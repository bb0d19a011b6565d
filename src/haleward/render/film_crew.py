"""Who makes the pieces of a film: this process, and one more as soon as there is enough to do for two.

The other process begins at the first piece, this one at the last, and whoever is ready takes the next that nobody has
been given. Another process takes half a second to start, so what is kept is fetched without one.
"""

from __future__ import annotations

import multiprocessing
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Any

WORKERS = 2
LOOK_EVERY_S = 0.3  # how often it is asked whether to stop, while the other process works
AHEAD = 3  # pieces that the other process has before it: enough for as long as this one is busy with a piece
ENOUGH = 2  # long pieces for which the other process is started
_HALT = "halt"  # a file by which the other process hears that it should stop


@dataclass(frozen=True)
class Piece:
    """A piece of work. It is ``long`` unless it only fetches what is kept.

    ``worth`` is how many pieces must be left before this process begins with one of this kind, too: what a kind needs
    first, such as a voice, takes long to load.
    """

    what: Any
    make: Callable[..., Any]
    arguments: tuple[Any, ...]
    long: bool = True
    worth: int = 1

    def made(self) -> Any:
        """What comes of it."""
        return self.make(*self.arguments)


class Crew:
    """The two processes, for as long as the ``with`` lasts. ``look`` is called often, and raises to stop the work."""

    def __init__(self, folder: Path, look: Callable[[], None]) -> None:
        self.halt, self._look = folder / _HALT, look
        self._pool: ProcessPoolExecutor | None = None

    def __enter__(self) -> Crew:
        return self

    def __exit__(self, kind: type[BaseException] | None, _fault: object, _trace: TracebackType | None) -> None:
        if kind is not None:
            self.halt.touch()
        if self._pool is not None:
            self._pool.shutdown(wait=True, cancel_futures=kind is not None)

    def made(self, pieces: Sequence[Piece]) -> Iterator[tuple[Piece, Any]]:
        """Each piece with what came of it, in the order in which they are ready."""
        long = [piece for piece in pieces if piece.long]
        alone = len(long) < ENOUGH
        for piece in pieces if alone else [piece for piece in pieces if not piece.long]:
            self._look()
            yield piece, piece.made()
        if not alone:
            yield from self._shared(long)

    def _shared(self, pieces: Sequence[Piece]) -> Iterator[tuple[Piece, Any]]:
        left, given = deque(pieces), dict[Future[Any], Piece]()
        while left or given:
            self._look()
            mine = left.pop() if left and len(left) >= left[-1].worth else None
            while left and len(given) < AHEAD:
                piece = left.popleft()
                given[self._other().submit(piece.make, *piece.arguments)] = piece
            if mine:
                yield mine, mine.made()
            done, _ = wait(given, timeout=0 if mine else LOOK_EVERY_S, return_when=FIRST_COMPLETED)
            for future in done:
                yield given.pop(future), future.result()

    def _other(self) -> ProcessPoolExecutor:
        if self._pool is None:
            context = multiprocessing.get_context("spawn")  # a forked copy of a process with threads may hang
            self._pool = ProcessPoolExecutor(WORKERS - 1, mp_context=context)
        return self._pool
