"""A film in a real browser: it plays, seeks to a count, and shows there what the encoder was given."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest
from playwright.sync_api import Browser, Page

from haleward.render.film import FilmFiles, make_film
from haleward.render.film_plan import FRAMES_A_SECOND, Turn, shots_of
from tests.render.test_sound import only, sheet_of
from tests.session.people import PLAIN
from tests.session.samples import exercise

pytestmark = pytest.mark.browser

ADDRESS = "http://film.test/"
SHEET = only(sheet_of(exercise(sets=1, repetitions=4, out_s=1.0, back_s=1.0)), "setup", "set")
PAGE = """<!doctype html><title>Film</title><video muted playsinline></video><script>
addEventListener("load", async () => {
  const video = document.querySelector("video");
  const track = video.addTextTrack("captions");
  video.src = URL.createObjectURL(await (await fetch("film.mp4")).blob());
});
const pictureAt = (seconds) => new Promise((done) => {
  const video = document.querySelector("video");
  video.addEventListener("seeked", () => {
    const canvas = document.createElement("canvas");
    canvas.width = video.videoWidth; canvas.height = video.videoHeight;
    const context = canvas.getContext("2d");
    context.drawImage(video, 0, 0);
    done(Array.from(context.getImageData(0, 0, canvas.width, canvas.height).data.filter((_, n) => n % 4 === 1)));
  }, {once: true});
  video.currentTime = seconds;
});
</script>"""


@pytest.fixture(scope="module")
def film(tmp_path_factory: pytest.TempPathFactory) -> FilmFiles:
    return make_film(
        SHEET,
        record=PLAIN,
        emergency="Call 999 now if you feel very ill.",
        start_title="Welcome",
        end_title="The end",
        out=tmp_path_factory.mktemp("film") / "film.mp4",
        size="small",
    )


@pytest.fixture
def page(browser: Browser, film: FilmFiles) -> Any:
    opened = browser.new_page()
    files = {"": ("text/html", PAGE.encode()), "film.mp4": ("video/mp4", film.film.read_bytes())}

    def answer(route: Any) -> None:
        kind, body = files[route.request.url.removeprefix(ADDRESS)]
        route.fulfill(body=body, content_type=kind)

    opened.route("**/*", answer)
    opened.goto(ADDRESS)
    opened.wait_for_function("document.querySelector('video').readyState >= 2")
    yield opened
    opened.close()


def green_at(path: Path, frame_number: int) -> Any:
    """The green of a picture as FFmpeg decodes it."""
    with av.open(str(path)) as file:
        shown = None
        for frame in file.decode(video=0):
            if round(frame.pts * frame.time_base * FRAMES_A_SECOND) > frame_number:
                break
            shown = frame
        assert shown is not None
        return shown.to_ndarray(format="rgb24", src_colorspace="ITU709")[:, :, 1].astype(int)


def test_it_has_the_length_and_the_size_of_the_session(page: Page):
    facts = page.evaluate("(() => { const v = document.querySelector('video'); return [v.duration, v.videoWidth]; })()")
    assert facts[0] == pytest.approx(SHEET.length_ms / 1000, abs=0.15)
    assert facts[1] == 854


def test_it_plays(page: Page):
    page.evaluate("document.querySelector('video').play()")
    page.wait_for_function("document.querySelector('video').currentTime > 0.4")


def test_seeking_shows_the_count_and_the_pose_of_that_moment(page: Page, film: FilmFiles):
    turns = [shot for shot in shots_of(SHEET) if isinstance(shot.shown, Turn)]
    seen = []
    for turn in (turns[2], turns[0], turns[3]):
        inside = turn.start + turn.length // 4
        seen.append(np.array(page.evaluate(f"pictureAt({(inside + 0.5) / FRAMES_A_SECOND})")).reshape(480, 854))
        assert np.abs(seen[-1] - green_at(film.film, inside)).mean() < 4
    assert np.abs(seen[0][:400] - seen[1][:400]).mean() < 0.5  # the same pose
    assert np.abs(seen[0][408:, :250] - seen[1][408:, :250]).mean() > 1  # another count
