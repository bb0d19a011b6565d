"""A film in a real browser: it plays, seeks to a count, and shows there what the encoder was given."""

from __future__ import annotations

from base64 import b64decode
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest
from playwright.sync_api import Browser, Page

from haleward.render.film_plan import FRAMES_A_SECOND, Turn, shots_of
from tests.render.filmed import SHEET, Filmed

pytestmark = pytest.mark.browser

ADDRESS = "http://film.test/"
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
    const pixels = context.getImageData(0, 0, canvas.width, canvas.height).data;
    let green = "";
    for (let at = 1; at < pixels.length; at += 4) green += String.fromCharCode(pixels[at]);
    done(btoa(green));
  }, {once: true});
  video.currentTime = seconds;
});
</script>"""


@pytest.fixture
def page(browser: Browser, filmed: Filmed) -> Any:
    opened = browser.new_page()
    files = {"": ("text/html", PAGE.encode()), "film.mp4": ("video/mp4", filmed.files.film.read_bytes())}

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


def test_seeking_shows_the_count_and_the_pose_of_that_moment(page: Page, filmed: Filmed):
    turns = [shot for shot in shots_of(SHEET) if isinstance(shot.shown, Turn)]
    seen = []
    for turn in (turns[2], turns[0], turns[4]):
        inside = turn.start + turn.length // 4
        green = b64decode(page.evaluate(f"pictureAt({(inside + 0.5) / FRAMES_A_SECOND})"))
        seen.append(np.frombuffer(green, np.uint8).reshape(480, 854).astype(int))
        assert np.abs(seen[-1] - green_at(filmed.files.film, inside)).mean() < 4
    assert np.abs(seen[0][:400] - seen[1][:400]).mean() < 0.5  # the same pose
    assert np.abs(seen[0][408:, :250] - seen[1][408:, :250]).mean() > 1  # another count
