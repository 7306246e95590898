"""Closing, handing over, the plan, files and pairing, through the screens, as a person does it."""

import json
import re
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, Playwright, expect

from tests.web.hand import WAIT, begin, begun, phone, take_a_load
from tests.web.office import Office, demo_pairs, home_with_the_demo
from tests.web.secure import SecureOffice

pytestmark = pytest.mark.browser


def last(office: Office, kind: str, many: int) -> dict[str, Any]:
    """The last entry of a kind, once so many have arrived besides the demo's."""
    return [one for one in fresh(office, many) if one["kind"] == kind][-1]


def fresh(office: Office, many: int) -> list[dict[str, Any]]:
    return office.fresh("harrow", len(demo_pairs()), many)


def test_a_shift_is_closed_with_no_signal_then_signed_sealed_and_recorded(
    browser: BrowserContext, office: Office
) -> None:
    page = begun(browser, office)
    office.kill()
    page.get_by_role("link", name="Book", exact=True).click()
    page.get_by_role("link", name="Close the shift").click()
    expect(page.get_by_text("Not closed yet")).to_be_visible()
    expect(page.get_by_text("Paver 1 was not written as ended")).to_be_visible()
    expect(
        page.get_by_text("Rika Sandorme (desk-stonewick) wrote in the shift before")
    ).to_be_visible()
    page.get_by_role("link", name="Close it now").click()
    page.get_by_role("button", name="Keep", exact=True).click()
    expect(page.get_by_text("Closed, not yet sealed")).to_be_visible()
    expect(page.get_by_text("Not sent yet: 1.")).to_be_visible()
    page.get_by_role("button", name="Sign as Ines Tarrow").click()
    expect(page.get_by_text("Signed by Ines Tarrow at")).to_be_visible()
    page.get_by_role("button", name="Seal it at the office").click()
    expect(page.get_by_role("alert")).to_contain_text("The office can't be reached now")
    office.start()
    page.get_by_role("button", name="Seal it at the office").click()
    expect(page.get_by_text("Closed and sealed")).to_be_visible()
    seal = str(last(office, "seal", 3)["id"])
    with page.expect_download() as got:
        page.get_by_role("button", name="Get the daily record (PDF)").click()
    pdf = got.value.path().read_bytes()
    assert pdf.startswith(b"%PDF")
    assert got.value.suggested_filename == "harrow_2026-06-17_a_day.pdf"
    assert seal
    page.get_by_role("link", name="Day sheet").click()
    expect(page.get_by_role("region", name="Loads")).to_contain_text("1122")


def test_the_shift_is_handed_over_on_one_device(browser: BrowserContext, office: Office) -> None:
    page = begun(browser, office)
    page.goto(f"{office.address}/#/handover")
    page.get_by_role("button", name="Hand over").click()
    expect(page.get_by_role("alert")).to_contain_text("Choose who takes over")
    page.get_by_role("button", name="Bo Veyland").click()
    expect(page.get_by_label("What they have to know")).to_have_value(re.compile("reached 7[+]257"))
    page.get_by_role("button", name="Hand over").click()
    expect(page.get_by_text("Ines Tarrow hands over to Bo Veyland")).to_be_visible()
    page.get_by_role("button", name="Bo Veyland: read, and accepted").click()
    expect(page.get_by_text("Kept: Handover")).to_be_visible()
    take_a_load(page)
    expect(page.get_by_text("All sent")).to_be_visible()
    accepted, load = last(office, "handover", 3), last(office, "load", 3)
    assert (accepted["by"], load["by"]) == ("bo", "bo")
    assert accepted["body"]["step"] == "accepted"


def test_the_plan_is_changed_with_whom_it_was_agreed_or_not_at_all(
    browser: BrowserContext, office: Office
) -> None:
    page = begun(browser, office)
    page.goto(f"{office.address}/#/plan")
    expect(page.get_by_text("Levels of the milled base leave 59 mm")).to_be_visible()
    page.get_by_role("link", name="Binder course: planned spread").click()
    keep = page.get_by_role("button", name="Keep the change")
    keep.click()
    expect(page.get_by_role("alert")).to_contain_text("still the old one")
    page.get_by_label("From now on").fill("13 tonnes")
    page.get_by_label("Agreed with").fill("Dale Fennimoor")
    keep.click()
    expect(page.get_by_role("alert")).to_contain_text("why it is changed")
    page.get_by_label("Why").fill("The base is high.")
    keep.click()
    expect(page.get_by_role("alert")).to_contain_text("13 tonnes")
    page.get_by_label("From now on").fill("137 kg/m2")
    keep.click()
    expect(page.get_by_text("139 kg/m² → 137 kg/m²")).to_be_visible()
    expect(page.get_by_text("All sent")).to_be_visible()
    made = last(office, "plan", 1)
    assert made["why"] == "The base is high."
    assert made["body"] == {
        "path": "lifts/binder/spread",
        "old": "139 kg/m2",
        "new": "137 kg/m2",
        "agreed": "Dale Fennimoor",
    }


@pytest.mark.long
def test_a_shift_is_saved_to_a_file_and_taken_back_by_another_device(
    play: Playwright, tmp_path: Path, browser: BrowserContext, office: Office
) -> None:
    page = begun(browser, office)
    office.kill()
    take_a_load(page)
    page.goto(f"{office.address}/#/settings")
    with page.expect_download() as got:
        page.get_by_role("button", name="Save this shift").click()
    saved = tmp_path / "saved.jsonl"
    got.value.save_as(saved)
    page.close()
    office.start()
    with phone(play, tmp_path / "second") as second:
        other = second.new_page()
        begin(other, office)
        other.goto(f"{office.address}/#/settings")
        broken = tmp_path / "broken.jsonl"
        broken.write_text("not a line of it\n" + saved.read_text(encoding="utf-8"))
        other.get_by_label("Take a file back").set_input_files(broken)
        expect(other.get_by_text("Taken: 1. Here already:")).to_be_visible()
        expect(other.get_by_text("Line 1: It can't be read.")).to_be_visible()
        expect(other.get_by_text("All sent").first).to_be_visible()


@pytest.mark.long
def test_a_load_is_shared_out_over_two_places(browser: BrowserContext, office: Office) -> None:
    page = begun(browser, office)
    page.get_by_role("link", name="Book", exact=True).click()
    page.get_by_text("Load 1122").click()
    page.get_by_role("link", name="Part of it went elsewhere").click()
    page.get_by_role("button", name="Wasted").click()
    page.get_by_role("button", name="Mass").click()
    for key in "35":
        page.locator(".pad").get_by_role("button", name=key, exact=True).click()
    page.get_by_role("button", name="Keep", exact=True).click()
    expect(page.get_by_text("Kept: Placed")).to_be_visible()
    expect(page.get_by_text("All sent")).to_be_visible()
    found = [json.loads(one["text"]) for one in office.entries("harrow")]
    load = [one for one in found if one["body"].get("ticket") == "1122"][-1]
    body = last(office, "placed", 1)["body"]
    assert body == {"load": load["id"], "to": "waste", "mass": "35 t"}


def paired(browser: BrowserContext, office: SecureOffice, person: str, role: str) -> Page:
    page = browser.new_page()
    page.goto(f"{office.address}/#pair={office.code(person, role)}")
    page.get_by_role("button", name="Pair this device").click()
    return page


def test_phones_are_paired_through_the_screens_and_a_contractor_sees_what_is_theirs(
    play: Playwright, tmp_path: Path, unused: BrowserContext
) -> None:
    office = SecureOffice(home_with_the_demo(tmp_path))
    try:
        unpaired = unused.new_page()
        unpaired.goto(office.address)
        unpaired.get_by_label("Code").fill("AA-AAAA-AAAA")
        unpaired.get_by_role("button", name="Pair this device").click()
        expect(unpaired.get_by_role("alert")).to_contain_text("Ask for a new code")
        unpaired.close()
        page = paired(unused, office, "greta", "supervisor")
        expect(page.locator(".call").first).to_be_visible(timeout=2 * WAIT)
        page.goto(f"{office.address}/#/devices")
        expect(page.get_by_text("Greta Ollenshaw, supervisor").nth(1)).to_be_visible()
        page.get_by_role("button", name="Dale Fennimoor, contractor").click()
        code = page.locator(".number").inner_text()
        with phone(play, tmp_path / "dale") as theirs:
            dale = theirs.new_page()
            dale.goto(f"{office.address}/#pair={code}")
            dale.get_by_role("button", name="Pair this device").click()
            expect(dale.locator(".answer")).to_have_count(6)
            expect(dale.locator(".call").first).to_be_visible()
            dale.get_by_role("button", name="more").click()
            expect(dale.get_by_role("button", name="Fewer")).to_be_visible()
            dale.locator(".call a.body").last.click()
            dale.reload()
            expect(dale.locator(".number")).to_contain_text("Not done: ")
            expect(dale.get_by_role("link", name="Load", exact=True)).to_have_count(0)
            dale.goto(f"{office.address}/#/now")
            expect(dale.get_by_text("It is shown as it stood at 2026-06-17 07:42")).to_be_visible()
            expect(dale.get_by_role("link", name="Begin today's shift")).to_have_count(0)
            dale.goto(f"{office.address}/#/book")
            expect(dale.get_by_role("link", name="Plan")).to_be_visible()
            expect(dale.get_by_role("link", name="Close the shift")).to_have_count(0)
            dale.goto(f"{office.address}/#/score")
            expect(dale.get_by_text("83 % (44 to 97 %) · off by")).to_have_count(2)
            dale.goto(f"{office.address}/#/write")
            expect(dale.get_by_role("link", name="Reply")).to_be_visible()
            expect(dale.get_by_role("link", name="Density")).to_have_count(0)
    finally:
        office.kill()


def test_a_correction_is_left_alone_while_others_write_and_its_undo_puts_back_what_stood(
    browser: BrowserContext, office: Office
) -> None:
    page = begun(browser, office)
    page.get_by_role("link", name="Book", exact=True).click()
    page.get_by_text("Load 1122").click()
    page.get_by_role("link", name="Correct it").click()
    why = page.get_by_label("Why it is corrected")
    why.fill("read the rule upside down")
    other = browser.new_page()
    other.goto(f"{office.address}/#/write/note")
    other.get_by_label("Words").fill("meanwhile")
    other.get_by_role("button", name="Keep", exact=True).click()
    expect(other.get_by_text("Kept: Note meanwhile")).to_be_visible()
    page.wait_for_timeout(1500)  # the first window has heard of it, and renewed what it shows
    expect(why).to_have_value("read the rule upside down")
    page.get_by_role("button", name="It happened earlier").click()
    page.get_by_label("When it happened").fill("07:40")
    page.get_by_role("button", name="Keep the correction").click()
    expect(page.get_by_text("Kept: Load 1122")).to_be_visible()
    page.get_by_role("button", name="Undo").click()
    fresh(office, 3)
    expect(page.get_by_text("All sent")).to_be_visible()
    found = [json.loads(one["text"]) for one in office.entries("harrow")]
    before, corrected, back = [one for one in found if one["body"].get("ticket") == "1122"][-3:]
    assert (corrected["strikes"], back["strikes"]) == (before["id"], corrected["id"])
    assert back["body"] == before["body"]
    assert corrected["at"] == "2026-06-17T07:40:00-03:00"  # of the entry's day, not of today
    assert back["at"] == before["at"]
    assert back["instrument"] == corrected["instrument"] == before["instrument"]


def test_two_presses_of_a_gloved_finger_keep_one_entry(
    browser: BrowserContext, office: Office
) -> None:
    page = begun(browser, office)
    before = len(office.entries("harrow"))
    page.goto(f"{office.address}/#/write/note")
    page.get_by_label("Words").fill("once")
    page.get_by_role("button", name="Keep", exact=True).dblclick()
    expect(page.get_by_text("Kept: Note once")).to_be_visible()
    fresh(office, 1)
    expect(page.get_by_text("All sent")).to_be_visible()
    assert len(office.entries("harrow")) == before + 1
