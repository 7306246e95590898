"""Attachments: photos and scans, each a file named by the SHA-256 of its bytes.

A file appears under its name whole and on the disk, or not at all.
"""

import hashlib
import io
import os
import re
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO, Final

from matbook.errors import FileRefused, NotFound

_PIECE: Final = 1 << 20
_NAME: Final = re.compile(r"[0-9a-f]{64}")


class Attachments:
    """The attachments in one folder, which is made when the first one comes."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def keep(self, original: bytes | BinaryIO) -> str:
        """Keep these bytes; returns their name. If they are here already, nothing is written."""
        source = io.BytesIO(original) if isinstance(original, bytes) else original
        copy = self._folder / f".{secrets.token_hex(8)}.part"
        with _explained("kept"):
            self._folder.mkdir(exist_ok=True)
            try:
                name = _copied(source, copy)
                self._place(copy, self._path(name))
            finally:
                copy.unlink(missing_ok=True)
        return name

    def read(self, name: str) -> bytes:
        """The bytes of that name; raises NotFound, or FileRefused if they were changed."""
        if not _NAME.fullmatch(name) or not self._path(name).exists():
            raise NotFound(f"There is no attachment “{name[:80]}”.")
        with _explained("read"):
            original = self._path(name).read_bytes()
        if hashlib.sha256(original).hexdigest() != name:
            raise FileRefused(f"The attachment {name[:12]}… was changed after it was kept.")
        return original

    def size(self, name: str) -> int | None:
        """How many bytes the attachment of that name has; None if it isn't here."""
        if not _NAME.fullmatch(name):
            return None
        with _explained("read"):
            path = self._path(name)
            return path.stat().st_size if path.exists() else None

    def _path(self, name: str) -> Path:
        return self._folder / name[:2] / name[2:]

    def _place(self, copy: Path, path: Path) -> None:
        path.parent.mkdir(exist_ok=True)
        if not (path.exists() and _same(path, copy)):
            copy.replace(path)
        for folder in (path.parent, self._folder, self._folder.parent):
            _sync(folder)


def _copied(source: BinaryIO, copy: Path) -> str:
    """Copy to the disk; returns the SHA-256 of what was copied."""
    digest = hashlib.sha256()
    with copy.open("xb") as file:
        while piece := source.read(_PIECE):
            digest.update(piece)
            file.write(piece)
        file.flush()
        os.fsync(file.fileno())
    return digest.hexdigest()


def _same(one: Path, other: Path) -> bool:
    with one.open("rb") as first, other.open("rb") as second:
        digests = [hashlib.file_digest(file, "sha256").digest() for file in (first, second)]
    return digests[0] == digests[1]


def _sync(folder: Path) -> None:
    """Bring a folder's list of names to the disk, where the system lets one do that."""
    if os.name == "posix":  # pragma: no branch
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


@contextmanager
def _explained(done: str) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise FileRefused(f"The attachment could not be {done}: {error.strerror}.") from error
