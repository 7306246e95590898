"""The demo as a newcomer opens it: Now and Mat change by themselves, and go on without a server."""

from collections.abc import Iterator
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Locator, expect

from tests.cli.test_demo import Playing, playing, wait_for
from tests.web.hand import WAIT, take_a_load

pytestmark = pytest.mark.browser
THERE = timezone(timedelta(hours=-3))
"""The demo's clock."""


@pytest.fixture
def demo(tmp_path: Path) -> Iterator[Playing]:
    with playing(tmp_path / "demo", speed="20") as found:
        yield found


def changes(shown: Locator) -> None:
    """Wait until what is shown is no longer what it says now, though nobody touched anything."""
    before = shown.inner_text()
    assert before
    wait_for(lambda: shown.inner_text() != before, WAIT / 1000)


@pytest.mark.long
def test_the_app_is_alive_and_outlives_the_server(demo: Playing, unused: BrowserContext) -> None:
    page = unused.new_page()
    page.goto(demo.address)
    page.get_by_role("button", name="Ines Tarrow").click()  # the job is the only one there
    page.get_by_role("button", name="Open the book").click()
    expect(page.locator(".call").first).to_be_visible(timeout=WAIT)
    day = datetime.now(THERE).date()  # in the small hours the shift is that of the day before
    before_midnight = demo.shift().split("/")[1] != str(day)
    expect(page.get_by_text("This is the shift of")).to_have_count(int(before_midnight))
    answers = page.locator(".answers")
    expect(answers).to_contain_text("m/min")
    changes(answers)

    page.goto(f"{demo.address}/#/mat")
    strip = page.locator(".strip svg").first
    expect(strip).to_be_visible(timeout=WAIT)
    changes(page.get_by_text("As a table: ", exact=False).last)

    demo.stop()
    page.goto(f"{demo.address}/#/now")
    take_a_load(page)
    expect(page.get_by_text("1 entry not sent yet")).to_be_visible()
