"""Numbers that nobody can choose: a committed number and one given afterwards make a seed.

1. The owner makes a long secret number and publishes its commitment, the SHA-256 of it.
2. The contractor then gives a number of their own.
3. Both, in this order, make the seed; everything drawn is a SHA-256 of the seed and a label.
4. When the owner reveals the secret, anybody can work out all of it again, with no more than
   SHA-256 and whole numbers.

The texts that are hashed, in ASCII, their parts one to a line:

    commitment   "matbook commitment 1", the owner's number
    seed         "matbook seed 1", the owner's number, the contractor's number
    a number     "matbook number 1", the seed, the label
    normals      "matbook normals 1", the seed, the label, 0 (then 1, 2 ...)

A drawn number is the first 16 hexadecimal digits of the hash, as a whole number u from 0 to
2^64 - 1; the place drawn among `count` is (u x count) / 2^64, cut. Normals are for simulations:
each hash makes four, of 16 digits each.
"""

import re
from hashlib import sha256
from statistics import NormalDist
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.ranges import within
from matbook.errors import NotProven, Refused

WHOLE: Final = 1 << 64
"""How many numbers there are to draw from."""
MOST_COUNT: Final = 10**12

_OWNERS = re.compile(r"[0-9a-f]{32,128}")
_CONTRACTORS = re.compile(r"[0-9]{1,64}")
_SEED = re.compile(r"[0-9a-f]{64}")
_LABEL = re.compile(r"[!-~]+(?: [!-~]+)*")


def commit(seed: str) -> str:
    """The commitment to the owner's secret number, to be published before work starts.

    Args:
        seed: The owner's number: 32 to 128 hexadecimal digits in small letters. A short one could
            be found by trying all there are.

    Returns:
        64 hexadecimal digits.

    Raises:
        Refused: The number has another form.

    Source: commitment by a hash function, definition; SHA-256: FIPS 180-4.

    Example:
        >>> commit("00112233445566778899aabbccddeeff")[:16]
        'c4079319eacba098'
    """
    return _hashed("matbook commitment 1", _owners(seed))


def reveal(commitment: str, seed: str, contractors: str) -> str:
    """The seed of the draws, once the owner's number is revealed and fits its commitment.

    Args:
        commitment: What the owner published before.
        seed: The owner's number, revealed.
        contractors: The number that the contractor gave after the commitment: 1 to 64 digits;
            leading zeros count.

    Returns:
        The seed of all draws, 64 hexadecimal digits.

    Raises:
        NotProven: The number isn't the one that was committed to.
        Refused: A number has another form.

    Source: commitment by a hash function, definition; SHA-256: FIPS 180-4.

    Example:
        >>> owners = "00112233445566778899aabbccddeeff"
        >>> reveal(commit(owners), owners, "4711")[:16]
        '7b282e9efe822027'
    """
    if commit(seed) != commitment:
        raise NotProven("The owner's number isn't the one that was committed to before the draw.")
    return combined(seed, contractors)


def combined(seed: str, contractors: str) -> str:
    """The seed of the draws from both numbers, for whoever holds the secret one.

    Args:
        seed: The owner's number.
        contractors: The contractor's number.

    Returns:
        64 hexadecimal digits.

    Raises:
        Refused: A number has another form.

    Source: SHA-256: FIPS 180-4.

    Example:
        >>> len(combined("00112233445566778899aabbccddeeff", "4711"))
        64
    """
    if not _CONTRACTORS.fullmatch(contractors):
        raise Refused("contractors", contractors, "it must be 1 to 64 digits")
    return _hashed("matbook seed 1", _owners(seed), contractors)


def drawn(seed: str, label: str, count: int) -> int:
    """A whole number below a count, drawn by a seed and a label.

    Args:
        seed: The seed of the draws, 64 hexadecimal digits.
        label: What is drawn; another label gives another number. Printable ASCII.
        count: How many numbers there are to draw from, 1 to 10^12.

    Returns:
        A number from 0 to count - 1, each as likely as the others to within 10^-7 of its share.

    Raises:
        Refused: The seed or the label has another form.
        OutOfRange: A count outside its range.

    Source: SHA-256: FIPS 180-4; the rest is in this module's own words.

    Example:
        >>> seed = combined("00112233445566778899aabbccddeeff", "4711")
        >>> [drawn(seed, f"truck {k}", 25) for k in range(5)]
        [6, 5, 4, 19, 6]
    """
    _checked(seed, label)
    within("count", count, 1, MOST_COUNT)
    return int(_hashed("matbook number 1", seed, label)[:16], 16) * int(count) // WHOLE


@cited("standard normal numbers from a seed", "inverse of the normal distribution, definition")
def normals(seed: str, label: str, count: int) -> list[float]:
    """Standard normal numbers for a simulation, the same on every machine.

    Args:
        seed: 64 hexadecimal digits.
        label: What they are for; another label gives other numbers. Printable ASCII.
        count: How many, 0 to 10^7.

    Returns:
        The numbers.

    Raises:
        Refused: The seed or the label has another form.
        OutOfRange: A count outside its range.

    Source: inverse of the normal distribution, definition; SHA-256: FIPS 180-4.

    Example:
        >>> [round(z, 3) for z in normals("0" * 64, "example", 3)]
        [1.015, -0.591, -2.472]
    """
    _checked(seed, label)
    within("count", count, 0, 10**7)
    inverse, found = NormalDist().inv_cdf, []
    for block in range(-(-count // 4)):
        digits = _hashed("matbook normals 1", seed, label, str(block))
        quarters = [int(digits[k : k + 16], 16) for k in range(0, 64, 16)]
        found += [inverse(((bits >> 12) + 0.5) / 2.0**52) for bits in quarters]
    return found[:count]


def _owners(seed: str) -> str:
    if not _OWNERS.fullmatch(seed):
        raise Refused("seed", len(seed), "it must be 32 to 128 hexadecimal digits, small letters")
    return seed


def _hashed(*parts: str) -> str:
    return sha256("\n".join(parts).encode("ascii")).hexdigest()


def _checked(seed: str, label: str) -> None:
    if not _SEED.fullmatch(seed):
        raise Refused("seed", seed, "it must be 64 hexadecimal digits, as reveal gives it")
    if not _LABEL.fullmatch(label):
        raise Refused("label", label, "it must be printable ASCII")
