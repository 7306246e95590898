"""Tack coat against published tables: volume corrections, tank fractions, rates, worked figures."""

import pytest

from matbook.engine.tack import (
    USUAL,
    applied_for,
    applied_rate,
    filled_share,
    residual_rate,
    tank_volume,
    usual_residual,
    volume_correction,
    volume_for,
)
from matbook.engine.units import convert as si
from tests.published.printed import assert_printed, rows


def at_f(temp: float, material: str) -> float:
    return volume_correction(si(temp, "degF", "degC"), material)


@pytest.mark.parametrize("row", rows("vcf_group0_iowa_T102C_vs_D4311"), ids=lambda row: row["T_F"])
def test_iowas_table(row: dict[str, str]) -> None:
    """Iowa DOT IM T-102C, group 0 [read], to 60 degF. D4311's equation differs from it by up to
    0.00008, so up to one unit of its last digit."""
    found = at_f(float(row["T_F"]), "asphalt")
    assert found == pytest.approx(float(row["Iowa_T102C_M"]), abs=0.00009)
    assert_printed(found, row["D4311_Table2_A_formula"])


@pytest.mark.parametrize(
    ("temp_f", "printed"),
    [(0, "1.0211"), (50, "1.0035"), (100, "0.9861"), (150, "0.9689"), (200, "0.9520")],
)
def test_iowas_table_in_steps(temp_f: int, printed: str) -> None:
    """Iowa DOT IM T-102C [read], as quoted; 0.9520 is 0.00007 from the equation's 0.95193."""
    assert at_f(temp_f, "asphalt") == pytest.approx(float(printed), abs=0.00009)


@pytest.mark.parametrize("row", rows("vcf_grid_F"), ids=lambda row: row["T_F"])
def test_computed_corrections(row: dict[str, str]) -> None:
    """D4311's group A as an equation in degF [read], 0 to 500 degF; emulsions from memory."""
    temp = float(row["T_F"])
    assert_printed(si(temp, "degF", "degC"), row["T_C"])
    assert_printed(at_f(temp, "asphalt"), row["asphalt_groupA_D4311"])
    printed = row["emulsion_1-0.00025(T-60)"]
    if printed:
        assert_printed(at_f(temp, "emulsion"), printed)


def test_the_other_base() -> None:
    """To 15 degC: the equation in degF over its value at 59 degF. D4311's own form in degC, as a
    web page prints it, has 1.009 where 1.00947 closes it: with that the two agree to 0.0003."""
    for temp_c in (15.0, 60.0, 100.0, 150.0, 180.0):
        found = volume_correction(temp_c, "asphalt", 15.0)
        closed = 1.00947 - 6.3341e-4 * temp_c + 1.4571e-7 * temp_c * temp_c
        assert found == pytest.approx(closed, abs=0.0003)
    assert volume_correction(15.0, "asphalt", 15.0) == 1.0
    assert volume_correction(15.0, "emulsion", 15.0) == 1.0


@pytest.mark.parametrize(
    "row", rows("horizontal_cylinder_fraction"), ids=lambda row: row["depth_over_diameter"]
)
def test_tank_fractions(row: dict[str, str]) -> None:
    """Computed from the geometry of a cylinder that lies level."""
    depth = float(row["depth_over_diameter"])
    assert_printed(filled_share(depth), row["volume_fraction"])
    whole = tank_volume(1.5, 1.5, 4.0)
    assert_printed(tank_volume(1.5 * depth, 1.5, 4.0) / whole, row["volume_fraction"])


def test_a_tank_that_sprayed() -> None:
    """Computed: 1,850 and 1,340 gal at 140 degF, 2,640 ft x 12 ft; 57 % residue; then with 1:1."""
    before, after = (si(volume, "gal", "m3") for volume in (1_850.0, 1_340.0))
    factor = at_f(140.0, "emulsion")
    assert_printed(factor, "0.98")
    assert_printed(si((before - after) * factor, "m3", "gal"), "499.8")
    area = si(2_640.0, "ft", "m") * si(12.0, "ft", "m")
    assert_printed(si(area, "m2", "yd2"), "3520")
    applied = applied_rate(before, after, area, factor)
    assert_printed(us(applied), "0.1420")
    assert_printed(1000 * applied, "0.643")
    assert_printed(us(residual_rate(applied, 0.57)), "0.0809")
    assert_printed(us(residual_rate(applied, 0.57, 0.5)), "0.0405")


def us(rate: float) -> float:
    return si(rate, "m3/m2", "gal/yd2")


RATES = [
    # surface, residual gal/yd2, recomputed undiluted and 1:1, residual L/m2
    ("new asphalt", ("0.020", "0.045"), ("0.030", "0.067"), ("0.060", "0.135"), ("0.09", "0.20")),
    ("existing asphalt", ("0.040", "0.070"), ("0.060", "0.105"), ("0.120", "0.210"),
     ("0.18", "0.32")),
    ("milled", ("0.040", "0.080"), ("0.060", "0.120"), ("0.120", "0.240"), ("0.18", "0.36")),
    ("concrete", ("0.030", "0.050"), ("0.045", "0.075"), ("0.090", "0.150"), ("0.14", "0.23")),
]  # fmt: skip
Pair = tuple[str, str]


@pytest.mark.parametrize(
    ("surface", "residual", "undiluted", "diluted", "metric"), RATES, ids=lambda row: str(row)
)
def test_usual_rates(
    surface: str, residual: Pair, undiluted: Pair, diluted: Pair, metric: Pair
) -> None:
    """FHWA-HIF-16-017, from memory; the other columns computed with a residue of two thirds.

    Its own 0.065 and 0.130 for new asphalt are below the 0.0675 and 0.135 that follow.
    """
    for end, rate in enumerate(usual_residual(surface)):
        assert_printed(us(rate), residual[end])
        assert_printed(1000 * rate, metric[end])
        for share, printed in ((1.0, undiluted[end]), (0.5, diluted[end])):
            found = us(applied_for(rate, 2 / 3, share))
            assert found == pytest.approx(float(printed), abs=0.00051), "0.0675 is printed cut"


def test_every_usual_surface_is_checked() -> None:
    assert list(USUAL) == [surface for surface, *_ in RATES]


def test_prime_for_three_miles() -> None:
    """US Army EN5459 [read]: 3 mi, 24 ft, 0.3 gal/yd2, loss 1.05: 14,414.4 gal. It closes only with
    15,840 ft (the page prints 15,480) and 2 ft more of width, which prime has and tack hasn't."""
    area = si(15_840.0, "ft", "m") * si(26.0, "ft", "m")
    found = volume_for(area, si(0.3, "gal/yd2", "m3/m2"), 0.05)
    assert_printed(si(found, "m3", "gal"), "14414.4")


@pytest.mark.parametrize("surface", USUAL)
def test_usual_rates_lie_in_the_navys_range(surface: str) -> None:
    """US Navy NAVEDTRA 14080 p. 8-29 [read]: 0.05 to 0.25 gal/yd2 as sprayed, so diluted 1:1."""
    low, high = (us(applied_for(rate, 2 / 3, 0.5)) for rate in usual_residual(surface))
    assert 0.05 <= low < high <= 0.25
