"""The film: all of the cue sheet, every re-used picture the same, whole or not there, one sentence for every fault."""

from __future__ import annotations

import errno
import sys
from itertools import pairwise
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest

from haleward.errors import HalewardError
from haleward.render import film as film_module
from haleward.render import film_scenes, film_text
from haleward.render.captions import captions, web_vtt
from haleward.render.film import FilmStopped
from haleward.render.film_draw import Painter
from haleward.render.film_plan import FRAMES_A_SECOND, Shot, Turn, chapters, shots_of
from haleward.render.film_planes import SIZES
from tests.render import film_workers
from tests.render.filmed import EMERGENCY, SHEET, Filmed, film
from tests.session.people import PLAIN


@pytest.fixture(scope="module")
def pictures(filmed: Filmed) -> list[tuple[int, Any]]:
    """Every picture with its film frame; the three planes of a picture in one array."""
    with av.open(str(filmed.files.film)) as file:
        return [
            (round(frame.pts * frame.time_base * FRAMES_A_SECOND), frame.to_ndarray(format="yuv420p"))
            for frame in file.decode(video=0)
        ]


def above_the_strip(picture: Any) -> list[Any]:
    size = SIZES["small"]
    h, w, split = size.height, size.width, size.split
    halves = (picture[h : h + h // 4], picture[h + h // 4 :])
    return [picture[:split], *(half.reshape(h // 2, w // 2)[: split // 2] for half in halves)]


def test_the_film_is_the_session_in_picture_sound_and_text(filmed: Filmed):
    with av.open(str(filmed.files.film)) as file:
        picture, sound, text = file.streams.video[0], file.streams.audio[0], file.streams.subtitles[0]
        assert (picture.codec_context.name, sound.codec_context.name) == ("h264", "aac")
        assert (picture.codec_context.width, picture.codec_context.height) == (854, 480)
        assert file.duration / 1000 == pytest.approx(SHEET.length_ms, abs=100)
        texts = [bytes(packet)[2:].decode() for packet in file.demux(text) if packet.size > 2]
    assert texts == [one.text for one in captions(SHEET)]
    assert filmed.files.captions.read_text(encoding="utf-8") == web_vtt(SHEET)
    assert filmed.files.poster.read_bytes()[:2] == b"\xff\xd8"


def test_the_chapters_are_the_movements(filmed: Filmed):
    with av.open(str(filmed.files.film)) as file:
        found = [(float(one["start"] * one["time_base"]), one["metadata"]["title"]) for one in file.chapters()]
    titles = [exercise.told for exercise in SHEET.exercises]
    assert [title for _, title in found] == ["Welcome", *titles, "The end"]
    assert [at for at, _ in found] == [one.start_ms / 1000 for one in chapters(SHEET, start="Welcome", end="The end")]


def test_pictures_used_again_decode_as_the_first_time(pictures: list[tuple[int, Any]]):
    shown = dict(pictures)
    firsts: dict[Turn, Shot] = {}
    strips: dict[bytes, int] = {}
    compared = 0
    for shot in shots_of(SHEET):
        if not isinstance(shot.shown, Turn):
            continue
        first = firsts.setdefault(film_scenes.bare(shot.shown), shot)
        strip = shown[shot.start][SIZES["small"].split : SIZES["small"].height].tobytes()
        strips[strip] = shot.start
        for frame in range(shot.length):
            if shot.start + frame in shown:
                here, there = shown[shot.start + frame], shown[first.start + frame]
                compared += first is not shot
                assert all(
                    np.array_equal(a, b) for a, b in zip(above_the_strip(here), above_the_strip(there), strict=True)
                )
                assert here[SIZES["small"].split : SIZES["small"].height].tobytes() == strip
    assert compared > 200
    assert len(strips) == sum(isinstance(shot.shown, Turn) for shot in shots_of(SHEET))


def test_a_movement_is_shown_at_25_pictures_a_second(pictures: list[tuple[int, Any]]):
    turn = next(shot for shot in shots_of(SHEET) if isinstance(shot.shown, Turn))
    inside = [at for at, _ in pictures if turn.start <= at < turn.start + turn.length]
    assert len(inside) > 0.8 * turn.length


def test_every_part_of_every_picture_is_painted(pictures: list[tuple[int, Any]]):
    for _, picture in pictures:  # what was forgotten is black; storing coarsely darkens a few points of the letters
        assert (picture[: SIZES["small"].height] <= 20).mean() < 0.002


@pytest.mark.parametrize("name", SIZES)
def test_the_boxes_of_a_picture_meet_and_fill_it(name: str):
    size = SIZES[name]
    painter = Painter(size, emergency="", version="")
    boxes = [painter.heading("").box, painter.figure_box, painter.column_box, size.strip]
    assert sum(box.width * box.height for box in boxes) == size.width * size.height
    assert painter.body_box.width * painter.body_box.height == sum(box.width * box.height for box in boxes[1:3])
    assert all(side % 2 == 0 for box in boxes for side in (box.left, box.top, box.width, box.height))


def test_times_only_go_on(pictures: list[tuple[int, Any]]):
    ats = [at for at, _ in pictures]
    assert all(a < b for a, b in pairwise(ats))
    assert ats[0] == 0


def test_progress_goes_from_nothing_to_all(filmed: Filmed):
    shares = [share for share, _ in filmed.told]
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    assert filmed.told[0][1]


def test_a_film_from_kept_clips_is_the_same_byte_for_byte(filmed: Filmed, tmp_path: Path):
    again = film(tmp_path / "again.mp4", phrases=filmed.phrases, clips=filmed.clips)
    assert again.film.read_bytes() == filmed.files.film.read_bytes()
    assert again.poster.read_bytes() == filmed.files.poster.read_bytes()


def test_what_names_the_person_is_not_kept_among_the_clips(filmed: Filmed):
    shots = shots_of(SHEET)
    cards = [group for group in film_scenes.card_groups(shots) if shots[group[0]].shown.exercise >= 0]  # type: ignore[union-attr]
    clips = film_scenes.turn_jobs(SHEET, shots, film_scenes.Look.of(PLAIN, size="small", emergency="", version=""))
    assert len(list(filmed.clips.iterdir())) == len(cards) + len(clips)


def test_a_film_that_is_stopped_leaves_nothing(tmp_path: Path, filmed: Filmed):
    with pytest.raises(FilmStopped):
        film(tmp_path / "ada.mp4", phrases=filmed.phrases, stopped=lambda: True)
    assert list(tmp_path.iterdir()) == []


def test_what_a_dead_worker_left_is_taken_away_at_the_next_start(tmp_path: Path, filmed: Filmed):
    (tmp_path / "ada.half-x1").mkdir()
    (tmp_path / "ada.half-x1" / "film.mp4").write_bytes(b"half")
    film_module.remove_half_made(tmp_path / "ada.mp4")
    assert list(tmp_path.iterdir()) == []


def test_a_worker_that_is_ended_is_one_sentence(tmp_path: Path, filmed: Filmed, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(film_scenes, "make_clip", film_workers.dies)
    with pytest.raises(HalewardError, match=r"one of its workers.*nothing half made is left"):
        film(tmp_path / "ada.mp4", phrases=filmed.phrases)
    assert list(tmp_path.iterdir()) == []


def test_a_full_disk_is_one_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    def full(*_arguments: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(film_module._Work, "make", full)
    with pytest.raises(HalewardError, match=r"could not be written \(No space left on device\)"):
        film(tmp_path / "ada.mp4")
    assert list(tmp_path.iterdir()) == []


def test_a_place_that_is_no_folder_is_one_sentence(tmp_path: Path):
    (tmp_path / "letter").write_text("Dear all", encoding="utf-8")
    with pytest.raises(HalewardError, match="choose another folder"):
        film(tmp_path / "letter" / "ada.mp4")


@pytest.mark.parametrize("package", ["av", "skia"])
def test_a_missing_package_is_one_sentence(tmp_path: Path, package: str, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setitem(sys.modules, package, None)
    with pytest.raises(HalewardError, match=r"start\.py setup film"):
        film(tmp_path / "ada.mp4")


def test_a_missing_voice_is_one_sentence(tmp_path: Path):
    with pytest.raises(HalewardError, match=r"The voice file .*none\.onnx is not there"):
        film(tmp_path / "ada.mp4", voice_file=tmp_path / "none.onnx")
    assert list(tmp_path.iterdir()) == []


def test_a_missing_font_is_one_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    film_text.faces.cache_clear()
    monkeypatch.setattr(film_text, "FONTS", tmp_path)
    with pytest.raises(HalewardError, match=r"The font AtkinsonHyperlegible-Regular\.ttf is missing"):
        Painter(SIZES["large"], emergency=EMERGENCY, version="")
    film_text.faces.cache_clear()
