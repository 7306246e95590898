"""Makes the fonts our records are set in, from Source Sans 3 (SIL Open Font License 1.1).

python -m tools.make_fonts FOLDER

FOLDER holds the OpenType files of Source Sans 3, with the licence in the folder above, as in
the npm package `source-sans`. The licence reserves the name “Source” for the unchanged fonts,
so what is made here, with fewer characters and without hints, is called Matbook Sans.
"""

import sys
from collections.abc import Iterable
from itertools import groupby
from pathlib import Path
from typing import Final

from fontTools.subset import Options, Subsetter  # type: ignore[import-untyped]
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

FONTS: Final = Path(__file__).parent.parent / "src" / "matbook" / "records" / "fonts"
FAMILY: Final = "Matbook Sans"
WEIGHTS: Final = ("Regular", "Bold", "Black")

WANTED: Final = (
    (0x0020, 0x007E, "Basic Latin"),
    (0x00A0, 0x024F, "Latin-1 and Latin Extended"),
    (0x0259, 0x0259, "the schwa, a letter in several alphabets"),
    (0x02B0, 0x02FF, "spacing modifiers"),
    (0x0300, 0x036F, "combining marks"),
    (0x0370, 0x04FF, "Greek and Cyrillic"),
    (0x1E00, 0x1EFF, "Latin Extended Additional: Vietnamese, Welsh"),
    (0x2000, 0x209F, "punctuation, superscripts and subscripts"),
    (0x20A0, 0x21FF, "currencies, letterlike symbols, number forms, arrows"),
    (0x2200, 0x23FF, "operators and technical symbols"),
    (0x25A0, 0x27BF, "geometric shapes, ballot boxes, check marks"),
)
"""First, last, and what they are; of these, the characters that Source Sans 3 has."""

UNSEEN: Final = frozenset({0x00AD, *range(0x200B, 0x2010), *range(0x2028, 0x202F)})
"""Marks that nobody sees, some of which turn text around: a record shows them by their number."""

NOTICE: Final = """\
The fonts in this folder are Source Sans 3 by Adobe with fewer characters and without hints.
Their licence reserves the name “Source” for the unchanged fonts; these are called Matbook Sans.

"""

FEATURES: Final = ("ccmp", "locl", "mark", "mkmk", "kern")


def made(folder: Path, weight: str) -> TTFont:
    """One weight with only what we want in it, under our own name."""
    font = TTFont(folder / f"SourceSans3-{weight}.otf", recalcTimestamp=False)
    options = Options(layout_features=list(FEATURES), name_IDs=["*"], hinting=False)
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=wanted(font))
    subsetter.subset(font)
    rename(font, weight)
    return font


def wanted(font: TTFont) -> list[int]:
    """The characters to keep of those that a font has."""
    return [
        code
        for code in sorted(font.getBestCmap())
        if code not in UNSEEN and any(low <= code <= high for low, high, _ in WANTED)
    ]


def rename(font: TTFont, weight: str) -> None:
    """Give the font our name; its notices of copyright and licence stay as they are."""
    names, script = font["name"], f"{FAMILY.replace(' ', '')}-{weight}"
    for kept in [name for name in names.names if name.nameID not in (0, 5, 13, 14)]:
        names.removeNames(kept.nameID)
    family = FAMILY if weight != "Black" else f"{FAMILY} {weight}"
    style = weight if weight != "Black" else "Regular"
    ours = {1: family, 2: style, 3: script, 4: f"{FAMILY} {weight}", 6: script}
    ours |= {10: "Source Sans 3 by Adobe, with fewer characters and without hints, renamed."}
    ours |= {16: FAMILY, 17: weight}
    for number, text in ours.items():
        names.setName(text, number, 3, 1, 0x409)
    table = font["CFF "].cff
    table.fontNames = [script]
    top = table.topDictIndex[0]
    top.FullName, top.FamilyName = f"{FAMILY} {weight}", FAMILY


def ranges(codes: Iterable[int]) -> str:
    """Characters as lines of first and last, in hexadecimal."""
    runs = groupby(enumerate(sorted(codes)), key=lambda pair: pair[1] - pair[0])
    spans = [[code for _, code in run] for _, run in runs]
    return "".join(f"{span[0]:04X} {span[-1]:04X}\n" for span in spans)


def main(folder: Path) -> None:
    """Write the fonts, the list of their characters, and their licence."""
    shared: set[int] = set()
    for weight in WEIGHTS:
        font = made(folder, weight)
        codes = set(font.getBestCmap())
        shared = shared & codes if shared else codes
        font.save(FONTS / f"MatbookSans-{weight}.otf", reorderTables=False)
    (FONTS / "characters.txt").write_text(ranges(shared), encoding="ascii")
    terms = (folder.parent / "LICENSE.md").read_text(encoding="utf-8")
    (FONTS / "LICENSE.txt").write_text(NOTICE + terms, encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
