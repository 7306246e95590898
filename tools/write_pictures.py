"""Makes the pictures of docs/pictures/ from the demo's records: python -m tools.write_pictures"""

import tempfile
from datetime import datetime
from importlib import resources
from io import BytesIO
from pathlib import Path

import pypdfium2
from click.testing import CliRunner
from PIL import Image
from playwright.sync_api import sync_playwright

from matbook.book.entry import read_entry
from matbook.cli import main
from matbook.desk.job import JobBook
from matbook.records.lines import from_lines
from matbook.shift.charts.picture import chart

PICTURES = Path(__file__).resolve().parent.parent / "docs" / "pictures"
PAGES = {
    "record-page-1": ("harrow_2026-06-16_a_day", 1),
    "record-loads": ("harrow_2026-06-16_a_day", 2),
}
"""Name of a picture -> the record and the page it shows."""
SCALE = 1.35
COLOURS = 128


SHIFT = ("harrow", "harrow/2026-06-16/a/day", "E", "binder", "2026-06-16T12:55:00-03:00")


SHOWN = {"picture-of-the-shift": 720, "picture-on-a-phone": 360, "picture-on-paper": 720}
"""Name of a picture of the shift -> how wide it is drawn [px]."""


def write_shift() -> None:
    """Draw the picture of the shift as it stood at a moment of the demo's first day."""
    job, shift, lane, lift, moment = SHIFT
    raw = (resources.files("matbook.demo") / job / "entries.jsonl").read_bytes()
    whole = JobBook(read_entry(text, digest) for digest, text in from_lines(raw, job)[0])
    now = datetime.fromisoformat(moment)
    view = whole.as_known(now).view(shift, now)
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        for name, wide in SHOWN.items():
            made = chart(view, lane, lift, float(wide))
            assert made is not None
            page = browser.new_page(device_scale_factor=2)
            page.set_content(f'<body style="margin:0;width:{wide}px">{made.svg}</body>')
            image = Image.open(BytesIO(page.locator("svg").screenshot())).convert("RGB")
            if name == "picture-on-paper":
                image = image.convert("L").convert("RGB")
            image.quantize(COLOURS).save(PICTURES / f"{name}.png", optimize=True)
        browser.close()


WEATHER = ("07:00,4 degC,20 km/h,overcast,4 degC", "11:00,12 degC,10 km/h,part cloud,10 degC")


def write_window(folder: Path) -> None:
    """Print the hours ahead of an invented morning, by the demo's plan."""
    plan, page = folder / "plan.toml", folder / "window.pdf"
    plan.write_bytes((resources.files("matbook.demo") / "harrow" / "plan.toml").read_bytes())
    asked = [part for one in WEATHER for part in ("--hour", one)]
    asked += ["--mix-temp", "150 degC", "--until", "12:00", "--opens", "17:00", "-o", str(page)]
    for command in (["import", str(plan)], ["window", *asked]):
        said = ["--home", str(folder / "home"), *command]
        done = CliRunner().invoke(main, said, catch_exceptions=False)
        assert done.exit_code == 0, done.output
    _save("window", page, 1)


def _save(name: str, document: Path, page: int) -> None:
    image = pypdfium2.PdfDocument(document)[page - 1].render(scale=SCALE).to_pil()
    image.quantize(COLOURS, kmeans=1).save(PICTURES / f"{name}.png", optimize=True)


def write() -> None:
    """Run the demo and draw the pages."""
    PICTURES.mkdir(exist_ok=True)
    write_shift()
    with tempfile.TemporaryDirectory() as folder:
        CliRunner().invoke(main, ["demo", "--folder", folder], catch_exceptions=False)
        for name, (record, page) in PAGES.items():
            _save(name, Path(folder) / f"{record}.pdf", page)
    with tempfile.TemporaryDirectory() as folder:
        write_window(Path(folder))


if __name__ == "__main__":
    write()
