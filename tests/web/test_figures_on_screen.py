"""What the app shows of the demo day, digit for digit, is what the command line shows."""

import random
from typing import Any
from urllib.parse import quote

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from matbook.desk.open_book import OpenBook
from tests.web.day import AT, DAY
from tests.web.hand import begun
from tests.web.harness import JOB
from tests.web.office import Office, demo_pairs

pytestmark = pytest.mark.browser

FEW = 12
"""Figures opened in the short run, besides those of the whole shift."""
LINES = """() => [...document.querySelectorAll('.stack > li')].map((one) =>
  (one.querySelector('a > span') ?? one.querySelector('p').firstChild).textContent.trim())"""
"""The inputs of the figure on the screen, each with its value."""


@pytest.fixture(scope="module")
def book() -> OpenBook:
    found = OpenBook(JOB)
    found.add(demo_pairs())
    return found


def asked(book: OpenBook, question: str, **given: str) -> Any:
    return book.ask(question, {"shift": DAY, "at": AT, **given})


def shown(browser: BrowserContext, office: Office) -> Page:
    """Open the app at the demo day."""
    page = begun(browser, office)
    page.goto(f"{office.address}/#/book")
    page.get_by_role("combobox").select_option(DAY)
    page.goto(f"{office.address}/#/now")
    return page


def assert_opens_alike(page: Page, office: Office, figure: dict[str, Any]) -> None:
    """A figure's number, its range and each number it is worked out from."""
    page.goto(f"{office.address}/#/figure/{quote(figure['name'], safe='')}")
    expect(page.locator("h2").first).to_have_text(figure["title"])
    expect(page.locator("p.number")).to_have_text(figure["value"])
    inputs = [" ".join(f"{one['title']}: {one['value']}".split()) for one in figure["inputs"]]
    assert [" ".join(line.split()) for line in page.evaluate(LINES)] == inputs
    if figure["range"]:
        ends = f"{figure['range']['low']} to {figure['range']['high']}"
        expect(page.get_by_text(ends)).to_be_visible()


def assert_opens_though_it_does_not_stand_there(
    page: Page, office: Office, call: dict[str, Any]
) -> None:
    """A call that Now only counts, on its own screen and on that of the entry it is about."""
    page.goto(f"{office.address}/#/entry/{call['entries'][0]}")
    page.get_by_role("link", name=call["head"]).click()
    expect(page.locator(".grow p").nth(1)).to_have_text(call["line"])
    page.goto(f"{office.address}/#/call/{quote('load.temperature:nothing')}")
    expect(page.get_by_text("This is no longer up")).to_be_visible()
    page.goto(f"{office.address}/#/now")


def test_the_answers_and_every_call_of_the_demo_day(
    browser: BrowserContext, office: Office, book: OpenBook
) -> None:
    now = asked(book, "now")
    names = [one["name"] for one in asked(book, "figures")]
    of_the_shift = [name for name in names if name.startswith("yield.shift")]
    some = random.Random(7).sample([name for name in names if name not in of_the_shift], FEW)
    page = shown(browser, office)
    expect(page.locator(".answer")).to_have_count(len(now["answers"]))
    for place, answer in enumerate(now["answers"]):
        told = page.locator(".answer").nth(place)
        expect(told.locator(".number")).to_have_text(answer["number"])
        expect(told.locator("span.small")).to_have_text(answer["lines"])
    heads = page.locator(".call .number")
    expect(heads).to_have_text([one["head"] for one in now["calls"] if one["waits"]][:3])
    assert_opens_though_it_does_not_stand_there(page, office, now["calls"][-1])
    more = page.get_by_role("button", name=f"{len(now['calls']) - 3} more")
    more.click()
    expect(heads).to_have_count(len(now["calls"]))
    calls = list(zip(*[page.locator(f".call .{part}").all_inner_texts()
                       for part in ("number", "line")], strict=True))  # fmt: skip
    assert sorted(calls) == sorted((one["head"], one["line"]) for one in now["calls"])
    page.get_by_role("button", name="Fewer").click()
    expect(heads).to_have_count(3)
    expect(more).to_be_visible()
    for name in of_the_shift + some:
        assert_opens_alike(page, office, asked(book, "figure", name=name))


@pytest.mark.long
def test_every_figure_of_the_demo_day_opens_alike(
    browser: BrowserContext, office: Office, book: OpenBook
) -> None:
    page = shown(browser, office)
    for one in asked(book, "figures"):
        assert_opens_alike(page, office, asked(book, "figure", name=one["name"]))
