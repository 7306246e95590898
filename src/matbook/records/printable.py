"""What can be printed: a character that our fonts don't have is shown by its number.

So nothing typed is lost, nothing typed hides, and nothing typed can stop a record from being made.
"""

import unicodedata
from functools import cache
from importlib import resources


def printable(text: str) -> str:
    """The text with every character that can't be printed shown by its number.

    Example:
        >>> printable("Śliwa – 3 % ◆ 土")
        'Śliwa – 3 % ◆ [U+571F]'
    """
    if text.isascii() and text.isprintable():
        return text
    composed = unicodedata.normalize("NFC", text)
    return composed.translate(_Shown())


class _Shown(dict[int, str]):
    """Translates the characters that have no glyph; leaves the others as they are."""

    def __missing__(self, code: int) -> str:
        if code in characters():
            raise LookupError
        return SPACES.get(code, f"[U+{code:04X}]")


SPACES = {0x0A: "\n", 0x0D: "", 0x09: " "}
"""What breaks or spaces lines; other marks without a glyph are shown."""


@cache
def characters() -> frozenset[int]:
    """Every character that the fonts of a record have."""
    listed = (resources.files("matbook.records") / "fonts/characters.txt").read_text("ascii")
    spans = (line.split() for line in listed.splitlines())
    return frozenset(
        code for low, high in spans for code in range(int(low, 16), int(high, 16) + 1)
    )
