"""What arguments of the engine must be; each check names the argument and the value."""

from collections.abc import Mapping
from math import inf
from typing import TypeVar

from matbook.errors import OutOfRange, Refused

Row = TypeVar("Row")


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


def picked(name: str, key: str, table: Mapping[str, Row]) -> Row:
    """A row of a table of methods, or a refusal that names them all."""
    if key not in table:
        raise Refused(name, key, f"it must be {' or '.join(table)}")
    return table[key]
