"""Makes the pictures of the app in docs/pictures/: `python -m tools.write_screens`

The demo's metric job, as it stood at a moment of its second day, in Debian's Chromium.
"""

import tempfile
from io import BytesIO
from pathlib import Path
from typing import Final

from PIL import Image
from playwright.sync_api import Page, Playwright, sync_playwright

from tests.web.hand import WAIT
from tests.web.harness import ARGUMENTS
from tests.web.office import Office, home_with_the_demo

PICTURES: Final = Path(__file__).resolve().parent.parent / "docs" / "pictures"
MOMENT: Final = "2026-06-17T07:43:00-03:00"
"""The clock of the phone: the second day is in full swing."""
PHONE: Final = (360, 800)
LAPTOP: Final = (1280, 800)
COLOURS: Final = 64

SCREENS: Final = {
    # name of the picture -> place, size, look
    "app-now": ("now", PHONE, "light"),
    "app-now-night": ("now", PHONE, "night"),
    "app-wide": ("now", LAPTOP, "light"),
    "app-mat": ("mat", PHONE, "light"),
    "app-write": ("write", PHONE, "light"),
    "app-load": ("load", PHONE, "light"),
    "app-book": ("book", PHONE, "light"),
    "app-close": ("close", PHONE, "light"),
    "app-plan": ("plan", PHONE, "light"),
    "app-number": ("figure/yield.shift%2Fdeviation", PHONE, "light"),
    "app-density": ("density", (360, 1180), "light"),
    "app-device": ("settings", PHONE, "light"),
}


def write() -> None:
    """Open the app on the demo's book, and take each picture."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as play:
        office = Office(home_with_the_demo(Path(folder)))
        try:
            page = _opened(play, Path(folder), office)
            for name, (place, size, look) in SCREENS.items():
                _take(page, name, place, size, look)
        finally:
            office.kill()


def _opened(play: Playwright, folder: Path, office: Office) -> Page:
    context = play.chromium.launch_persistent_context(
        folder / "profile",
        executable_path="/usr/bin/chromium",
        args=ARGUMENTS,
        timezone_id="America/Sao_Paulo",
        device_scale_factor=2,
        viewport={"width": PHONE[0], "height": PHONE[1]},
    )
    page = context.new_page()
    page.clock.install(time=MOMENT)
    page.goto(office.address)
    page.get_by_role("button", name="Harrowfen").click()
    page.get_by_role("button", name="Ines Tarrow").click()
    page.get_by_role("button", name="Open the book").click()
    page.locator(".call").first.wait_for(timeout=WAIT)
    page.get_by_role("button", name="Close").click()  # the phone's clock is the demo's, on purpose
    return page


def _take(page: Page, name: str, place: str, size: tuple[int, int], look: str) -> None:
    page.set_viewport_size({"width": size[0], "height": size[1]})
    page.evaluate(
        "([place, look]) => { location.hash = `#/${place}`; "
        "document.documentElement.dataset.look = look; }",
        [place, look],
    )
    page.get_by_text("Working it out").wait_for(state="hidden")
    page.wait_for_timeout(1500)  # the answer to the place just opened
    image = Image.open(BytesIO(page.screenshot())).convert("RGB")
    image.quantize(COLOURS).save(PICTURES / f"{name}.png", optimize=True)


if __name__ == "__main__":
    write()
