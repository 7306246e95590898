"""Random sampling: anybody gets the same places, each as likely, and nothing can be chosen."""

from collections import Counter
from collections.abc import Callable
from fractions import Fraction
from itertools import accumulate, pairwise
from math import fsum

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from matbook.engine.sampling import (
    Strip,
    across,
    along,
    combined,
    commit,
    cut_lots,
    draw,
    drawn,
    pieces,
    reveal,
    sublot_length,
    weighted_mean,
)
from matbook.engine.seeds import normals
from matbook.errors import MatbookError, NotProven, OutOfRange, Refused

OWNERS = "00112233445566778899aabbccddeeff"
SEED = combined(OWNERS, "4711")
STRIP = Strip(3.6, 0.5, 0.1)
LOT = pieces(1_000_000, 250_000)


def test_a_revealed_number_proves_the_draw() -> None:
    assert reveal(commit(OWNERS), OWNERS, "4711") == SEED


def test_another_number_does_not() -> None:
    with pytest.raises(NotProven, match="isn't the one that was committed to"):
        reveal(commit(OWNERS), OWNERS.replace("0", "1"), "4711")


def test_neither_side_alone_decides() -> None:
    """Whatever the contractor gives moves every place, and so does the owner's number."""
    places = {
        tuple(one.at for one in draw(combined(owners, given), "1", LOT, spares=0))
        for owners in (OWNERS, OWNERS[::-1])
        for given in ("1", "01", "2")
    }
    assert len(places) == 6


def test_the_same_again() -> None:
    assert draw(SEED, "1", LOT, STRIP) == draw(SEED, "1", LOT, STRIP)
    assert draw(SEED, "1", LOT) != draw(SEED, "2", LOT)


def test_each_place_lies_in_its_sublot_and_off_the_edges() -> None:
    places = draw(SEED, "1", LOT, STRIP, each=3, spares=5)
    assert len(places) == 4 * 3 * 6
    for one in places:
        piece = LOT[one.sublot - 1]
        assert piece.start <= one.at < piece.end
        assert one.offset_m is not None
        assert 0.5 <= one.offset_m <= 3.5
        assert one.weight == 0.25
    assert len({(one.at, one.offset_m) for one in places}) == len(places)


def test_spares_come_in_their_order_and_more_of_them_change_nothing() -> None:
    few, many = draw(SEED, "1", LOT, spares=1), draw(SEED, "1", LOT, spares=4)
    assert [one for one in many if one.spare <= 1] == list(few)
    assert [one.spare for one in many][:5] == [0, 1, 2, 3, 4]


def test_every_place_is_as_likely() -> None:
    counts = Counter(drawn(SEED, f"likely {k}", 20) for k in range(20_000))
    assert stats.chisquare([counts[k] for k in range(20)]).pvalue > 0.001
    along_ = [drawn(SEED, f"even {k}", 10**9) / 10**9 for k in range(5_000)]
    assert stats.kstest(along_, "uniform").pvalue > 0.001


def test_normals_are_normal() -> None:
    found = normals(SEED, "normal", 20_001)
    assert len(found) == 20_001
    assert stats.kstest(found, "norm").pvalue > 0.001
    assert normals(SEED, "normal", 3) == found[:3]
    assert normals(SEED, "other", 3) != found[:3]
    assert normals(SEED, "none", 0) == []


def test_a_seed_can_be_followed_by_hand() -> None:
    """u x count / 2^64, cut, by fractions."""
    assert drawn(SEED, "a", 2**30) == int(Fraction(drawn(SEED, "a", 2**39), 2**9))


@given(st.integers(1, 10**6), st.integers(1, 10**6), st.sampled_from(["own", "join", "half"]))
def test_pieces_make_the_whole(total: int, size: int, short: str) -> None:
    if total // size > 2_000:
        return
    found = pieces(total, size, short, start=500)
    assert found[0].start == 500
    assert found[-1].end == 500 + total
    assert all(one.end == other.start for one, other in pairwise(found))
    assert [one.number for one in found] == list(range(1, len(found) + 1))
    assert fsum(one.weight for one in found) == pytest.approx(1.0)
    assert all(one.size == size for one in found[:-1])
    last = found[-1].size
    if len(found) > 1:
        low, high = {
            "own": (1, size),
            "join": (size, 2 * size - 1),
            "half": (size / 2, 1.5 * size),
        }[short]
        assert low <= last <= high


@pytest.mark.parametrize(
    ("short", "ends"),
    [("own", [100, 200, 249]), ("join", [100, 249]), ("half", [100, 249])],
)
def test_a_last_piece_of_just_under_half(short: str, ends: list[int]) -> None:
    assert [one.end for one in pieces(249, 100, short)] == ends
    assert [one.end for one in pieces(250, 100, "half")] == [100, 200, 250]
    assert [one.weight for one in pieces(250, 100)] == [0.4, 0.4, 0.2]


@given(st.lists(st.integers(15_000, 35_000), min_size=1, max_size=60), st.integers(35_000, 400_000))
def test_lots_end_at_the_kilogram_or_at_a_load(loads: list[int], lot: int) -> None:
    marks = list(accumulate(loads))
    exact, nearest = cut_lots(loads, lot), cut_lots(loads, lot, "load")
    assert [one.end for one in exact[:-1]] == [lot * (k + 1) for k in range(len(exact) - 1)]
    assert exact[-1].end == nearest[-1].end == marks[-1]
    assert all(one.size > 0 for one in nearest)
    assert {one.end for one in nearest} <= set(marks)
    for k, one in enumerate(nearest[:-1]):
        assert abs(one.end - lot * (k + 1)) == min(abs(mark - lot * (k + 1)) for mark in marks)


def test_of_two_loads_as_near_the_earlier_ends_the_lot() -> None:
    assert [one.end for one in cut_lots([20_000] * 4, 50_000, "load")] == [40_000, 80_000]


def test_a_short_last_sublot_counts_by_its_share() -> None:
    sublots = pieces(1_000_000, 400_000)
    results = [92.0, 94.0, 91.0]
    found = weighted_mean(results, [one.weight for one in sublots])
    assert found == pytest.approx(0.4 * 92.0 + 0.4 * 94.0 + 0.2 * 91.0)
    assert weighted_mean(results, [1.0, 1.0, 1.0]) == pytest.approx(277.0 / 3.0)


def test_a_lot_can_be_redrawn_from_a_table() -> None:
    assert along(0.0, 250.0, 0.0) == 0.0
    assert across(STRIP, 0.0) == 0.5
    assert across(STRIP, 1.0) == pytest.approx(3.5)
    assert sublot_length(100_000.0, 4.0, 0.05, 2_500.0) == pytest.approx(200.0)


@pytest.mark.parametrize(
    ("call", "error", "says"),
    [
        (lambda: commit("4711"), Refused, "seed is 4; it must be 32 to 128 hexadecimal digits"),
        (lambda: commit("Z" * 32), Refused, "hexadecimal"),
        (lambda: combined(OWNERS, ""), Refused, "it must be 1 to 64 digits"),
        (lambda: combined(OWNERS, "five"), Refused, "contractors is “five”"),
        (lambda: drawn("12", "a", 5), Refused, "64 hexadecimal digits"),
        (lambda: drawn(SEED, "ü", 5), Refused, "printable ASCII"),
        (lambda: drawn(SEED, "", 5), Refused, "printable ASCII"),
        (lambda: drawn(SEED, "a", 0), OutOfRange, "count is 0"),
        (lambda: normals(SEED, "a", -1), OutOfRange, "count is -1"),
        (lambda: normals(SEED, "\n", 1), Refused, "printable ASCII"),
        (lambda: draw(SEED, "1", []), OutOfRange, "sublots is 0"),
        (lambda: draw(SEED, "lot 1", LOT), Refused, "a name without blanks"),
        (lambda: draw(SEED, "", LOT), Refused, "a name without blanks"),
        (lambda: draw(SEED, "1", LOT, each=0), OutOfRange, "each is 0"),
        (lambda: draw(SEED, "1", LOT, spares=21), OutOfRange, "spares is 21"),
        (lambda: Strip(1.0, 0.5, 0.5), OutOfRange, "the margins, 1, leave nothing"),
        (lambda: Strip(0.0), OutOfRange, "width_m is 0"),
        (lambda: Strip(3.6, -0.1), OutOfRange, "left_margin_m is -0.1"),
        (lambda: Strip(3.6, 0.1, -0.1), OutOfRange, "right_margin_m is -0.1"),
        (lambda: pieces(0, 10), OutOfRange, "total is 0"),
        (lambda: pieces(10, 0), OutOfRange, "size is 0"),
        (lambda: pieces(10, 10, start=-1), OutOfRange, "start is -1"),
        (lambda: pieces(10, 10, "drop"), Refused, "own or join or half"),
        (lambda: cut_lots([], 10), OutOfRange, "there must be at least one load"),
        (lambda: cut_lots([5, 0], 10), OutOfRange, "loads_kg is 0"),
        (lambda: cut_lots([20, 30], 25), OutOfRange, "lot_kg is 25"),
        (lambda: cut_lots([20, 30], 100, "day"), Refused, "mass or load"),
        (lambda: weighted_mean([92.0], [1.0, 1.0]), OutOfRange, "weights is “2 weights”"),
        (lambda: weighted_mean([92.0], [0.0]), OutOfRange, "weights is 0"),
        (lambda: weighted_mean([], []), OutOfRange, "values is “0 results”"),
        (lambda: along(-1.0, 5.0, 0.5), OutOfRange, "start is -1"),
        (lambda: along(1.0, -5.0, 0.5), OutOfRange, "size is -5"),
        (lambda: along(1.0, 5.0, 1.5), OutOfRange, "random is 1.5"),
        (lambda: across(STRIP, 1.5), OutOfRange, "random is 1.5"),
        (lambda: sublot_length(0.0, 4.0, 0.05, 2500.0), OutOfRange, "mass_kg is 0"),
        (lambda: sublot_length(1e5, 0.0, 0.05, 2500.0), OutOfRange, "width_m is 0"),
        (lambda: sublot_length(1e5, 4.0, 50.0, 2500.0), OutOfRange, "thickness_m is 50"),
        (lambda: sublot_length(1e5, 4.0, 0.05, 150.0), OutOfRange, "density_kg_m3 is 150"),
    ],
)  # fmt: skip
def test_what_is_refused(call: Callable[[], object], error: type[MatbookError], says: str) -> None:
    with pytest.raises(error) as refusal:
        call()
    assert says in str(refusal.value)
