"""A phone whose clock is wrong: what it writes is kept and shown, and somebody says so."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Page, Playwright, expect

from matbook.desk.open_book import OpenBook
from tests.web import hand
from tests.web.hand import begin, take_a_load
from tests.web.harness import JOB, SHIFT, Device, assert_once_each, device
from tests.web.office import Office

pytestmark = pytest.mark.browser

HOUR = timedelta(hours=1)


def turn_clock(page: Page, by: timedelta) -> datetime:
    """Set the device's clock so far from the time it is; returns what it says now."""
    now = datetime.now(UTC) + by
    page.clock.set_system_time(now)
    return now


def clocks_told(phone: Device) -> list[str]:
    phone.sync()
    found = phone.run("return m.told(a)", JOB)
    return [one["sentence"] for one in found if one["code"] == "app.sync.clock"]


def put_away(phone: Device) -> None:
    phone.run("for (const one of await m.told(a)) await m.putAway(one.id)", JOB)


def test_a_clock_an_hour_ahead_loses_nothing_and_is_told_once(
    play: Playwright, tmp_path: Path, built: Path, office: Office, phone: Device
) -> None:
    turn_clock(phone.page, HOUR)
    kept = phone.write("by a clock that is ahead", "and another")
    (sentence,) = clocks_told(phone)
    assert "This device's clock and the office's don't agree" in sentence
    assert clocks_told(phone) == [sentence]
    with device(play, tmp_path / "second", built, office.address, "mario") as second:
        kept += second.write("by a clock that is right")
        assert clocks_told(second) == []
        phone.sync()
        assert set(kept) <= set(second.hashes())
        assert_once_each(office, phone, second)
        assert phone.hashes() == second.hashes()
        book = OpenBook(JOB)
        book.add((pair["hash"], pair["text"]) for pair in second.run("return m.pairs(a)", JOB))
    asked = {"shift": SHIFT, "at": datetime.now(UTC).isoformat()}
    (call,) = [one for one in book.ask("now", asked)["calls"] if one["code"] == "book.to-come"]
    assert "a time still to come here: one clock is wrong" in call["line"]
    shown = [row["hash"] for row in book.ask("entries", {**asked, "search": "clock that is"})]
    assert len(shown) == 2


def test_a_clock_is_told_again_only_when_it_goes_wrong_again(phone: Device) -> None:
    turn_clock(phone.page, timedelta(minutes=4))
    assert clocks_told(phone) == []
    turn_clock(phone.page, -HOUR)
    assert len(clocks_told(phone)) == 1
    put_away(phone)
    assert clocks_told(phone) == []
    turn_clock(phone.page, timedelta())
    assert clocks_told(phone) == []
    turn_clock(phone.page, HOUR)
    assert len(clocks_told(phone)) == 1


@pytest.mark.long
def test_the_screen_says_that_the_clock_is_wrong(
    play: Playwright, tmp_path: Path, office: Office
) -> None:
    with hand.phone(play, tmp_path / "ahead") as context:
        page = context.new_page()
        wrong = turn_clock(page, HOUR)
        begin(page, office)
        told = page.get_by_role("status").filter(has_text="clock and the office's don't agree")
        expect(told).to_contain_text(f"{wrong:%Y-%m-%d %H}:")
        take_a_load(page)
        expect(page.get_by_text("all sent")).to_be_visible()
        told.get_by_role("button", name="Close").click()
        expect(told).to_have_count(0)
