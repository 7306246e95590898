"""The demo as a newcomer opens it: Now and Mat change by themselves, and go on without a server."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Playwright, expect

from tests.cli.test_demo import Playing, playing, wait_for
from tests.web.harness import ARGUMENTS
from tests.web.test_app import WAIT, press

pytestmark = pytest.mark.browser


@pytest.fixture
def demo(tmp_path: Path) -> Iterator[Playing]:
    with playing(tmp_path / "demo", speed="20") as found:
        yield found


def changes(shown: Locator) -> None:
    """Wait until what is shown is no longer what it says now, though nobody touched anything."""
    before = shown.inner_text()
    assert before
    wait_for(lambda: shown.inner_text() != before, WAIT / 1000)


def test_the_app_is_alive_and_outlives_the_server(
    demo: Playing, play: Playwright, tmp_path: Path
) -> None:
    context = play.chromium.launch_persistent_context(
        tmp_path / "profile",
        executable_path="/usr/bin/chromium",
        args=ARGUMENTS,
        viewport={"width": 360, "height": 800},
    )
    page = context.new_page()
    page.goto(demo.address)
    page.get_by_role("button", name="Ines Tarrow").click()  # the job is the only one there
    page.get_by_role("button", name="Open the book").click()
    expect(page.locator(".call").first).to_be_visible(timeout=WAIT)
    expect(page.get_by_text("This is the shift of")).to_have_count(0)
    answers = page.locator(".answers")
    expect(answers).to_contain_text("m/min")
    changes(answers)

    page.goto(f"{demo.address}/#/mat")
    strip = page.locator(".strip svg").first
    expect(strip).to_be_visible(timeout=WAIT)
    changes(page.get_by_text("As a table"))

    demo.stop()
    page.goto(f"{demo.address}/#/load")
    page.locator(".trucks button").nth(1).click()
    press(page, "2240")
    page.get_by_role("button", name="Take", exact=True).click()
    expect(page.get_by_text("Kept: Load")).to_be_visible()
    expect(page.get_by_text("1 entry not sent yet")).to_be_visible()
    context.close()
