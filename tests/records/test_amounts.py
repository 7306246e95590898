"""Numbers with units: which mark is the decimal one, and which cells stay open."""

from collections.abc import Sequence

import pytest

from matbook.book.kinds import kind_named
from matbook.errors import Refused
from matbook.records.amounts import Amounts, decimal_mark, is_nothing, shown_mark
from matbook.records.headings import Column


def amounts(field: str = "net", unit: str = "t", named: bool = False, mark: str = "") -> Amounts:
    return Amounts(Column(field, field, 0, "best", unit, named), kind_named("load"), "t", mark)


@pytest.mark.parametrize(
    ("cell", "unit", "text"),
    [
        ("22.40", "t", "22.40 t"),
        ("22,40", "t", "22.40 t"),
        ("22,4 t", "t", "22.4 t"),
        ("22 400", "kg", "22400 kg"),
        ("22\u202f400", "kg", "22400 kg"),
        ("22'400", "kg", "22400 kg"),
        ("22,400", "kg", "22400 kg"),
        ("22.400", "kg", "22400 kg"),
        ("22.400", "t", "22.400 t"),
        ("22,400", "t", "22.400 t"),
        ("49,380", "lb", "49380 lb"),
        ("49,380.5", "lb", "49380.5 lb"),
        ("22.400,5 kg", "kg", "22400.5 kg"),
        ("1 234,5", "kg", "1234.5 kg"),
        ("0,500", "t", "0.500 t"),
        (".5", "t", "0.5 t"),
        ("49380 LBS", "t", "49380 lb"),
        ("22.4 tons", "kg", "22.4 t"),
        ("+22.4", "t", "22.4 t"),
        ("-0", "t", "-0 t"),
        ("", "t", ""),
        ("n/a", "t", ""),
        ("--", "t", ""),
    ],
)
def test_cells(cell: str, unit: str, text: str) -> None:
    reader = amounts(unit=unit)
    assert reader.read(cell) == text
    assert reader.read(cell) == text


@pytest.mark.parametrize(
    ("cell", "allowed"),
    [
        ("1,386", "it may be 1386 or 1.386: write it without a mark between thousands"),
        ("22.4.1", "it must be a number, with at most one decimal mark"),
        ("22.", "it must be a number, with at most one decimal mark"),
        ("1 23", "it must be a number, with at most one decimal mark"),
        ("(22.4)", "it must be a number, with at most one decimal mark"),
        ("#REF!", "it must be a number, with at most one decimal mark"),
        ("9" * 70, "it must be a number, with at most one decimal mark"),
        ("9" * 30, "a number has at most 15 digits"),
        ("99.5", "it must be from 0 t to 80 t"),
        ("-22.4", "it must be from 0 t to 80 t"),
        ("22.4 m", "it must be a mass, such as 22.40 t"),
        ("22.4 stone", "it must be a mass, such as 22.40 t"),
    ],
)
def test_cells_that_stay_open_or_are_no_mass(cell: str, allowed: str) -> None:
    reader = amounts()
    for _ in range(2):
        with pytest.raises(Refused) as caught:
            reader.read(cell)
        assert (caught.value.field, caught.value.given) == ("net", cell)
        assert caught.value.allowed == allowed


def test_a_cell_may_not_gainsay_the_unit_of_its_heading() -> None:
    with pytest.raises(Refused, match="its heading says kg"):
        amounts(unit="kg", named=True).read("22.4 t")
    assert amounts(unit="kg", named=True).read("22400 kg") == "22400 kg"


@pytest.mark.parametrize(
    ("mark", "cell", "text"),
    [
        (".", "1,386", "1386 kg"),
        (",", "1,386", "1.386 kg"),
        (".", "1.386", "1.386 kg"),
        (",", "1.386", "1386 kg"),
    ],
)
def test_the_mark_of_the_file_settles_what_a_cell_leaves_open(
    mark: str, cell: str, text: str
) -> None:
    assert amounts(unit="kg", mark=mark).read(cell) == text


@pytest.mark.parametrize(
    ("cells", "mark"),
    [
        (["22.40", "1,386"], "."),
        (["22,40", "1.386"], ","),
        (["22,40", "22.40"], ""),
        (["1,234.5"], "."),
        (["1.234.567"], ","),
        (["22", "400"], ""),
        (["22.400", "1.386"], "."),  # 22.400 t is a usual load, 22400 t isn't
        (["1.386"], ""),
        (["9.500", "x", ""], "."),
    ],
)
def test_the_mark_of_a_file(cells: Sequence[str], mark: str) -> None:
    reader = amounts()
    assert decimal_mark((reader, cell) for cell in cells) == mark


def test_marks_shown_and_not() -> None:
    assert [shown_mark(n) for n in ("22", "22.4", "22,45", "1,386", "1,386,000", "")] == [
        "", ".", ",", "", ".", "",
    ]  # fmt: skip


@pytest.mark.parametrize("cell", ["", "-", "--", "N/A", "none", "NULL", "–", "."])
def test_cells_that_hold_nothing(cell: str) -> None:
    assert is_nothing(cell)


@pytest.mark.parametrize("cell", ["0", "41007", "T-1", "no"])
def test_cells_that_hold_something(cell: str) -> None:
    assert not is_nothing(cell)
