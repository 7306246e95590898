"""A bundle that stands on its own: entries, seal, attachments, and the verifier itself."""

import io
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from importlib import resources
from typing import Final

from matbook.book.entry import Entry
from matbook.errors import FileRefused
from matbook.records.lines import to_lines
from matbook.records.verifier import LIMITS
from matbook.records.zips import DAMAGED, unpacked
from matbook.seal.sealing import listed_under

MOMENT: Final = (1980, 1, 1, 0, 0, 0)
"""Every member's time: a bundle of the same entries is the same file."""
LARGEST: Final = 1024 * 1024 * 1024
"""Bytes that the members of a bundle may unpack to."""

README: Final = f"""This bundle holds the entries of one shift, exactly as they were written.

entries.jsonl   one entry a line: its hash and its text
sealed.txt      the list under the seal: device, number, hash
attachments/    photos and scans, named by the SHA-256 of the original
missing.txt     those that entries name but that were not there; only if there are such
verifier.py     checks all of it: python verifier.py .

{LIMITS}
"""


def members(entries: Sequence[Entry], shift: str, seal: Entry | None) -> dict[str, bytes]:
    """The files that let a reader check a shift: for a bundle, or inside a daily record.

    Args:
        entries: Every entry of the job that is here.
        shift: The shift.
        seal: Its seal; None while it isn't sealed.
    """
    own = [entry for entry in entries if entry.shift == shift or entry.kind == "plan"]
    listed = listed_under(seal, entries, shift) if seal else ""
    return {
        "entries.jsonl": lines(own),
        "sealed.txt": listed.encode(),
        "verifier.py": (resources.files("matbook.records") / "verifier.py").read_bytes(),
        "README.txt": README.encode(),
    }


def lines(entries: Iterable[Entry]) -> bytes:
    """Entries as JSON lines, each with its hash and the text exactly as written."""
    return "".join(to_lines((entry.hash, entry.text) for entry in entries)).encode()


def attachments_named(entries: Iterable[Entry]) -> list[str]:
    """The attachments that entries name, each once."""
    return sorted({str(entry.body["file"]) for entry in entries if "file" in entry.body})


def bundle(files: Mapping[str, bytes], attachments: Mapping[str, bytes]) -> bytes:
    """The bundle as a zip file; the same entries give the same bytes."""
    everything = {**files, **{f"attachments/{name}": raw for name, raw in attachments.items()}}
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, raw in sorted(everything.items()):
            packed.writestr(zipfile.ZipInfo(name, MOMENT), raw, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def unbundle(raw: bytes, name: str) -> dict[str, bytes]:
    """The files of a bundle; raises FileRefused for anything that isn't one."""
    found: dict[str, bytes] = {}
    left = LARGEST
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as packed:
            for part in packed.infolist():
                found[part.filename] = unpacked(packed, part, left)
                left -= len(found[part.filename])
                if left < 0:
                    raise FileRefused(f"{name} unpacks to more than {LARGEST} bytes.")
    except (*DAMAGED, NotImplementedError):
        raise FileRefused(
            f"{name} can't be read as a bundle: it is damaged, or is no zip file."
        ) from None
    if "entries.jsonl" not in found:
        raise FileRefused(f"{name} is a zip file, but has no entries.jsonl: it is not a bundle.")
    return found
