"""Lots in the app with no signal: the same words and digits as everywhere else."""

from datetime import datetime

from playwright.sync_api import BrowserContext, expect

from matbook.desk.open_book import OpenBook
from tests.web.hand import WAIT, begun
from tests.web.office import Office, demo_pairs


def test_a_lot_is_opened_down_to_a_core_with_no_signal(
    browser: BrowserContext, office: Office
) -> None:
    page = begun(browser, office)
    page.goto(f"{office.address}#/mat")
    office.kill()
    page.get_by_role("link", name="Lots", exact=True).click()
    book = OpenBook("harrow")
    book.add(demo_pairs())
    at = datetime.now().astimezone().isoformat(timespec="seconds")
    first, second, third = book.ask("lots", {"at": at})
    for row in (first, second, third):
        link = page.get_by_role("link", name=f"{row['lot']} · {row['of']}")
        expect(link).to_contain_text(row["within"], timeout=6 * WAIT)
    page.get_by_role("link", name=first["lot"]).click()
    wanted = book.ask("lot", {"at": at, "name": "mat-1"})
    expect(page.get_by_role("heading", name=wanted["title"])).to_be_visible(timeout=WAIT)
    expect(page.get_by_text(f"Pay factor {wanted['factor']}", exact=True)).to_be_visible()
    assert page.locator("main ol li").all_inner_texts() == [s["text"] for s in wanted["steps"]]
    for sentence in wanted["laid"]:
        expect(page.get_by_text(sentence, exact=True)).to_be_visible()
    page.get_by_role("link", name=wanted["rows"][0]["value"]).first.click()
    expect(page.get_by_text("bulk gravity / maximum gravity")).to_be_visible(timeout=WAIT)
    page.goto(f"{office.address}#/risk/florida-percent")
    page.get_by_label("Standard deviation of the work").fill("1.0")
    page.get_by_label("Lower limit").fill("92")
    page.get_by_role("button", name="Simulate").click()
    expect(page.get_by_text("10 of 200 points", exact=True)).to_be_visible(timeout=6 * WAIT)
    page.get_by_role("button", name="Stop").click()
    expect(page.get_by_role("button", name="Simulate")).to_be_visible()
    expect(page.get_by_text("the curve ends there")).to_be_visible()
    page.goto(f"{office.address}#/draws/mat-1")
    drawn = book.ask("draw", {"at": at, "name": "mat-1"})
    for sentence in drawn["agrees"]:
        expect(page.get_by_text(sentence)).to_be_visible(timeout=WAIT)
    page.goto(f"{office.address}#/draws/mat-4")
    page.get_by_role("button", name="Commit to a number").click()
    expect(page.get_by_text("committed a number:")).to_be_visible(timeout=WAIT)
    expect(page.get_by_text("This device holds the owner’s number")).to_be_visible()
