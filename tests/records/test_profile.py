"""Profile files: taken apart at gaps, refused where distances run backwards, heights as written."""

import pytest

from matbook.errors import FileRefused
from matbook.records.profile import MOST_TEXT, read_profile


def file(*rows: str) -> bytes:
    return "\n".join(rows).encode()


def test_heights_are_kept_as_they_were_written() -> None:
    found = read_profile(file("distance;left;right", "10,0;1,50;2", "10,1;1.6;3", "10,2;-0.25;4"))
    (piece,) = found.pieces
    assert piece.heights == ("1.50", "1.6", "-0.25")
    assert piece.spacing_m == pytest.approx(0.1)
    assert (piece.from_m, piece.to_m) == pytest.approx((0.0, 0.2))
    assert found.gaps == ()
    right = read_profile(file("0,1,2", "1,1,3"), column=3, metres=0.3048).pieces[0]
    assert right.heights == ("2", "3")
    assert right.spacing_m == pytest.approx(0.3048)


def test_a_gap_is_said_with_its_line_and_what_is_beyond_it_is_a_piece_of_its_own() -> None:
    """An empty height, a word, and a jump in the distance."""
    rows = ["x,h", "0,1", "1,2", "2,", "3,4", "4,5", "5,lost", "6,7", "9,8", "10,9", "11", "12,1"]
    found = read_profile(file(*rows))
    assert [piece.heights for piece in found.pieces] == [
        ("1", "2"), ("4", "5"), ("7",), ("8", "9"), ("1",),
    ]  # fmt: skip
    assert [piece.from_m for piece in found.pieces] == [0.0, 3.0, 6.0, 9.0, 12.0]
    assert [gap.partition(":")[0] for gap in found.gaps] == [
        "Line 4",
        "Line 7",
        "Line 9",
        "Line 11",
    ]
    assert "a gap at 2.000 m" in found.gaps[0]


def test_a_long_piece_is_parted_so_that_an_entry_has_room_for_it() -> None:
    rows = [f"{n},{n % 10}.00000000000000000000" for n in range(7000)]
    found = read_profile(file(*rows))
    assert len(found.pieces) == 2
    assert found.gaps == ()
    assert sum(len(piece.heights) for piece in found.pieces) == 7000  # whole numbers
    assert all(len(" ".join(piece.heights)) <= MOST_TEXT + 30 for piece in found.pieces)


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (["x,h", "0,1", "2,2", "1,3"], "Line 4: the distance 1 m isn't beyond the one before, 2 m"),
        (["0,1", "0,1"], "Line 2: the distance 0 m"),
        (["x,h"], "There are 0 heights in column 2"),
        (["0,1", "1,2", "end,3"], "Line 3: “end 3” isn't a distance"),
        (["0,1", "1,2", "2,3", "total,"], "isn't a distance"),
    ],
)
def test_what_is_no_profile_is_refused_with_the_line(rows: list[str], said: str) -> None:
    with pytest.raises(FileRefused, match=said.replace("(", r"\(")):
        read_profile(file(*rows))
