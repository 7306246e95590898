"""What can be printed: a character that our fonts don't have is shown by its number.

So nothing typed is lost, nothing typed hides, and nothing typed can stop a record from being made.
"""

import re
import unicodedata
from functools import cache
from importlib import resources
from typing import Final

BREAKS: Final = {"\n": "\n", "\r": "", "\t": " "}
"""Marks that break or space a line; every other mark without a glyph is shown."""


def printable(text: str) -> str:
    """The text with every character that can't be printed shown by its number.

    Example:
        >>> printable("Śliwa – 3 % ◆ 土")
        'Śliwa – 3 % ◆ [U+571F]'
    """
    if text.isascii() and text.isprintable():
        return text
    return _missing().sub(_shown, unicodedata.normalize("NFC", text))


def _shown(found: re.Match[str]) -> str:
    character = found[0]
    return BREAKS.get(character, f"[U+{ord(character):04X}]")


@cache
def _missing() -> re.Pattern[str]:
    """Any character that the fonts of a record don't have."""
    listed = (resources.files("matbook.records") / "fonts/characters.txt").read_text("ascii")
    spans = (line.split() for line in listed.splitlines())
    kept = "".join(f"\\U{low:0>8}-\\U{high:0>8}" for low, high in spans)
    return re.compile(f"[^{kept}]")
