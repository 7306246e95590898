"""Ranges that arguments of the engine must lie in; each check names the argument and the value."""

from math import inf

from matbook.errors import OutOfRange


def within(name: str, value: float, low: float, high: float) -> None:
    if not low <= value <= high:
        raise OutOfRange(name, value, f"it must be {low:g} to {high:g}")


def from_zero(name: str, value: float) -> None:
    if not 0.0 <= value < inf:
        raise OutOfRange(name, value, "it must be a number from 0")


def above_zero(name: str, value: float) -> None:
    if not 0.0 < value < inf:
        raise OutOfRange(name, value, "it must be a number above 0")


def up_to(name: str, value: float, high: float) -> None:
    if not 0.0 < value <= high:
        raise OutOfRange(name, value, f"it must be above 0, to {high:g}")
