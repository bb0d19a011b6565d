"""Without a network: the session goes on, the log waits on the phone, and everything is stored once."""

import pytest
from playwright.sync_api import expect

from haleward.web.delivery.models import LogEntry
from tests.browser.phone import Session

pytestmark = pytest.mark.browser


def kept_pages(phone):
    """The session pages that the phone keeps for times without a network."""
    return phone.page.evaluate(
        """async () => (await Promise.all((await caches.keys()).map(async (name) =>
             (await (await caches.open(name)).keys()).map((one) => one.url)))).flat()"""
    )


def wait_until_kept(phone, ending):
    for _ in range(100):
        if any(url.endswith(ending) for url in kept_pages(phone)):
            return
        phone.page.wait_for_timeout(100)
    raise AssertionError(f"Not kept on the phone: {ending}. Kept: {kept_pages(phone)}")


def unsent(phone, count):
    expect(phone.page.locator("#unsent")).to_contain_text(f"{count} notes are on this device and not sent yet.")
    return count


def test_a_session_without_a_network_is_kept_and_sent_once_when_the_network_returns(ready):
    ready.windows.expected.append("ERR_INTERNET_DISCONNECTED")
    phone = ready.open_link()
    wait_until_kept(phone, "/session/one/")
    wait_until_kept(phone, ready.link)
    phone.start()
    phone.page.context.set_offline(True)
    phone.answer_day()
    phone.play(Session())
    assert phone.sets == ready.sets
    before_reload = unsent(phone, 1 + 2 * ready.sets)  # the check, then each set and its effort

    phone.page.reload()
    expect(phone.page.locator("h1").first).to_be_visible()
    unsent(phone, before_reload)
    phone.finish(Session())
    waiting = unsent(phone, before_reload + 1)
    assert LogEntry.objects.count() == 0

    with phone.page.expect_request("**/log/") as sent:
        phone.page.context.set_offline(False)
    phone.all_sent()
    assert LogEntry.objects.count() == waiting
    assert LogEntry.objects.filter(kind="effort").count() == ready.sets
    again = phone.page.request.post(
        sent.value.url, data=sent.value.post_data, headers={"Content-Type": "application/json"}
    )
    assert len(again.json()["stored"]) == waiting
    assert LogEntry.objects.count() == waiting
    phone.page.reload()
    phone.all_sent()
    assert LogEntry.objects.count() == waiting
