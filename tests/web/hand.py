"""The app on a phone-sized screen, used as a person uses it."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import BrowserContext, Page, Playwright, expect

from tests.web.harness import ARGUMENTS
from tests.web.office import Office

WAIT = 30_000
"""Milliseconds: the machine may be busy with other tests; what is shown is waited for."""

expect.set_options(timeout=WAIT)


@contextmanager
def phone(play: Playwright, profile: Path) -> Iterator[BrowserContext]:
    """A browser as large as a phone, with a profile of its own."""
    context = play.chromium.launch_persistent_context(
        profile,
        executable_path="/usr/bin/chromium",
        args=ARGUMENTS,
        viewport={"width": 360, "height": 800},
        ignore_https_errors=True,  # a certificate made for the test
    )
    yield context
    context.close()


def begun(browser: BrowserContext, office: Office) -> Page:
    page = browser.new_page()
    page.goto(office.address)
    page.get_by_role("button", name="Harrowfen").click()
    page.get_by_role("button", name="Ines Tarrow").click()
    page.get_by_role("button", name="Open the book").click()
    expect(page.locator(".call").first).to_be_visible(timeout=WAIT)
    page.wait_for_function("navigator.serviceWorker.controller !== null", timeout=WAIT)
    return page


def press(page: Page, keys: str) -> int:
    for key in keys:
        page.locator(".pad").get_by_role("button", name=key, exact=True).click()
    return len(keys)


def take_a_load(page: Page) -> int:
    """A load as a person takes it, truck to decision; returns how many touches it took."""
    page.get_by_role("link", name="Load", exact=True).click()
    page.locator(".trucks button").nth(1).click()
    touches = 2 + press(page, "2240")
    page.get_by_role("button", name="Next").click()
    touches += 1 + press(page, "148")
    page.get_by_role("button", name="Take", exact=True).click()
    expect(page.get_by_text("Kept: Load")).to_be_visible()
    return touches + 1
