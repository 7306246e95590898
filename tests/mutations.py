"""Spoilt copies of a text: what slips of the hand, of an editor or of a disk make of a file."""

import random
from collections.abc import Callable
from typing import Final

ODD: Final = (
    "\0",
    "\ufeff",
    "\u2028",
    '"',
    "'''",
    "[[",
    "]]",
    "{",
    "}",
    "=",
    "#",
    ",",
    "-",
    "1e999",
    "9" * 40,
    "inf",
    "true",
    "2026-05-12",
    "\U0001f6a7",
    "ä",
    "/",
    "\\",
    '""',
    "[]",
    "nan",
)
"""Pieces that mean something to one reader or another."""

Mutation = Callable[[str, random.Random], str]


def _without_piece(text: str, rng: random.Random) -> str:
    start, end = _span(text, rng, 40)
    return text[:start] + text[end:]


def _with_odd_piece(text: str, rng: random.Random) -> str:
    at = rng.randrange(len(text) + 1)
    return text[:at] + rng.choice(ODD) + text[at:]


def _piece_for_odd(text: str, rng: random.Random) -> str:
    start, end = _span(text, rng, 12)
    return text[:start] + rng.choice(ODD) + text[end:]


def _piece_twice(text: str, rng: random.Random) -> str:
    start, end = _span(text, rng, 200)
    return text[:end] + text[start:]


def _letter_for_another(text: str, rng: random.Random) -> str:
    start, end = _span(text, rng, 1)
    return text[:start] + chr(rng.randrange(32, 127)) + text[end:]


def _lines_changed_over(text: str, rng: random.Random) -> str:
    lines = text.splitlines(keepends=True)
    one, other = (rng.randrange(len(lines)) for _ in range(2))
    lines[one], lines[other] = lines[other], lines[one]
    return "".join(lines)


def _line_gone(text: str, rng: random.Random) -> str:
    lines = text.splitlines(keepends=True)
    del lines[rng.randrange(len(lines))]
    return "".join(lines)


def _value_for_another(text: str, rng: random.Random) -> str:
    """One line's value put behind another line's name, as copying and pasting does."""
    lines = text.splitlines(keepends=True)
    told = [place for place, line in enumerate(lines) if " = " in line]
    if told:
        to, source = rng.choice(told), rng.choice(told)
        lines[to] = lines[to].partition(" = ")[0] + " = " + lines[source].partition(" = ")[2]
    return "".join(lines)


def _number_for_another(text: str, rng: random.Random) -> str:
    digits = [place for place, letter in enumerate(text) if letter.isdecimal()]
    if not digits:
        return text
    at = rng.choice(digits)
    return text[:at] + rng.choice(("0", "9", "00", "-", ".", "1e9")) + text[at + 1 :]


def _cut_short(text: str, rng: random.Random) -> str:
    return text[: rng.randrange(len(text))]


MUTATIONS: Final[tuple[Mutation, ...]] = (
    _without_piece,
    _with_odd_piece,
    _piece_for_odd,
    _piece_twice,
    _letter_for_another,
    _lines_changed_over,
    _line_gone,
    _value_for_another,
    _value_for_another,
    _number_for_another,
    _cut_short,
)


def mutate(text: str, rng: random.Random) -> str:
    """A copy of a text with one to four things wrong; the same for the same state of `rng`."""
    for _ in range(rng.choice((1, 1, 1, 2, 4))):
        if text:
            text = rng.choice(MUTATIONS)(text, rng)
    return text


def _span(text: str, rng: random.Random, most: int) -> tuple[int, int]:
    start = rng.randrange(len(text))
    return start, min(len(text), start + rng.randint(1, most))
