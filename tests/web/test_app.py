"""The app in Debian's Chromium, against the real server: written with no signal, then sent."""

import json

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from matbook.desk.open_book import OpenBook
from tests.web.hand import WAIT, begun, press, take_a_load, take_a_reading
from tests.web.office import Office, demo_pairs

pytestmark = pytest.mark.browser


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


def installs(browser: BrowserContext, office: Office, page: Page) -> None:
    """By what Chromium itself has against it: nothing; and its icons are as large as they say."""
    session = browser.new_cdp_session(page)
    manifest = session.send("Page.getAppManifest")
    assert manifest["url"] == f"{office.address}/manifest.webmanifest"
    assert manifest["errors"] == []
    assert session.send("Page.getInstallabilityErrors")["installabilityErrors"] == []
    said = json.loads(manifest["data"])
    assert (said["display"], said["start_url"]) == ("standalone", "./")
    for icon in said["icons"]:
        if icon["type"] == "image/png":
            size = page.evaluate(
                "async (at) => { const one = new Image(); one.src = at; await one.decode();"
                " return `${one.naturalWidth}x${one.naturalHeight}`; }",
                icon["src"],
            )
            assert size == icon["sizes"]
    assert {"any", "maskable"} == {icon["purpose"] for icon in said["icons"]}


def test_it_installs_and_says_what_the_command_line_says(
    browser: BrowserContext, office: Office
) -> None:
    page = begun(browser, office)
    installs(browser, office, page)
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


def test_half_a_form_is_found_again_and_a_second_reading_takes_few_touches(
    browser: BrowserContext, office: Office
) -> None:
    page = begun(browser, office)
    page.get_by_role("link", name="Load", exact=True).click()
    press(page, "217")
    page.reload()
    expect(page.get_by_text("Found half finished")).to_be_visible(timeout=WAIT)
    expect(page.locator(".field[aria-pressed=true] .value")).to_contain_text("21.7")
    page.get_by_role("button", name="Back").click()
    page.goto(f"{office.address}/#/now")
    before = len(office.entries("harrow"))
    office.kill()
    expect(page.get_by_role("link", name="Other", exact=True)).to_be_visible()
    counted = {}
    take_a_reading(page, "Temperature", "151", "Mat", "Probe")
    counted["Temperature"] = take_a_reading(page, "Temperature", "148", station="7+210")
    counted["Loose depth"] = take_a_reading(page, "Loose depth", "74")
    take_a_reading(page, "Density", "2341", "% of maximum", "Gauge", "Process")
    counted["Density"] = take_a_reading(page, "Density", "2352", station="7+100")
    rolling = ("Finish roller", "Rolling", "Finish", "Static")
    take_a_reading(page, "Roller", "4", *rolling, station="7+140")
    counted["Roller"] = take_a_reading(page, "Roller", "3", station="7+150")
    print(f"the second reading of a kind, in touches, digits included: {counted}")
    assert counted == {"Temperature": 12, "Loose depth": 5, "Density": 13, "Roller": 10}
    office.start()
    read = office.fresh("harrow", before, 7)
    assert read[1]["body"] == {"stage": "mat", "how": "probe", "temp": "148 degC"}
    assert [one.get("instrument") for one in read[1:5]] == ["probe-7", "rod-3", *["gauge-5"] * 2]
    assert read[2]["place"] == {"lane": "E", "lift": "binder", "paver": "P1", "station": "7+257"}
    basis = {"basis": "maximum", "method": "gauge", "purpose": "process"}
    assert read[4]["body"] == {**basis, "density": "2352 kg/m3"}
    assert "station" not in read[3]["place"]  # asked about once, then kept as it is
    roller = {"roller": "R3", "event": "rolling", "phase": "finish", "mode": "static"}
    assert read[6]["body"] == {**roller, "passes": 3}


def test_todays_shift_begins_and_takes_the_next_load(
    browser: BrowserContext, office: Office
) -> None:
    page = begun(browser, office)
    expect(page.get_by_text("This is the shift of 2026-06-17")).to_be_visible()
    page.get_by_role("link", name="Begin today's shift").click()
    page.get_by_label("Crew").fill("two words")
    page.get_by_role("button", name="Keep", exact=True).click()
    expect(page.get_by_role("alert")).to_contain_text("letters, digits and hyphens")
    page.get_by_label("Crew").fill("b")
    page.get_by_role("button", name="Night").click()
    today = page.evaluate("new Date().toLocaleDateString('sv')")
    page.clock.set_fixed_time(f"{today}T01:30:00")
    page.get_by_role("button", name="Day", exact=True).click()
    expect(page.locator("p.number")).to_have_text(today)
    page.get_by_role("button", name="Night").click()  # joined after midnight, it is the evening's
    expect(page.locator("p.number")).not_to_have_text(today)
    page.clock.set_fixed_time(f"{today}T20:30:00")
    page.get_by_role("button", name="Day", exact=True).click()
    page.get_by_role("button", name="Night").click()
    expect(page.locator("p.number")).to_have_text(today)
    page.get_by_role("button", name="Keep", exact=True).click()
    expect(page.get_by_text("Kept: ")).to_be_visible()
    expect(page.get_by_text("This is the shift of")).to_have_count(0)
    take_a_load(page)
    expect(page.get_by_text("all sent")).to_be_visible()
    fresh = office.fresh("harrow", len(demo_pairs()), 2)
    assert [one["kind"] for one in fresh] == ["shift-open", "load"]
    assert {one["shift"] for one in fresh} == {f"harrow/{today}/b/night"}


def test_a_value_out_of_the_usual_is_asked_about_once_and_kept_as_written(
    browser: BrowserContext, office: Office
) -> None:
    page = begun(browser, office)
    page.get_by_role("link", name="Load", exact=True).click()
    press(page, "5521")
    page.get_by_role("button", name="Next").click()
    press(page, "1500")
    page.get_by_role("button", name="Take", exact=True).click()
    page.get_by_role("button", name="Take", exact=True).click()
    refused = "Temperature “1500 °C” can’t be kept. What can: a number with its unit (°C)"
    expect(page.get_by_role("alert")).to_contain_text(refused)
    page.get_by_role("button", name="Temperature").click()
    press(page, "14")
    expect(page.get_by_text("14 °C: 101 °C below the limit")).to_be_visible()
    press(page, "8")
    page.get_by_role("button", name="Take", exact=True).click()
    expect(page.get_by_role("alert")).to_contain_text("55.21 t; usually 2 t to 45 t")
    page.get_by_role("button", name="Take", exact=True).click()
    expect(page.get_by_text("Kept: Load")).to_be_visible()
    undo = page.get_by_role("button", name="Undo")
    expect(page.get_by_text("all sent")).to_be_visible()
    (load,) = office.fresh("harrow", len(demo_pairs()), 1)
    assert load["body"]["net"] == "55.21 t"
    assert load["body"]["temp"] == "148 degC"
    assert "14 °C" not in str(load.get("saw"))  # what was said of half a number was not of this one
    undo.click()
    expect(page.get_by_text("Kept: Note")).to_be_visible()
