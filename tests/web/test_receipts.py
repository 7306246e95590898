"""Full, opened twice, copied: the app's screens say what happened in a sentence."""

import json
import shutil
from pathlib import Path

import pytest
from playwright.sync_api import Page, Playwright, expect

from tests.web import hand
from tests.web.hand import begin, press, take_a_load
from tests.web.harness import JOB
from tests.web.office import Office, demo_pairs

pytestmark = pytest.mark.browser


FILL = """
async (size) => {
  const open = indexedDB.open('matbook');
  const db = await new Promise((done) => (open.onsuccess = () => done(open.result)));
  for (let n = 0; n < 10000; n += 1) {
    const tx = db.transaction('drafts', 'readwrite', { durability: 'strict' });
    const ended = new Promise((done) => {
      tx.oncomplete = () => done('');
      tx.onabort = () => done(tx.error.name);
    });
    const bytes = crypto.getRandomValues(new Uint8Array(size));
    tx.objectStore('drafts').put(bytes, `something else ${size} ${n}`);
    const trouble = await ended;
    if (trouble) {
      db.close();
      return trouble;
    }
  }
}
"""
"""Puts other things into the book's own database until no more goes in."""


@pytest.mark.long
def test_a_full_phone_says_so_and_keeps_what_was_typed(
    play: Playwright, tmp_path: Path, office: Office
) -> None:
    with hand.phone(play, tmp_path / "full", offline=False) as context:
        page = context.new_page()
        page.goto(f"{office.address}/api/health")
        give_room(page, office.address, 8_000_000)
        begin(page, office)
        page.get_by_role("link", name="Load", exact=True).click()
        page.locator(".trucks button").first.click()
        press(page, "224")
        for size in (60_000, 1000, 10):
            assert page.evaluate(FILL, size) == "QuotaExceededError"
        press(page, "0")
        take = page.get_by_role("button", name="Take", exact=True)
        take.click()
        expect(page.get_by_role("alert")).to_contain_text("This device is full. Nothing was lost")
        give_room(page, office.address, None)
        take.click()
        expect(page.get_by_text("Kept: Load")).to_be_visible()
        expect(page.get_by_text("all sent")).to_be_visible()
    last = json.loads(office.entries(JOB)[-1]["text"])
    assert last["body"]["net"] == "22.40 t"


@pytest.mark.long
def test_two_tabs_say_of_each_other_what_is_not_sent_yet(
    play: Playwright, tmp_path: Path, office: Office
) -> None:
    before = len(demo_pairs())
    with hand.phone(play, tmp_path / "tabs", offline=False) as context:
        left, right = context.new_page(), context.new_page()
        begin(left, office)
        right.goto(office.address)
        expect(right.locator(".answer[href]").first).to_be_visible()
        office.kill()
        take_a_load(left)
        expect(right.get_by_text("1 entry not sent yet")).to_be_visible()
        take_a_load(right)
        for page in (left, right):
            expect(page.get_by_text("2 entries not sent yet")).to_be_visible()
            expect(page.get_by_text("The office can't be reached")).to_be_visible()
        office.start()
        for page in (left, right):
            expect(page.get_by_text("all sent")).to_be_visible()
    fresh = [json.loads(one["text"]) for one in office.entries(JOB)[before:]]
    assert [(one["kind"], one["seq"]) for one in fresh] == [("load", 1), ("load", 2)]
    assert len({one["body"]["ticket"] for one in fresh}) == 2


@pytest.mark.long
def test_a_cloned_phone_says_that_it_goes_on_under_a_new_name(
    play: Playwright, tmp_path: Path, office: Office
) -> None:
    with hand.phone(play, tmp_path / "one") as context:
        page = context.new_page()
        begin(page, office)
        take_a_load(page)
        expect(page.get_by_text("all sent")).to_be_visible()
    shutil.copytree(tmp_path / "one", tmp_path / "two")
    office.kill()
    with (
        hand.phone(play, tmp_path / "one") as first,
        hand.phone(play, tmp_path / "two") as clone,
    ):
        pages = first.new_page(), clone.new_page()
        for page in pages:
            page.goto(office.address)
            take_a_load(page)
        before = len(demo_pairs())
        office.start()
        for page in pages:
            expect(page.get_by_text("all sent")).to_be_visible()
        told = pages[1].get_by_role("status")
        expect(
            told.filter(has_text="it goes on under a new name, and both are kept")
        ).to_be_visible()
        expect(told.filter(has_text="two entries with the number 2")).to_be_visible()
        assert len(office.entries(JOB)) == before + 3


def give_room(page: Page, origin: str, size: int | None) -> None:
    """Let the browser keep no more than so many bytes; None for as many as there are."""
    session = page.context.new_cdp_session(page)
    quota = {} if size is None else {"quotaSize": size}
    session.send("Storage.overrideQuotaForOrigin", {"origin": origin, **quota})
