"""Published tables as they were printed, and what a printed number still leaves open."""

import csv
from pathlib import Path

import pytest

DATA = Path(__file__).parent / "data"


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def half(printed: str) -> float:
    """Half a unit in the last digit printed, and a hair for the float it is compared with."""
    return 0.5 * 10.0 ** -len(printed.partition(".")[2]) + 1e-9


def assert_printed(found: float, printed: str) -> None:
    assert found == pytest.approx(float(printed), abs=half(printed)), printed
