"""What limits may speak of."""

import pytest

from matbook.engine.units import parse
from matbook.plan.quantities import quantities

NAMED = """
temperature.discharge temperature.delivery temperature.laydown temperature.breakdown
temperature.finish age mass.gross return mass.similar yield.load yield.last yield.shift
yield.lift loose-depth width cross-slope overlap stop tickets.difference air.temperature
surface.temperature roller-speed straightedge ramp.ratio tack.rate drop-off density.single
density.mean
"""


def test_the_quantities_are_there() -> None:
    assert set(NAMED.split()) <= quantities().keys()


@pytest.mark.parametrize("name", quantities())
def test_a_quantity_has_units_and_words(name: str) -> None:
    quantity = quantities()[name]
    assert quantity.name == name
    assert quantity.units
    assert quantity.about
    assert ("within" in quantity.sides) == (quantity.kind == "deviation")
    assert {"min", "max"} <= set(quantity.sides)
    low, high = (parse(end) for end in quantity.usual)
    assert {low.unit, high.unit} <= set(quantity.units)
    assert low.number < high.to(low.unit)


def test_a_deviation_of_temperature_is_a_difference() -> None:
    assert quantities()["discharge-target"].units == ("delta_degC", "delta_degF")
    assert quantities()["temperature.delivery"].units == ("degC", "degF")
