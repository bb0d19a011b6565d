"""The library in a browser: find, open, change, play, print; accessible wide and narrow."""

import pytest
from playwright.sync_api import expect

from tests.browser.test_pages_accessible import faults_of

pytestmark = pytest.mark.browser
PAINTED = """(canvas) => {
  const { width, height } = canvas;
  return canvas.getContext("2d").getImageData(0, 0, width, height).data.reduce((sum, one) => (sum * 31 + one) % 1e9, 0);
}"""


def test_a_movement_is_found_by_kit_and_posture_opened_played_and_printed(windows):
    desk = windows.desk("assistant")
    page = desk.page
    page.emulate_media(reduced_motion="no-preference")
    desk.place("Library")
    page.get_by_label("Posture").select_option("seated")  # a choice narrows the list at once
    page.wait_for_url("**posture=seated**")
    page.get_by_label("Kit").select_option("ankle_weight")
    page.wait_for_url("**kit=ankle_weight**")
    expect(page.locator("#found")).not_to_contain_text("55 of")
    assert page.locator(".movements img").first.evaluate("(one) => one.decode().then(() => one.naturalWidth > 0)")
    desk.follow("Leg straightening")
    page.get_by_role("link", name="Hand weight").or_(page.get_by_role("link", name="No kit (own weight)")).first.click()
    expect(page.get_by_role("link", name="No kit (own weight)")).to_have_attribute("aria-current", "true")
    canvas = page.locator("canvas")
    expect(canvas).to_be_visible()
    first = canvas.evaluate(PAINTED)
    page.wait_for_timeout(700)
    assert canvas.evaluate(PAINTED) != first
    desk.press("Pause")
    held = canvas.evaluate(PAINTED)
    page.wait_for_timeout(300)
    assert canvas.evaluate(PAINTED) == held
    desk.press("Show the pictures")
    expect(canvas).to_have_count(0)
    expect(page.locator(".pair svg")).to_have_count(2)
    for name in ("Print the station card", "Print the home sheet"):
        address = page.get_by_role("link", name=name).get_attribute("href")
        printed = page.request.get(address)
        assert printed.headers["content-type"] == "application/pdf"
        assert printed.body().startswith(b"%PDF-")


def test_reduced_motion_shows_the_pictures_and_plays_only_when_asked(windows):
    page = windows.desk("manager").page
    page.goto("/library/movements/sit_to_stand/?posture=hand_supported")
    expect(page.get_by_role("button", name="Play the movement")).to_be_visible()
    expect(page.locator("canvas")).to_have_count(0)
    expect(page.get_by_role("button", name="Pause")).to_be_hidden()
    page.get_by_role("link", name="Free-standing", exact=True).click()
    expect(page.locator(".picks [aria-current]").first).to_have_text("Free-standing")
    page.get_by_role("button", name="Play the movement").click()
    expect(page.locator("canvas")).to_be_visible()


def test_pages_of_the_library_are_accessible_and_fit_a_phone(windows):
    page = windows.desk("nurse").page
    page.goto("/library/?caution=sternum&words=shelf")
    faults = faults_of(page, "library")
    for movement, query in (("biceps_curl", "posture=standing&kit=bottle&pull=2.4+kg&length=3+m"), ("walking", "")):
        page.goto(f"/library/movements/{movement}/?{query}")
        faults += faults_of(page, f"library-{movement}")
    assert not faults, "\n".join(faults)


def test_the_list_and_a_movement_work_without_script(windows):
    desk = windows.desk("lead", java_script_enabled=False)
    desk.page.goto("/library/?words=doors")  # without script every picture is fetched at once: few will do
    desk.page.get_by_label("Kit").select_option("band")
    desk.press("Find")
    assert "kit=band" in desk.page.url
    desk.page.get_by_label("Card of").first.check()
    desk.follow("Row with a band")
    expect(desk.page.locator(".pair svg")).to_have_count(2)
