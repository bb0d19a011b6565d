"""The browser puts the figures together that the page carries by what changes in them."""

import pytest
from playwright.sync_api import Browser

from haleward.movement.library import default_library
from haleward.render.page_bundle import ASSETS
from haleward.render.page_figures import by_change, figures_of
from tests.render.test_page_figures import SHEET
from tests.session.people import PLAIN

pytestmark = pytest.mark.browser


def test_every_frame_comes_back_as_it_was_drawn(browser: Browser) -> None:
    drawn = figures_of(SHEET.exercises[1], PLAIN, default_library())
    page = browser.new_page()
    page.route("**/frames.js", lambda route: route.fulfill(path=ASSETS / "frames.js", content_type="text/javascript"))
    page.route("**/page", lambda route: route.fulfill(body="<!doctype html>", content_type="text/html"))
    page.goto("http://frames.test/page")
    made = page.evaluate("async (carried) => (await import('/frames.js')).wholeFigures(carried)", by_change(drawn))
    assert made == drawn
    page.close()
