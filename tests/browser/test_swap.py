"""One click swaps an exercise for another with the same purpose; the kit form tells about a measured band."""

from django.utils import timezone

from haleward.web.accounts.models import User
from haleward.web.prescription.actions import start_draft
from haleward.web.team.demo import assessed_person
from tests.browser.shots import shot


def test_a_lead_swaps_for_the_same_purpose_in_one_click(windows, team):
    lead, nurse = (User.objects.get(service=team, username=name) for name in ("lead", "nurse"))
    now = timezone.now()
    person = assessed_person("leila", reason="Exercise at home", lead=lead, nurse=nurse, now=now)
    start_draft(person, user=lead, now=now)
    desk = windows.desk("lead")
    page = desk.page
    page.goto(f"/people/{person.pk}/programme/")
    shot(page, "plan")
    links = page.locator(".exercises a.button").all()
    addresses = [link.get_attribute("href") for link in links]
    for place, address in enumerate(addresses):
        page.goto(address)
        shot(page, f"exercise-{place}")
    page.goto(addresses[0])
    first = page.locator(".swaps li").first
    title = first.locator("strong").inner_text()
    first.get_by_role("button").click()
    assert title in page.locator(".exercises").first.inner_text()
    assert "Chosen by Marion Stead" in page.content()
    page.goto(f"/people/{person.pk}/assessment/")
    page.locator("[name='band-0-readings']").scroll_into_view_if_needed()
    assert "Measure it again by" in page.content()
    shot(page, "kit")
