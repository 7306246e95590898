"""What does it look like? From a drawing to an entry, and from there to who hears of it."""

from playwright.sync_api import BrowserContext, expect

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
