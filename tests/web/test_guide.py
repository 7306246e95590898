"""What does it look like? From a drawing to an entry, and from there to who hears of it.

And what is ticked line by line: checklists, a hold point, the steps of a joint, what traffic meets.
"""

import re

from playwright.sync_api import BrowserContext, Page, expect

from tests.web.hand import begun
from tests.web.office import Office


def test_from_a_drawing_to_an_entry_and_a_notice_with_no_signal(
    browser: BrowserContext, office: Office
) -> None:
    page = begun(browser, office)
    office.kill()
    page.goto(f"{office.address}#/write")
    page.get_by_role("link", name="What does it look like?").click()
    expect(page.locator(".drawing svg")).to_have_count(35)
    page.get_by_role("link", name="Cold spots").click()
    expect(page.get_by_text("Several causes are possible")).to_be_visible()
    page.get_by_role("link", name="Write it down").click()
    expect(page.get_by_label("What was seen")).to_have_value("Cold spots")
    page.get_by_role("button", name="Keep").click()
    expect(page.get_by_role("link", name="Photo of this")).to_be_visible()
    page.get_by_role("link", name="What is up: Cold spots").click()
    page.get_by_role("link", name="Tell").click()
    asks = "Please say what you find when we see it together."
    assert page.get_by_label("The words").input_value().endswith(asks)
    page.get_by_role("button", name="spoken").click()
    expect(page.get_by_text("Kept: Notice")).to_be_visible()
    _ticks(page, office.address)


def _ticks(page: Page, address: str) -> None:
    """A line in one touch, a hold point with who released it, and what traffic misses."""
    page.wait_for_url(lambda url: "tell" not in url)  # the form has gone by then
    page.goto(f"{address}#/lists")
    page.get_by_role("button", name="After the shift").click()
    page.locator(".line", has_text="Gully covers").get_by_role("button", name="Done").click()
    expect(page.get_by_role("button", name="Gully covers swept clear done")).to_be_visible()
    page.get_by_role("button", name="First load").click()
    page.get_by_role("button", name="Surface and tack").click()
    page.get_by_role("button", name="Released").click()
    page.get_by_role("button", name="Greta Ollenshaw, supervisor").click()
    expect(page.get_by_text("Kept: Hold point")).to_be_visible()
    page.goto(f"{address}#/joints")
    page.get_by_role("button", name="Low shoulder signs").click()
    page.get_by_role("button", name="Missing").click()
    page.get_by_role("link", name="Tell somebody").click()
    expect(page.get_by_label("The words")).to_have_value(re.compile("Low shoulder signs"))
    page.get_by_role("button", name="radio").click()
    page.goto(f"{address}#/joints")
    expect(page.get_by_text("Dale Fennimoor told at")).to_be_visible()
