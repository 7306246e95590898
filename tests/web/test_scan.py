"""A ticket's code, before the camera or in a picture: proposed, taken over, and only then kept."""

import gzip
import re
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, Playwright, expect

from tests.web.hand import begun, phone
from tests.web.harness import ROOT
from tests.web.office import Office, demo_pairs
from tests.web.pictures import ALLOWED, FAKE_CAMERA, code, noise, seen_by_the_camera

pytestmark = pytest.mark.browser

TICKET = "TICKET=771204;TRUCK=27;GROSS=38.42 t;TARE=16.02 t;NET=22.40 t;DRIVER=nobody"
APP = ROOT / "src" / "matbook" / "server" / "app"


def scanning(page: Page) -> None:
    page.get_by_role("link", name="Load", exact=True).click()
    page.get_by_role("link", name="Scan the ticket").click()


def only_body(office: Office) -> dict[str, str]:
    """The body of the one entry that was written besides the demo's."""
    (entry,) = office.fresh("harrow", len(demo_pairs()), 1)
    body: dict[str, str] = entry["body"]
    return body


@pytest.mark.long
def test_a_ticket_before_the_camera_goes_into_the_load_with_no_signal(
    play: Playwright, tmp_path: Path, profile: Path, office: Office
) -> None:
    sight = seen_by_the_camera(tmp_path / "sight.mjpeg", code(tmp_path / "ticket.png", TICKET))
    with phone(play, profile, FAKE_CAMERA, ALLOWED, sight) as browser:
        page = begun(browser, office)
        office.kill()
        scanning(page)
        expect(page.get_by_text("Read from the ticket")).to_be_visible()
        expect(page.locator("video")).to_have_count(0)
        expect(page.locator("pre")).to_have_text("DRIVER=nobody")
        rows = page.locator("li .number")
        expect(rows).to_have_text(["771204", "27", "38.42 t", "16.02 t", "22.40 t"])
        page.get_by_role("button", name="Take all over").click()
        values = page.locator(".field .value")
        expect(values.nth(0)).to_have_text("771204")
        expect(values.nth(1)).to_have_text(re.compile(r"38\.42\s+t"))
        page.get_by_role("button", name="Take", exact=True).click()
        expect(page.get_by_text("Kept: Load 771204")).to_be_visible()
        office.start()
        body = only_body(office)  # while the browser is there to send it
    assert (body["ticket"], body["truck"]) == ("771204", "27")
    assert (body["gross"], body["tare"], body["net"]) == ("38.42 t", "16.02 t", "22.40 t")


def test_from_a_picture_field_by_field_and_nothing_that_was_not_taken(
    browser: BrowserContext, office: Office, tmp_path: Path
) -> None:
    page = begun(browser, office)
    scanning(page)
    expect(page.get_by_text("There is no camera here")).to_be_visible()
    picture = code(tmp_path / "ticket.png", "ticket: 771205, net: 22,400 kg, temp: 161")
    page.get_by_label("From a picture").set_input_files(picture)
    expect(page.locator("li .number")).to_have_text(["771205", "22400 kg", "161 °C"])
    expect(page.get_by_text("no unit on the ticket: read as °C")).to_be_visible()
    page.get_by_role("button", name="Take over: Net").click()
    expect(page.get_by_role("button", name="Taken over: Net")).to_have_attribute(
        "aria-pressed", "true"
    )
    page.get_by_role("button", name="Back to the load").click()
    expect(page.locator(".field .value").nth(1)).to_have_text(re.compile(r"22400 kg\s*$"))
    page.locator(".trucks button").first.click()
    page.get_by_role("button", name="Take", exact=True).click()
    expect(page.get_by_text("Kept: Load")).to_be_visible()
    body = only_body(office)
    assert body["net"] == "22400 kg"
    assert body["ticket"] != "771205"
    assert "temp" not in body


@pytest.mark.long
def test_a_temperature_from_the_ticket_says_so_until_another_is_typed(
    browser: BrowserContext, office: Office, tmp_path: Path
) -> None:
    page = begun(browser, office)
    scanning(page)
    page.get_by_label("From a picture").set_input_files(
        code(tmp_path / "ticket.png", "net=22.40 t;temp=161 °C")
    )
    page.get_by_role("button", name="Take all over").click()
    expect(page.get_by_text("on the ticket")).to_be_visible()
    page.reload()
    expect(page.get_by_text("on the ticket")).to_be_visible()
    page.locator(".trucks button").first.click()
    page.get_by_role("button", name="Take", exact=True).click()
    body = only_body(office)
    assert (body["temp"], body["temp_how"]) == ("161 degC", "ticket")


def test_what_is_not_found_is_said_plainly(
    browser: BrowserContext, office: Office, tmp_path: Path
) -> None:
    page = begun(browser, office)
    scanning(page)
    chooser = page.get_by_label("From a picture")
    noise(tmp_path / "noise.png", kind="PNG")
    chooser.set_input_files(tmp_path / "noise.png")
    expect(page.get_by_role("status")).to_contain_text("No code was found in this picture")
    (tmp_path / "words.png").write_text("no picture", encoding="utf-8")
    chooser.set_input_files(tmp_path / "words.png")
    expect(page.get_by_role("status")).to_contain_text("cannot be read as a picture")
    chooser.set_input_files(code(tmp_path / "other.png", "see you at the plant"))
    expect(page.get_by_role("status")).to_contain_text("no field of a load was recognised")
    expect(page.locator("pre")).to_have_text("see you at the plant")
    expect(page.get_by_role("button", name="Take all over")).to_have_count(0)


@pytest.mark.long
def test_a_camera_that_may_not_be_used_is_said_plainly(
    play: Playwright, profile: Path, office: Office
) -> None:
    with phone(play, profile, FAKE_CAMERA) as browser:
        page = begun(browser, office)
        scanning(page)
        expect(page.get_by_role("status")).to_contain_text("does not let the app use the camera")


def test_the_camera_is_let_go_when_the_screen_is_left(
    play: Playwright, tmp_path: Path, profile: Path, office: Office
) -> None:
    sight = seen_by_the_camera(tmp_path / "sight.mjpeg", None)
    with phone(play, profile, FAKE_CAMERA, ALLOWED, sight) as browser:
        page = begun(browser, office)
        scanning(page)
        expect(page.get_by_text("Hold the code on the ticket")).to_be_visible()
        page.evaluate("window.seen = document.querySelector('video').srcObject")
        assert page.evaluate("window.seen.active") is True
        page.get_by_role("button", name="Back").click()
        expect(page.get_by_role("button", name="Take", exact=True)).to_be_visible()
        assert page.evaluate("window.seen.active") is False


def test_the_reader_is_no_part_of_the_first_script_and_is_there_with_no_signal() -> None:
    start = (APP / "index.html").read_text(encoding="utf-8")
    first = re.findall(r'(?:src|href)="\./(assets/[^"]+\.js)"', start)
    assert len(first) == 1
    assert len(gzip.compress((APP / first[0]).read_bytes())) < 150_000
    reader = [path.name for path in (APP / "assets").glob("zxing_reader-*.wasm")]
    assert len(reader) == 1
    assert reader[0].encode() not in (APP / first[0]).read_bytes()
    held = (APP / "sw.js").read_text(encoding="utf-8")
    built = [*(APP / "assets").glob("*.js"), *(APP / "assets").glob("*.wasm")]
    assert [path.name for path in built if f'"assets/{path.name}"' not in held] == []
