"""Makes the pictures of docs/pictures/ from the demo's records: python -m tools.write_pictures"""

import tempfile
from pathlib import Path

import pypdfium2
from click.testing import CliRunner

from matbook.cli import main

PICTURES = Path(__file__).resolve().parent.parent / "docs" / "pictures"
PAGES = {
    "record-page-1": ("harrow_2026-06-16_a_day", 1),
    "record-loads": ("harrow_2026-06-16_a_day", 2),
}
"""Name of a picture -> the record and the page it shows."""
SCALE = 1.35
COLOURS = 128


def write() -> None:
    """Run the demo and draw the pages."""
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        CliRunner().invoke(main, ["demo", "--folder", folder], catch_exceptions=False)
        for name, (record, page) in PAGES.items():
            document = pypdfium2.PdfDocument(Path(folder) / f"{record}.pdf")
            image = document[page - 1].render(scale=SCALE).to_pil()
            image.quantize(COLOURS, kmeans=1).save(PICTURES / f"{name}.png", optimize=True)


if __name__ == "__main__":
    write()
