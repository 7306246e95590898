"""Zip files from outside: nothing they say of themselves is a promise."""

import struct
import zipfile
import zlib
from typing import Final

DAMAGED: Final = (
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
    EOFError,
    OSError,
    RuntimeError,
    ValueError,
)
"""What the zip reader raises at a zip that is broken, or that asks for a password."""


def unpacked(packed: zipfile.ZipFile, part: zipfile.ZipInfo, most: int) -> bytes:
    """A part's content, but no more than one byte over `most`, whatever it claims to hold."""
    part.file_size = 1 << 62
    with packed.open(part) as stream:
        return stream.read(most + 1)
