"""Can we pave? Asked in the app with no signal, and the same answer as the command line's core."""

from datetime import datetime

from playwright.sync_api import BrowserContext, Page, expect

from matbook.desk.open_book import OpenBook
from tests.web.hand import WAIT, begun, press
from tests.web.office import Office, demo_pairs

HOURS = [{"at": "07:00", "air": "8 degC", "wind": "3 m/s", "sky": "overcast"}]


def asked_for(page: Page, title: str, keys: str) -> None:
    page.get_by_role("button", name=title).first.click()
    press(page, keys)


def test_it_is_worked_out_with_no_signal_as_everywhere(
    browser: BrowserContext, office: Office
) -> None:
    page = begun(browser, office)
    page.goto(f"{office.address}#/plan")
    office.kill()
    page.get_by_role("link", name="Can we pave?").click()
    page.get_by_role("button", name="Work it out").click()
    expect(page.get_by_role("alert")).to_have_text("Say from which time each weather holds.")
    page.get_by_label("First hour").fill("07:00")
    page.get_by_role("button", name="Work it out").click()
    expect(page.get_by_role("alert")).to_contain_text("air is “”; it is needed", timeout=WAIT)
    asked_for(page, "Temperature", "145")
    asked_for(page, "Air", "8")
    asked_for(page, "Wind", "3")
    page.get_by_role("button", name="Overcast").click()
    page.get_by_role("button", name="Work it out").click()
    table = page.locator("main table")
    table.wait_for(timeout=6 * WAIT)
    book = OpenBook("harrow")
    book.add(demo_pairs())
    at = datetime.now().astimezone().isoformat(timespec="seconds")  # as the phone's own clock
    wanted = book.ask("ahead", {"at": at, "laid": "145 degC", "lift": "binder", "hours": HOURS})
    cells = table.locator("td .cell").all_inner_texts()
    assert cells == [cell["short"] for row in wanted["rows"] for cell in row["cells"]]
    for sentence in (*wanted["needs"], *wanted["works"], *wanted["closure"]):
        expect(page.get_by_text(sentence, exact=True)).to_be_visible()
