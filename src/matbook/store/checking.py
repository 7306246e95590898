"""Checking entries in pieces: what makes it into the book, and why the rest doesn't.

Run as a program it does the same for another process: pieces come in on standard input and what
was found goes out on standard output. It imports little, so that it starts quickly.
"""

import json
import marshal
import re
import struct
import sys
from collections.abc import Sequence
from typing import IO, Any, Final

from matbook.book.entry import checked_hash, envelope
from matbook.errors import EntryRefused

Row = tuple[str, bytes, bytes, str, str, int, bytes]
"""What a store files an entry under: job, id, hash, shift, device, seq, hash before."""

Checked = tuple[list[Row | None], dict[int, tuple[str, str]]]
"""A row for each entry; where there is none, (job as far as it can be read, reason)."""

_LENGTH: Final = struct.Struct("<Q")
_JOB: Final = re.compile(r"[a-z0-9][a-z0-9-]{0,63}")


def checked(written: Sequence[tuple[str, str]]) -> Checked:
    """Check every envelope: text, size, form, fields and hash; none is skipped."""
    rows: list[Row | None] = []
    refused: dict[int, tuple[str, str]] = {}
    for expected, text in written:
        try:
            found = checked_hash(text, expected)
            data = envelope(text)
        except EntryRefused as refusal:
            refused[len(rows)] = (_job_in(text), _printable(str(refusal)))
            rows.append(None)
        else:
            rows.append(
                (
                    data["job"],
                    bytes.fromhex(data["id"].replace("-", "")),
                    bytes.fromhex(found),
                    data.get("shift", ""),
                    data["device"],
                    data["seq"],
                    bytes.fromhex(data["prev"]),
                )
            )
    return rows, refused


def _job_in(text: str) -> str:
    """The job that a refused text names, if that much of it can be read."""
    try:
        data = json.loads(text)
    except (ValueError, RecursionError):
        return ""
    job = data.get("job") if isinstance(data, dict) else None
    return job if isinstance(job, str) and _JOB.fullmatch(job) else ""


def _printable(sentence: str) -> str:
    """A sentence may quote half a character, which can't be stored or sent."""
    return sentence.encode("utf-8", "replace").decode("utf-8")


def send(pipe: IO[bytes], value: Any) -> None:
    """Write one plain value, its length first."""
    data = marshal.dumps(value)
    pipe.write(_LENGTH.pack(len(data)))
    pipe.write(data)
    pipe.flush()


def receive(pipe: IO[bytes]) -> object:
    """Read one plain value; raises EOFError when the other side is gone."""
    length = pipe.read(_LENGTH.size)
    if len(length) < _LENGTH.size:
        raise EOFError
    return marshal.loads(pipe.read(*_LENGTH.unpack(length)))


def serve(pieces: IO[bytes], answers: IO[bytes]) -> None:
    """Answer until the other side closes its end, or is killed."""
    while True:
        try:
            piece: list[tuple[str, str]] = receive(pieces)  # type: ignore[assignment]
        except EOFError:
            return
        send(answers, checked(piece))


if __name__ == "__main__":
    serve(sys.stdin.buffer, sys.stdout.buffer)
