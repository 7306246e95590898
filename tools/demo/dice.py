"""Chance with a fixed seed: the same numbers on every machine and Python."""

import random
from collections.abc import Sequence
from typing import TypeVar

T = TypeVar("T")


class Dice:
    """Rests on `random()` and `getrandbits()` alone: other draws may change between versions."""

    def __init__(self, seed: str) -> None:
        self._random = random.Random(seed)

    def between(self, low: float, high: float) -> float:
        return low + (high - low) * self._random.random()

    def near(self, middle: float, reach: float) -> float:
        """A value near the middle, never further away than the reach."""
        return middle + reach * (self.between(-1, 1) + self.between(-1, 1)) / 2

    def whole(self, low: int, high: int) -> int:
        return low + int(self._random.random() * (high - low + 1))

    def pick(self, choices: Sequence[T]) -> T:
        return choices[int(self._random.random() * len(choices))]

    def bytes(self, count: int) -> bytes:
        return self._random.getrandbits(8 * count).to_bytes(count, "big")
