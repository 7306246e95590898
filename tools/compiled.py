"""Compile what the browser's Python imports when the app starts; it runs in that very Python.

An archive's module that isn't compiled is compiled twice at every start: once to learn where it
lies, and once to run it.
"""

import importlib.util
import io
import marshal
import sys
import zipfile
from typing import Final

from matbook.desk.open_book import OpenBook

OpenBook("").ask("kinds")

IMPORTED: Final = {getattr(module, "__file__", None) for module in sys.modules.values()}
UNCHECKED: Final = b"\1\0\0\0"
"""The flags of a compiled module that is taken as it is, without its source (PEP 552)."""


def compiled(path: str) -> bytes:
    """An archive with its imported modules compiled; the others stay as they are."""
    whole = io.BytesIO()
    with zipfile.ZipFile(path) as held, zipfile.ZipFile(whole, "w", compresslevel=9) as made:
        for info in held.infolist():
            name, content = info.filename, held.read(info)
            if f"{path}/{name}" in IMPORTED:
                code = marshal.dumps(compile(content, f"{path}/{name}", "exec", dont_inherit=True))
                source = importlib.util.source_hash(content)
                name, content = f"{name}c", importlib.util.MAGIC_NUMBER + UNCHECKED + source + code
            made.writestr(zipfile.ZipInfo(name, info.date_time), content, info.compress_type)
    return whole.getvalue()
