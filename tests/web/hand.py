"""The app on a phone-sized screen, used as a person uses it."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import BrowserContext, Page, Playwright, expect

from tests.web.harness import ARGUMENTS, wait_for
from tests.web.office import Office

WAIT = 30_000
"""Milliseconds: the machine may be busy with other tests; what is shown is waited for."""

IMAGE_HELD = "caches.open('python').then((one) => one.keys()).then((keys) => keys.length === 1)"
"""Whether Python's image is on the device, as the page is asked."""

expect.set_options(timeout=WAIT)


@contextmanager
def phone(
    play: Playwright, profile: Path, *more: str, offline: bool = True
) -> Iterator[BrowserContext]:
    """A browser as large as a phone, with a profile of its own, where the app may be kept.

    It is started with `more` arguments, if any.
    """
    context = play.chromium.launch_persistent_context(
        profile,
        executable_path="/usr/bin/chromium",
        args=[*ARGUMENTS, *more],
        viewport={"width": 360, "height": 800},
        ignore_https_errors=True,  # a certificate made for the test
        service_workers="allow" if offline else "block",
    )
    try:
        yield context
    finally:
        context.close()


def begun(browser: BrowserContext, office: Office) -> Page:
    """The app on a phone on which the job was begun before, with figures on its screen."""
    page = browser.new_page()
    page.goto(office.address)
    expect(page.locator(".answer[href]").first).to_be_visible()
    return page


def begin(page: Page, office: Office) -> None:
    """Open the app for the first time, say which job and who writes, and wait for figures."""
    page.goto(office.address)
    page.get_by_role("button", name="Harrowfen").click()
    page.get_by_role("button", name="Ines Tarrow").click()
    page.get_by_role("button", name="Open the book").click()
    expect(page.locator(".answer[href]").first).to_be_visible(timeout=2 * WAIT)


def kept(page: Page) -> None:
    """Wait until all that the app needs with no signal is on the device."""
    expect(page.get_by_text("all sent")).to_be_visible()
    wait_for(page, "navigator.serviceWorker.controller !== null", WAIT / 1000)
    wait_for(page, IMAGE_HELD, WAIT / 1000)


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
    take = page.get_by_role("button", name="Take", exact=True)
    take.click()
    expect(take).to_have_count(0)  # what was said of the load before may still be there
    expect(page.get_by_text("Kept: Load")).to_be_visible()
    return touches + 1


def take_a_reading(page: Page, kind: str, digits: str, *chosen: str, station: str = "") -> int:
    """A reading as a person takes it, from Now until it is kept; returns how many touches it took.

    One that isn't given its station where it needs one is asked about, and kept as it is.
    """
    page.get_by_role("link", name="Other", exact=True).click()
    page.get_by_role("link", name=kind, exact=True).click()
    touches = 2 + press(page, digits) + len(chosen)
    for one in chosen:
        page.get_by_role("button", name=one, exact=True).click()
    if station:
        page.locator(".fields").get_by_role("button", name="Station").click()
        touches += 1 + press(page, station)
    keep = page.get_by_role("button", name="Keep", exact=True)
    keep.click()
    if chosen and not station:
        expect(page.get_by_role("alert")).to_contain_text("no station")
        keep.click()
        touches += 1
    expect(page.get_by_text(f"Kept: {kind}")).to_be_visible()
    expect(keep).to_have_count(0)
    return touches + 1
