"""Differences of temperature behind the screed, against published limits of them."""

from math import inf, nan

import pytest

from matbook.engine.evenness import difference_k, farthest_from
from matbook.engine.units import convert
from matbook.errors import OutOfRange


def test_a_difference_is_of_the_hottest_and_the_coldest_in_any_order() -> None:
    assert difference_k([141.0, 128.5, 139.0]) == difference_k([128.5, 139.0, 141.0]) == 12.5
    assert difference_k([140.0, 140.0]) == 0.0


def test_differences_convert_as_differences() -> None:
    """WSDOT (Willoughby et al. 2002): 25 °F apart, printed as 14 °C; 275 and 300 °F are so."""
    hot, cold = (convert(temp, "degF", "degC") for temp in (300.0, 275.0))
    apart = difference_k([hot, cold])
    assert round(apart) == 14
    assert convert(apart, "delta_degC", "delta_degF") == pytest.approx(25.0)


def test_the_farthest_within_a_length() -> None:
    others = [(0.0, 100.0), (60.0, 150.0), (95.0, 141.0), (170.0, 120.0), (171.0, 100.0)]
    assert farthest_from((120.0, 128.0), others, 50.0) == 2
    assert farthest_from((120.0, 128.0), others, 60.0) == 4
    assert farthest_from((120.0, 128.0), others, 10.0) is None
    assert farthest_from((120.0, 128.0), [], 50.0) is None


@pytest.mark.parametrize("temps", [[], [140.0], [140.0, nan], [140.0, 400.0], [-80.0, 1.0]])
def test_too_few_or_impossible_temperatures_are_refused(temps: list[float]) -> None:
    with pytest.raises(OutOfRange) as caught:
        difference_k(temps)
    assert caught.value.field == "temps_c"


@pytest.mark.parametrize("length", [0.0, -1.0, nan, inf])
def test_a_length_that_is_none_is_refused(length: float) -> None:
    with pytest.raises(OutOfRange) as caught:
        farthest_from((0.0, 140.0), [], length)
    assert caught.value.field == "within_m"
