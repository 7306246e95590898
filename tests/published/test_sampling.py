"""Random sampling against published examples, and against SHA-256 spelled out."""

from hashlib import sha256

import pytest

from matbook.engine.sampling import (
    Strip,
    across,
    along,
    combined,
    commit,
    draw,
    drawn,
    pieces,
    reveal,
    sublot_length,
)
from matbook.engine.units import convert

OWNERS = "00112233445566778899aabbccddeeff"


def ft(length: float) -> float:
    return convert(length, "ft", "m")


def test_by_mass_from_a_printed_table() -> None:
    """“Using Random Number Tables”, S 605-99 [read]: 0.022 in the second of four sublots of 250."""
    second = pieces(1000, 250)[1]
    assert along(0.0, second.size, 0.022) == pytest.approx(5.5)
    assert along(second.start, second.size, 0.022) == pytest.approx(255.5)


@pytest.mark.parametrize(("total", "parts", "each", "count"), [(2000, 4, 20, 25), (600, 4, 10, 15)])
def test_one_truck_or_one_time_of_so_many(total: int, parts: int, each: int, count: int) -> None:
    """FAA Eastern Region, chapter 6 [read]: 2,000 tons in 20-ton trucks; ten hours, one in ten
    minutes."""
    sublots = pieces(total, total // parts)
    assert len(sublots) == parts
    assert {one.size // each for one in sublots} == {count}
    seed = combined(OWNERS, "1")
    assert {drawn(seed, f"truck {k}", count) for k in range(400)} == set(range(count))


def test_by_place_from_a_printed_table() -> None:
    """Constructed: 12+50 and 732 ft, R1 .371 -> 15+21.57; a 12 ft lane, 1 ft margins, R2 .654."""
    station = along(ft(1250.0), ft(732.0), 0.371)
    assert convert(station, "m", "ft") == pytest.approx(1521.57, abs=0.005)
    offset = across(Strip(ft(12.0), ft(1.0), ft(1.0)), 0.654)
    assert convert(offset, "m", "ft") == pytest.approx(7.54, abs=0.005)


def test_a_sublots_length() -> None:
    """WSDOT T 716, recalled: 100 tons at 2.05 tons/yd3, 12 ft by 0.15 ft: 731.7 ft."""
    mass = convert(100.0, "ton", "kg")
    density = convert(2.05 * 2000.0 / 27.0, "pcf", "kg/m3")
    found = sublot_length(mass, ft(12.0), ft(0.15), density)
    assert convert(found, "m", "ft") == pytest.approx(731.7, abs=0.05)


def test_margins_of_supported_and_unsupported_edges() -> None:
    """Saskatchewan STP 107, 1994 [read]: 0.5 m from an unsupported, 0.1 m from a supported edge."""
    strip = Strip(3.6, left_margin_m=0.5, right_margin_m=0.1)
    seed = combined(OWNERS, "4711")
    places = draw(seed, "1", pieces(10_000_000, 10_000), strip, spares=0)
    offsets = [one.offset_m for one in places if one.offset_m is not None]
    assert len(offsets) == 1000
    assert min(offsets) >= 0.5
    assert max(offsets) <= 3.5
    assert max(offsets) - min(offsets) > 2.9


def test_a_draw_is_whole_numbers_and_sha_256() -> None:
    """FIPS 180-4 by the standard library; the rest as the module's own words say."""
    said = f"matbook commitment 1\n{OWNERS}"
    assert commit(OWNERS) == sha256(said.encode()).hexdigest()
    seed = sha256(f"matbook seed 1\n{OWNERS}\n0042".encode()).hexdigest()
    assert reveal(commit(OWNERS), OWNERS, "0042") == seed
    (one,) = draw(seed, "L-3", [pieces(900_000, 300_000)[2]], spares=0)
    text = f"matbook number 1\n{seed}\nL-3 3 1 0 along"
    u = int(sha256(text.encode()).hexdigest()[:16], 16)
    assert one.at == 600_000 + (u * 300_000) // 2**64
