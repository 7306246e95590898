"""Photos in the app: on the disk before it says so, sent whole, and shown where they belong."""

import hashlib
import re
import time
from pathlib import Path
from typing import Any

import httpx
import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.web.hand import begun, take_a_load
from tests.web.harness import wait_for
from tests.web.office import Office, demo_pairs
from tests.web.pictures import noise

pytestmark = pytest.mark.browser


def photo_form(page: Page) -> None:
    page.get_by_role("link", name="Other").click()
    page.get_by_role("link", name="Photo", exact=True).click()


def keep(page: Page) -> None:
    page.get_by_role("button", name="Keep", exact=True).click()


def written(office: Office, many: int) -> list[dict[str, Any]]:
    """What was written besides the demo's entries, once so many have arrived."""
    return office.fresh("harrow", len(demo_pairs()), many)


def fetched(office: Office, digest: str) -> bytes:
    got = httpx.get(f"{office.address}/api/jobs/harrow/attachments/{digest}", verify=False)
    assert got.status_code == 200, got.text
    return got.content


def sha256(raw: bytes) -> str:
    return hashlib.sha256(raw).hexdigest()


def drawn(page: Page) -> None:
    """Wait until a picture is not only there but drawn."""
    expect(page.locator("img").first).to_be_visible()
    wait_for(page, "document.querySelector('img').naturalWidth > 0")


def test_a_photo_taken_with_no_signal_arrives_as_it_was_taken(
    browser: BrowserContext, office: Office, tmp_path: Path
) -> None:
    raw = noise(tmp_path / "mat.jpg")
    page = begun(browser, office)
    office.kill()
    photo_form(page)
    page.get_by_label("Take a photo").set_input_files(tmp_path / "mat.jpg")
    drawn(page)
    page.get_by_label("Caption").fill("Streaks behind the screed")
    page.reload()
    expect(page.get_by_text("Found half finished")).to_be_visible()
    drawn(page)
    expect(page.get_by_label("Caption")).to_have_value("Streaks behind the screed")
    keep(page)
    expect(page.get_by_text("Kept: Photo Streaks behind the screed")).to_be_visible()
    page.reload()  # at that very moment: what was kept is not found half finished as well
    page.goto(f"{office.address}/#/write/photo")
    expect(page.get_by_label("Caption")).to_have_value("")
    expect(page.get_by_text("Found half finished")).to_have_count(0)
    page.goto(f"{office.address}/#/now")
    expect(page.get_by_text("1 entry not sent yet")).to_be_visible()
    office.start()
    expect(page.get_by_text("all sent")).to_be_visible()
    (photo,) = written(office, 1)
    assert photo["body"] == {"file": sha256(raw), "caption": "Streaks behind the screed"}
    assert fetched(office, sha256(raw)) == raw


@pytest.mark.long
def test_an_upload_cut_in_the_middle_goes_on_and_arrives_whole(
    browser: BrowserContext, office: Office, tmp_path: Path
) -> None:
    raw = noise(tmp_path / "large.png", (1600, 1600), "PNG")
    page = begun(browser, office)
    session = browser.new_cdp_session(page)
    slow = {"offline": False, "latency": 0, "downloadThroughput": -1}
    session.send("Network.enable")
    session.send("Network.emulateNetworkConditions", {**slow, "uploadThroughput": 2_000_000})
    sent: list[int] = []
    page.on("request", lambda asked: sent.extend(_first(asked.headers.get("content-range"))))
    photo_form(page)
    page.get_by_label("Take a photo").set_input_files(tmp_path / "large.png")
    drawn(page)
    keep(page)
    part = office.home / "incoming" / f"harrow.{sha256(raw)}.{len(raw)}"
    until = time.monotonic() + 30
    while not part.exists() or not part.stat().st_size:
        assert time.monotonic() < until, "no piece arrived"
        page.wait_for_timeout(20)
    office.kill()
    there = part.stat().st_size
    assert 0 < there < len(raw)
    expect(page.get_by_text("1 photo not sent yet")).to_be_visible()
    sent.clear()
    session.send("Network.emulateNetworkConditions", {**slow, "uploadThroughput": -1})
    office.start()
    expect(page.get_by_text("all sent")).to_be_visible(timeout=90_000)
    assert min(sent) >= there
    assert fetched(office, sha256(raw)) == raw


def _first(given: str | None) -> list[int]:
    """Where a piece begins, from its Content-Range."""
    return [int(found) for found in re.findall(r"bytes (\d+)-", given or "")]


def test_several_at_once_become_an_entry_each_and_one_undo_takes_all_back(
    browser: BrowserContext, office: Office, tmp_path: Path
) -> None:
    raws = [noise(tmp_path / f"{n}.jpg", seed=n) for n in range(3)]
    page = begun(browser, office)
    photo_form(page)
    page.get_by_label("From this device").set_input_files([tmp_path / f"{n}.jpg" for n in range(3)])
    expect(page.get_by_role("img", name="Photo 3 of 3")).to_be_visible()
    page.get_by_role("button", name="Leave out: Photo 2 of 3").click()
    expect(page.get_by_role("img", name="Photo 2 of 2")).to_be_visible()
    keep(page)
    expect(page.get_by_text("Kept: 2 photos")).to_be_visible()
    kept = written(office, 2)
    assert [one["body"]["file"] for one in kept] == [sha256(raws[0]), sha256(raws[2])]
    left = httpx.get(f"{office.address}/api/jobs/harrow/attachments/{sha256(raws[1])}")
    assert left.status_code == 409
    page.get_by_role("button", name="Undo").click()
    struck = written(office, 4)[2:]
    assert [one["strikes"] for one in struck] == [one["id"] for one in kept]


def test_a_photo_of_an_entry_stands_with_it_and_opens_larger(
    browser: BrowserContext, office: Office, tmp_path: Path
) -> None:
    noise(tmp_path / "wide.jpg", (1200, 900))
    page = begun(browser, office)
    take_a_load(page)
    (load,) = written(office, 1)
    page.goto(f"{office.address}/#/entry/{load['id']}")
    page.get_by_role("link", name="Photo of this").click()
    expect(
        page.get_by_role("group", name="About").get_by_role("button", pressed=True)
    ).to_have_count(1)
    page.get_by_label("Take a photo").set_input_files(tmp_path / "wide.jpg")
    drawn(page)
    page.get_by_label("Caption").fill("The ticket")
    keep(page)
    expect(page.get_by_text("Kept: Photo The ticket")).to_be_visible()
    photo = written(office, 2)[1]
    assert photo["body"]["about"] == [load["id"]]
    assert photo["place"]["lane"] == load["place"]["lane"]
    page.goto(f"{office.address}/#/entry/{load['id']}")
    expect(page.get_by_role("heading", name="Photos of this")).to_be_visible()
    drawn(page)
    page.get_by_role("button", name="Larger: The ticket").click()
    wait_for(page, "document.querySelector('dialog[open] img').naturalWidth === 1200")
    page.keyboard.press("Escape")
    expect(page.get_by_role("dialog")).to_have_count(0)
    page.goto(f"{office.address}/#/entry/{photo['id']}")
    expect(page.get_by_role("img", name="The ticket")).to_be_visible()
    expect(page.locator("dl")).not_to_contain_text(photo["body"]["file"])


@pytest.mark.long
def test_what_the_office_would_not_take_is_said_at_once(
    browser: BrowserContext, office: Office, tmp_path: Path
) -> None:
    (tmp_path / "page.svg").write_text("<svg/>", encoding="utf-8")
    page = begun(browser, office)
    photo_form(page)
    page.get_by_label("Take a photo").set_input_files(tmp_path / "page.svg")
    expect(page.get_by_role("alert")).to_contain_text("page.svg is no photo or scan")
    keep(page)
    expect(page.get_by_text("Still missing: Photo")).to_be_visible()


def test_a_load_holds_the_picture_of_its_ticket(
    browser: BrowserContext, office: Office, tmp_path: Path
) -> None:
    raw = noise(tmp_path / "ticket.jpg")
    page = begun(browser, office)
    page.get_by_role("link", name="Load", exact=True).click()
    page.locator(".trucks button").first.click()
    page.get_by_role("button", name="More").click()
    page.get_by_label("Take a photo").set_input_files(tmp_path / "ticket.jpg")
    drawn(page)
    for key in "2240":
        page.locator(".pad").get_by_role("button", name=key, exact=True).click()
    page.get_by_role("button", name="Take", exact=True).click()
    expect(page.get_by_text("Kept: Load")).to_be_visible()
    (load,) = written(office, 1)
    assert load["body"]["file"] == sha256(raw)
    expect(page.get_by_text("all sent")).to_be_visible()
    assert fetched(office, sha256(raw)) == raw
