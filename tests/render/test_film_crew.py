"""The two processes that make a film: every piece once, and no second process for what is only fetched."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from haleward.render.film_crew import AHEAD, Crew, Piece
from haleward.render.film_speech import FilmStopped


def never() -> None:
    """Nobody asks to stop."""


def stop() -> None:
    raise FilmStopped


def test_two_processes_make_every_piece_once(tmp_path: Path):
    pieces = [Piece(number, os.getpid, ()) for number in range(AHEAD + 3)]
    with Crew(tmp_path, never) as crew:
        made = [(piece.what, process) for piece, process in crew.made(pieces)]
    assert sorted(what for what, _ in made) == list(range(AHEAD + 3))
    by = {process for _, process in made}
    assert len(by) == 2
    assert os.getpid() in by


def test_a_kind_that_does_not_pay_is_left_to_the_other_process(tmp_path: Path):
    pieces = [Piece(number, os.getpid, (), worth=9) for number in range(AHEAD + 1)]
    with Crew(tmp_path, never) as crew:
        assert os.getpid() not in {process for _, process in crew.made(pieces)}


def test_what_is_kept_is_fetched_without_another_process(tmp_path: Path):
    pieces = [Piece(number, os.getpid, (), long=number == 0) for number in range(4)]
    with Crew(tmp_path, never) as crew:
        assert {process for _, process in crew.made(pieces)} == {os.getpid()}


def test_whoever_stops_tells_the_other_process(tmp_path: Path):
    with pytest.raises(FilmStopped), Crew(tmp_path, stop) as crew:
        list(crew.made([Piece(0, os.getpid, ())]))
    assert crew.halt.exists()
