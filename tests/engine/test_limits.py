"""Limit sets: all load, all say where they are from, and a band ends where it says."""

import pytest

from matbook.engine.limits import AxleGroup, limit_set, limit_sets
from matbook.engine.units import convert
from matbook.errors import NotFound

NAMES = ("us-federal", "washington", "ontario", "canada-mou", "eu-96-53")


def test_the_sets_there_are() -> None:
    assert limit_sets() == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_a_set_says_what_it_is(name: str) -> None:
    law = limit_set(name)
    assert law.name == name
    assert law.title
    assert law.source
    assert law.standing.partition(";")[0] in ("read", "read, second hand", "from memory")
    assert law.seasonal_factor == 1.0
    assert law.tolerance_included is None, "no source at hand says"
    assert law.single_kg > 0


def test_no_such_set() -> None:
    with pytest.raises(NotFound, match=r"no limit set “mars”; there is: us-federal, washington"):
        limit_set("mars")


def test_pounds_and_inches_become_kilograms_and_metres() -> None:
    law = limit_set("us-federal")
    assert law.gross_kg == pytest.approx(36_287.3896, rel=1e-12)
    assert law.tandem_to_m == pytest.approx(2.4384, rel=1e-12)
    assert law.two_tandems_from_m == pytest.approx(36 * 0.3048, rel=1e-12)


def test_kilograms_stay() -> None:
    law = limit_set("ontario")
    assert (law.first_kg, law.single_kg) == (7_700.0, 10_000.0)
    assert law.effective == "as amended by O. Reg. 368/17"
    assert not law.formula
    assert law.table_lb == {}


def test_a_first_axle_has_the_single_limit_unless_the_law_says() -> None:
    assert limit_set("canada-mou").first_kg == limit_set("canada-mou").single_kg
    assert limit_set("eu-96-53").first_kg == 10_000.0


SHORT = AxleGroup(axles=3, from_m=3.0, to_m=3.6, open_end=True, limit_kg=24_000.0)
FULL = AxleGroup(axles=3, from_m=3.6, to_m=3.7, open_end=False, limit_kg=26_000.0)


@pytest.mark.parametrize(
    ("spread", "short", "full"),
    [(2.999, False, False), (3.0, True, False), (3.599, True, False), (3.6, False, True),
     (3.7, False, True), (3.701, False, False)],
)  # fmt: skip
def test_where_a_band_ends(spread: float, short: bool, full: bool) -> None:
    assert (SHORT.holds_for(3, spread), FULL.holds_for(3, spread)) == (short, full)
    assert not SHORT.holds_for(2, spread)


@pytest.mark.parametrize(("from_ft", "to_ft"), [(8.0, 10.0), (9.5, 11.5)])
def test_a_band_in_feet_keeps_its_ends(from_ft: float, to_ft: float) -> None:
    """A spread measured as two gaps that add up to the end of the band is at its end."""
    band = AxleGroup(3, convert(from_ft, "ft", "m"), convert(to_ft, "ft", "m"), True, 1.0)
    halves = 2 * [convert(to_ft / 2, "ft", "m")]
    assert not band.holds_for(3, halves[0] + halves[1])
    assert band.holds_for(3, 2 * convert(from_ft / 2, "ft", "m"))
