"""Makes the app's icons for home screens from its drawing: `python -m tools.write_icons`

Phones that don't take a drawing take these; one has a margin, for those that cut icons round.
"""

from io import BytesIO
from pathlib import Path
from typing import Final

from PIL import Image
from playwright.sync_api import sync_playwright

PUBLIC: Final = Path(__file__).resolve().parent.parent / "web" / "public"
ICONS: Final = {
    # file -> its side [px], and the share of it that the drawing takes
    "icon-192.png": (192, 1.0),
    "icon-512.png": (512, 1.0),
    "icon-round-512.png": (512, 0.78),
}


def write() -> None:
    """Draw each icon in Debian's Chromium."""
    drawing = (PUBLIC / "icon.svg").read_text(encoding="utf-8")
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path="/usr/bin/chromium")
        for name, (side, share) in ICONS.items():
            page = browser.new_page(viewport={"width": side, "height": side})
            page.set_content(
                f"<body style='margin:{side * (1.0 - share) / 2.0}px;background:#000'>"
                f"<div style='width:{side * share}px'>{drawing}</div>"
            )
            shot = Image.open(BytesIO(page.screenshot())).convert("L")
            shot.quantize(16).save(PUBLIC / name, optimize=True)
        browser.close()


if __name__ == "__main__":
    write()
