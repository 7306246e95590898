"""The picture of the shift on the phone: nearer and further, and what a cursor reads from it."""

import re

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.web.hand import WAIT, begun
from tests.web.office import Office

pytestmark = pytest.mark.browser


def opened(page: Page, address: str) -> None:
    page.goto(f"{address}/#/mat")
    expect(page.locator(".sheet svg").first).to_be_visible(timeout=WAIT)
    page.locator(".sheet").scroll_into_view_if_needed()


def box(page: Page) -> list[float]:
    """The part of the picture that is seen."""
    said = page.locator(".sheet > svg").first.get_attribute("viewBox") or ""
    return [float(one) for one in said.split()]


def test_a_tap_reads_what_lies_there_and_its_entries_open(
    browser: BrowserContext, office: Office
) -> None:
    page = begun(browser, office)
    opened(page, office.address)
    readout = page.locator(".readout")
    expect(readout).to_have_attribute("aria-live", "polite")
    expect(readout).to_contain_text("Tap the picture")
    page.locator(".sheet").click(position={"x": 190, "y": 150})
    expect(readout.locator("h3")).to_have_text(re.compile(r"\d\+\d{3}(\.\d)? at \d\d:\d\d"))
    first = readout.locator("h3").inner_text()
    for _ in range(3):
        page.locator(".sheet").press("ArrowDown")
    expect(readout.locator("h3")).not_to_have_text(first)
    assert readout.locator("h3").inner_text().split(" at ")[0] == first.split(" at ")[0]
    expect(page.locator(".cursor line.line")).to_have_count(2)
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= 360
    office.kill()  # the core answers on the device
    page.locator(".sheet").click(position={"x": 190, "y": 150})
    entry = readout.locator("li a").first
    kind = entry.inner_text().split(" ", 1)[1].partition(":")[0]
    entry.click()
    expect(page.locator("h1")).to_contain_text(kind)


def test_it_comes_nearer_by_buttons_keys_and_fingers_and_is_whole_again(
    browser: BrowserContext, office: Office
) -> None:
    page = begun(browser, office)
    opened(page, office.address)
    whole = box(page)
    buttons = page.locator(".buttons button")
    for n in range(buttons.count()):
        placed = buttons.nth(n).bounding_box()
        assert placed is not None
        assert placed["height"] >= 60
        assert placed["width"] >= 60
    page.get_by_role("button", name="Nearer").click()
    assert box(page)[2] == pytest.approx(whole[2] / 1.6, abs=0.1)
    page.locator(".sheet").press("+")
    assert box(page)[2] == pytest.approx(whole[2] / 1.6**2, abs=0.1)
    near = box(page)
    for _ in range(8):
        page.get_by_role("button", name="Right", exact=True).click()
    assert box(page)[0] > near[0], "the picture follows the cursor"
    page.locator(".sheet").press("-")
    page.get_by_role("button", name="Whole").click()
    assert box(page) == whole
    page.evaluate(PINCH)
    assert box(page)[2] == pytest.approx(whole[2] / 2, rel=0.05)
    before = box(page)
    page.evaluate(DRAG)
    assert box(page)[0] == pytest.approx(before[0] + 40 / 360 * before[2], rel=0.1)


FINGER = """
const sheet = document.querySelector('.sheet');
sheet.setPointerCapture = () => undefined;  // these fingers are not real ones
const at = sheet.getBoundingClientRect();
const touch = (kind, id, x, y) => sheet.dispatchEvent(new PointerEvent(kind, {
  pointerId: id, pointerType: 'touch', clientX: at.x + x, clientY: at.y + y, bubbles: true,
}));
"""
PINCH = f"""() => {{{FINGER}
touch('pointerdown', 11, 150, 300); touch('pointerdown', 12, 210, 300);
for (let n = 1; n <= 10; n += 1) {{
  touch('pointermove', 11, 150 - 3 * n, 300); touch('pointermove', 12, 210 + 3 * n, 300);
}}
touch('pointerup', 11, 120, 300); touch('pointerup', 12, 240, 300);
}}"""
DRAG = f"""() => {{{FINGER}
touch('pointerdown', 13, 200, 300);
for (let n = 1; n <= 10; n += 1) touch('pointermove', 13, 200 - 4 * n, 300);
touch('pointerup', 13, 160, 300);
}}"""
