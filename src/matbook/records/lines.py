"""Entries as JSON lines: on each line the hash and the text of one entry, exactly."""

import json
from collections.abc import Iterable, Iterator
from typing import Final, NamedTuple

from matbook.book.entry import LARGEST_TEXT
from matbook.errors import EntryRefused, FileRefused

LONGEST_LINE: Final = 6 * LARGEST_TEXT + 128
"""Bytes: a text may take six for one when each of its characters is escaped."""


class RefusedLine(NamedTuple):
    """A line that holds no entry: where it stands, why, and the line itself."""

    line: int
    reason: str
    raw: bytes


def to_lines(pairs: Iterable[tuple[str, str]]) -> Iterator[str]:
    """Each entry, given as (hash, text), as one line of ASCII, its line end included.

    Example:
        >>> next(to_lines([("9f…", '{"by":"ana"}')])) == (
        ...     '{"hash": "9f\\\\u2026", "text": "{\\\\"by\\\\":\\\\"ana\\\\"}"}\\n'
        ... )
        True
    """
    for found, text in pairs:
        yield json.dumps({"hash": found, "text": text}) + "\n"


def from_lines(data: bytes, name: str) -> tuple[list[tuple[str, str]], list[RefusedLine]]:
    """The entries of a file of JSON lines as (hash, text), and the lines that hold none.

    Whether a text has its hash, and an intact envelope, is for the store to check.

    Raises:
        FileRefused: There is nothing in the file.
    """
    pairs: list[tuple[str, str]] = []
    refused: list[RefusedLine] = []
    for number, raw in enumerate(data.removeprefix(b"\xef\xbb\xbf").split(b"\n"), start=1):
        line = raw.rstrip(b"\r")
        if not line.strip():
            continue
        try:
            pairs.append(read_line(line))
        except EntryRefused as refusal:
            refused.append(RefusedLine(number, str(refusal), line))
    if not pairs and not refused:
        raise FileRefused(f"{name}: there is no line in it. Each line must hold one entry.")
    return pairs, refused


def read_line(line: bytes) -> tuple[str, str]:
    """The hash and text of the entry on one line; raises EntryRefused."""
    if len(line) > LONGEST_LINE:
        raise EntryRefused(f"The line has {len(line)} bytes; an entry never takes that many.")
    try:
        found = json.loads(line.decode("utf-8"))
    except (ValueError, RecursionError) as error:
        raise EntryRefused(f"The line is not JSON: {str(error)[:120]}.") from None
    if not isinstance(found, dict) or set(found) != {"hash", "text"}:
        raise EntryRefused('The line must be {"hash": …, "text": …} and nothing else.')
    if not isinstance(found["hash"], str) or not isinstance(found["text"], str):
        raise EntryRefused("The line's hash and text must be texts.")
    return found["hash"], found["text"]
