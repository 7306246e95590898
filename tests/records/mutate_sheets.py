"""Ticket files damaged in the ways that files are: cut, flipped, repeated, spliced, swollen."""

import io
import random
import zipfile
from collections.abc import Callable, Mapping
from typing import Final

DELIMITERS: Final = b",;\t|"


def mutate(data: bytes, draw: random.Random) -> bytes:
    """The file with one to four things done to it."""
    for _ in range(draw.randint(1, 4)):
        data = MUTATIONS[draw.choice(list(MUTATIONS))](data, draw)
    return data


def mutate_packed(data: bytes, draw: random.Random) -> bytes:
    """A zip with one of its parts mutated, and packed again so that the zip itself is whole."""
    packed = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(packed, "w") as new:
        names = old.namelist()
        spoilt = draw.choice([name for name in names if name.startswith("xl/")])
        for name in names:
            content = old.read(name)
            new.writestr(name, mutate(content, draw) if name == spoilt else content)
    return packed.getvalue()


def _cut(data: bytes, draw: random.Random) -> bytes:
    return data[: draw.randint(0, len(data))]


def _drop(data: bytes, draw: random.Random) -> bytes:
    at = draw.randint(0, len(data))
    return data[:at] + data[at + draw.randint(1, 40) :]


def _flip(data: bytes, draw: random.Random) -> bytes:
    flipped = bytearray(data)
    for _ in range(min(len(data), draw.randint(1, 8))):
        flipped[draw.randrange(len(flipped))] ^= 1 << draw.randrange(8)
    return bytes(flipped)


def _insert(data: bytes, draw: random.Random) -> bytes:
    at = draw.randint(0, len(data))
    junk = draw.choice(
        [b"\x00", b'"', b"'", b"\xff\xfe", b"\r", b"\n\n", b"=", b"\xe2\x80\xa8", b"TOTAL"]
    )
    return data[:at] + junk * draw.randint(1, 3) + data[at:]


def _swap_delimiters(data: bytes, draw: random.Random) -> bytes:
    one, other = draw.sample([bytes([mark]) for mark in DELIMITERS], 2)
    return data.replace(one, other, draw.choice([1, 5, -1]))


def _repeat_lines(data: bytes, draw: random.Random) -> bytes:
    lines = data.splitlines(keepends=True) or [b""]
    at = draw.randrange(len(lines))
    return b"".join([*lines[: at + 1], *lines[at : at + draw.randint(1, 5)], *lines[at + 1 :]])


def _shuffle_lines(data: bytes, draw: random.Random) -> bytes:
    lines = data.splitlines(keepends=True)
    draw.shuffle(lines)
    return b"".join(lines)


def _swell_a_number(data: bytes, draw: random.Random) -> bytes:
    digit = draw.choice(b"0123456789").to_bytes(1, "big")
    swollen = digit * draw.choice([2, 17, 400])
    at = data.find(digit, draw.randint(0, len(data)))
    return data if at < 0 else data[:at] + swollen + data[at + 1 :]


def _replace_word(data: bytes, draw: random.Random) -> bytes:
    word, other = draw.sample(
        [
            b"Net",
            b"Ticket",
            b"Truck",
            b"Time",
            b"2026",
            b"12",
            b"05",
            b"22",
            b".",
            b":",
            b"t",
            b"kg",
        ],
        2,
    )
    return data.replace(word, other, draw.choice([1, -1]))


def _to_another_encoding(data: bytes, draw: random.Random) -> bytes:
    return data.decode("utf-8", "replace").encode(
        draw.choice(["utf-16", "cp1252", "cp500"]), "replace"
    )


MUTATIONS: Final[Mapping[str, Callable[[bytes, random.Random], bytes]]] = {
    "cut": _cut,
    "drop": _drop,
    "flip": _flip,
    "insert": _insert,
    "swap delimiters": _swap_delimiters,
    "repeat lines": _repeat_lines,
    "shuffle lines": _shuffle_lines,
    "swell a number": _swell_a_number,
    "replace a word": _replace_word,
    "another encoding": _to_another_encoding,
}
