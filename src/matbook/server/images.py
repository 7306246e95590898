"""What an attachment is, by its own bytes, and whether it is one that may be kept.

Photos and scans: the common kinds of picture, checked by opening them, and PDF. Nothing that a
browser could run.
"""

import io
import warnings
from typing import Final

from matbook.server.problems import Problem

PICTURES: Final = {
    "JPEG": ("image/jpeg", "jpg"),
    "PNG": ("image/png", "png"),
    "WEBP": ("image/webp", "webp"),
    "AVIF": ("image/avif", "avif"),
}
"""Kinds of picture: the type, and the ending of a file's name."""
PDF: Final = ("application/pdf", "pdf")
UNKNOWN: Final = ("application/octet-stream", "bin")
_REFUSED: Final = "The attachment is no photo or scan: JPEG, PNG, WebP, AVIF or PDF is taken."


def check(raw: bytes, pixels: int) -> None:
    """Raise unless these bytes are a picture of at most so many pixels, or a PDF."""
    from PIL import Image, UnidentifiedImageError  # takes a while, and is seldom needed

    if raw.startswith(b"%PDF-"):
        return
    try:
        with warnings.catch_warnings():
            warnings.simplefilter(
                "ignore", Image.DecompressionBombWarning
            )  # our own limit is lower
            with Image.open(io.BytesIO(raw), formats=list(PICTURES)) as picture:
                size = picture.width * picture.height
                if size <= pixels:
                    picture.verify()
    except (UnidentifiedImageError, Image.DecompressionBombError, OSError, SyntaxError, ValueError):
        raise Problem(422, "not-a-picture", _REFUSED) from None
    if size > pixels:
        raise Problem(
            413, "too-large", f"The picture has {size} pixels; at most {pixels} are taken."
        )


def kind_of(raw: bytes) -> tuple[str, str]:
    """The type and ending of an attachment, by how it begins."""
    if raw.startswith(b"%PDF-"):
        return PDF
    if raw.startswith(b"\xff\xd8\xff"):
        return PICTURES["JPEG"]
    if raw.startswith(b"\x89PNG\r\n\x1a\n"):
        return PICTURES["PNG"]
    if raw[:4] == b"RIFF" and raw[8:12] == b"WEBP":
        return PICTURES["WEBP"]
    if raw[4:12] in (b"ftypavif", b"ftypavis"):
        return PICTURES["AVIF"]
    return UNKNOWN
