"""The app in Debian's Chromium, against the real server: written with no signal, then sent."""

import json
import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from importlib import resources
from pathlib import Path
from typing import Any

import httpx
import pytest
from playwright.sync_api import BrowserContext, Page, expect, sync_playwright

from matbook.bootstrap import open_installation
from matbook.desk.open_book import OpenBook

pytestmark = pytest.mark.browser

ARGUMENTS = [
    *("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync"),
    *("--disable-background-networking", "--disable-component-update"),
]
WAIT = 30_000
"""Milliseconds: the machine may be busy with other tests; what is shown is waited for."""

expect.set_options(timeout=WAIT)


class Office:
    """A server of its own process, which can be killed and started again."""

    def __init__(self, home: Path) -> None:
        self.home = home
        with socket.socket() as found:
            found.bind(("127.0.0.1", 0))
            self.port = found.getsockname()[1]
        self.address = f"http://localhost:{self.port}"
        self.start()

    def start(self) -> None:
        command = [sys.executable, "-m", "matbook", "--home", str(self.home), "serve"]
        self.process = subprocess.Popen(
            [*command, "--port", str(self.port)],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1"},
        )
        for _ in range(200):
            try:
                httpx.get(f"{self.address}/api/health").raise_for_status()
            except httpx.TransportError:
                time.sleep(0.1)
            else:
                return
        raise AssertionError("the server did not start")

    def kill(self) -> None:
        self.process.kill()
        self.process.wait()

    def entries(self, job: str) -> list[dict[str, Any]]:
        got = httpx.get(f"{self.address}/api/jobs/{job}/entries", params={"limit": 1000})
        found: list[dict[str, Any]] = got.json()["entries"]
        return found


def demo_pairs() -> list[tuple[str, str]]:
    text = (resources.files("matbook.demo") / "harrow" / "entries.jsonl").read_text("utf-8")
    return [(one["hash"], one["text"]) for one in map(json.loads, text.splitlines())]


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    here = open_installation(tmp_path / "home")
    here.store.append_all(demo_pairs(), "2026-06-17T08:00:00-03:00")
    here.store.close()
    served = Office(tmp_path / "home")
    yield served
    served.kill()


@pytest.fixture
def browser(tmp_path: Path) -> Iterator[BrowserContext]:
    with sync_playwright() as play:
        yield play.chromium.launch_persistent_context(
            tmp_path / "profile",
            executable_path="/usr/bin/chromium",
            args=ARGUMENTS,
            viewport={"width": 360, "height": 800},
        )


def begun(browser: BrowserContext, office: Office) -> Page:
    page = browser.new_page()
    page.goto(office.address)
    page.get_by_role("button", name="Harrowfen").click()
    page.get_by_role("textbox").fill("ines")
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


def test_a_load_is_written_with_no_signal_and_arrives_once(
    browser: BrowserContext, office: Office
) -> None:
    page = begun(browser, office)
    before = {one["hash"] for one in office.entries("harrow")}
    office.kill()
    touches = take_a_load(page)
    print(f"a load in {touches} touches, digits included")
    assert touches <= 11
    expect(page.get_by_text("1 entry not sent yet")).to_be_visible()
    page.reload()
    expect(page.get_by_text("1 entry not sent yet")).to_be_visible(timeout=WAIT)
    take_a_load(page)
    expect(page.get_by_text("2 entries not sent yet")).to_be_visible()
    office.start()
    expect(page.get_by_text("all sent")).to_be_visible(timeout=WAIT)
    after = office.entries("harrow")
    fresh = [json.loads(one["text"]) for one in after if one["hash"] not in before]
    assert len(after) == len(before) + 2
    assert [one["body"]["net"] for one in fresh] == ["22.40 t", "22.40 t"]
    assert [one["seq"] for one in fresh] == [1, 2]


def test_the_app_and_the_command_line_say_the_same(browser: BrowserContext, office: Office) -> None:
    page = begun(browser, office)
    page.goto(f"{office.address}/#/book")
    page.get_by_role("combobox").select_option("harrow/2026-06-16/a/day")
    page.goto(f"{office.address}/#/now")
    book = OpenBook("harrow")
    book.add(demo_pairs())
    now = book.ask("now", {"shift": "harrow/2026-06-16/a/day", "at": "2026-06-17T12:00:00-03:00"})
    expect(page.locator(".answer")).to_have_count(6)
    for place, answer in enumerate(now["answers"]):
        expect(page.locator(".answer .number").nth(place)).to_have_text(answer["number"])
    heads = [call["head"] for call in now["calls"]][:1]
    expect(page.locator(".call .number").first).to_have_text(heads[0])


def test_half_a_form_is_found_again(browser: BrowserContext, office: Office) -> None:
    page = begun(browser, office)
    page.get_by_role("link", name="Load", exact=True).click()
    press(page, "217")
    page.reload()
    expect(page.get_by_text("Found half finished")).to_be_visible(timeout=WAIT)
    expect(page.locator(".field[aria-pressed=true] .value")).to_contain_text("21.7")
