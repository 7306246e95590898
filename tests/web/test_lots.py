"""Lots in the app with no signal: the same words and digits as everywhere else."""

import re
from datetime import datetime

from playwright.sync_api import BrowserContext, Page, expect

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
    expect(page.get_by_text(re.compile(r"^\d+ of 200 points$"))).to_be_visible()
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
    _tested(page, book, at)


def _tested(page: Page, book: OpenBook, at: str) -> None:
    """Strip, gauge and cores, still with no signal: every sentence and cell as the core says it."""
    page.goto(f"{page.url.partition('#')[0]}#/mat")
    page.get_by_role("link", name="Density", exact=True).click()
    for question, title in (("strip", ""), ("gauges", "Gauges"), ("cores", "Cores")):
        if title:
            page.get_by_role("link", name=title, exact=True).click()
        wanted = book.ask(question, {"at": at})
        part = wanted["parts"][0]
        expect(page.get_by_role("heading", name=part["title"])).to_be_visible(timeout=6 * WAIT)
        lines = [line["text"] for one in wanted["parts"] for line in one["lines"]]
        assert page.locator("main ul.stack li").all_inner_texts() == lines
        cells = [
            cell["text"]
            for one in wanted["parts"]
            for table in one["tables"]
            for row in table["rows"]
            for cell in row
        ]
        assert [text.strip() for text in page.locator("main td").all_inner_texts()] == cells
        if part["chart"]:
            expect(page.get_by_role("img", name=part["chart"]["alt"])).to_be_visible()
