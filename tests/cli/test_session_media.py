"""``haleward session --film --voice``: made beside page and booklet, or one sentence and nothing."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from haleward.cli import main, media, session
from haleward.render.film import FilmFiles
from haleward.render.sound import SAMPLE_RATE
from haleward.render.voice import Phrases
from tests.cli.test_session import FILES, arguments
from tests.languages.whole import whole_catalogue
from tests.render.listening import Hum, decoded


@pytest.fixture
def filmed(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, Any]]:
    """What the film was asked for with; making one has tests of its own."""
    asked: list[dict[str, Any]] = []

    def make_film(sheet: object, **more: Any) -> FilmFiles:
        asked.append({"sheet": sheet, **more})
        return FilmFiles(more["out"], more["out"], more["out"])

    monkeypatch.setattr(media, "make_film", make_film)
    return asked


def test_a_film_is_asked_for_with_the_words_of_the_service(tmp_path: Path, filmed: list[dict[str, Any]]):
    assert main(arguments("morag", tmp_path / "out", "--film", "small", "--kept", str(tmp_path / "kept"))) == 0
    (asked,) = filmed
    assert asked["size"] == "small"
    assert asked["emergency"].startswith("Call ")
    assert asked["out"] == tmp_path / "out" / "film.mp4"
    assert asked["clips"] == tmp_path / "kept" / "clips"
    assert {path.name for path in (tmp_path / "out").iterdir()} == FILES


def test_a_film_in_another_language_has_its_words_and_the_mark_of_a_draft(
    tmp_path: Path, filmed: list[dict[str, Any]], monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(session, "load_catalogue", whole_catalogue)
    assert main(arguments("morag", tmp_path / "out", "--film", "--language", "de", "--draft")) == 0
    (asked,) = filmed
    assert asked["emergency"].startswith("Rufen Sie ")
    assert (asked["wording"].language, asked["sheet"].language) == ("de", "de")
    assert "not reviewed" in asked["wording"].draft_line


def test_without_the_option_there_is_no_film(tmp_path: Path, filmed: list[dict[str, Any]]):
    assert main(arguments("morag", tmp_path / "out")) == 0
    assert filmed == []


def test_a_film_that_is_there_is_not_overwritten(
    tmp_path: Path, filmed: list[dict[str, Any]], capsys: pytest.CaptureFixture[str]
):
    (tmp_path / "film.mp4").write_bytes(b"an older film")
    assert main(arguments("morag", tmp_path, "--film")) != 0
    assert "already holds film.mp4" in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["film.mp4"]
    assert main(arguments("morag", tmp_path, "--film", "--force")) == 0
    assert filmed[0]["size"] == "large"


def test_the_spoken_track_is_as_long_as_the_session(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(media, "phrases_of", lambda _file, folder: Phrases(Hum(seconds_a_letter=0.01), folder))
    assert main(arguments("morag", tmp_path / "out", "--voice", "--kept", str(tmp_path / "kept"))) == 0
    assert len(decoded(tmp_path / "out" / "session.m4a")) / SAMPLE_RATE > 600


def test_a_voice_that_is_not_there_leaves_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    out = tmp_path / "out"
    assert main(arguments("morag", out, "--voice", "--voice-file", str(tmp_path / "none.onnx"))) != 0
    assert "none.onnx is not there" in capsys.readouterr().err
    assert list(out.iterdir()) == []
