"""A warm lift as a base: what it holds, and what that does to the lift on it."""

from dataclasses import replace
from math import fsum, nan

import pytest

from matbook.engine.cooling import FixedFilm, Layer, OpenSky, cool
from matbook.engine.curve import periods, solved
from matbook.engine.warm import warmed
from matbook.errors import OutOfRange

MIX = (1.6, 2243.0, 921.0)
LIFT = Layer(0.05, *MIX, 150.0)
GROUND = [Layer(0.1, *MIX, 15.0), Layer(0.3, 1.56, 1900.0, 1166.0, 15.0),
          Layer(0.7, 1.0, 1500.0, 1900.0, 15.0)]  # fmt: skip
SKY = OpenSky(14.3, 15.0, -3.1, 243.0)


def heat(layers: tuple[Layer, ...]) -> float:
    """Heat above 15 °C in the layers [J/m2], by trapezoids between the points of their profiles."""
    return fsum(
        layer.heat_j_m3k * (b - a) * ((s + t) / 2.0 - 15.0)
        for layer in layers
        for (a, s), (b, t) in zip(layer.profile, layer.profile[1:], strict=False)
    )


@pytest.mark.parametrize("age_s", [300.0, 1800.0, 7200.0])
@pytest.mark.parametrize("ground", [GROUND, [Layer(2.0, 1.4, 2300.0, 880.0, 15.0)]])
def test_going_on_from_there_is_going_on(age_s: float, ground: list[Layer]) -> None:
    """A mat stopped and taken up again cools as if nobody had stopped it."""
    layers = [LIFT, *ground]
    whole = cool(layers, SKY, age_s + 3600.0)
    after = solved(warmed(layers, SKY, age_s), periods(SKY), 3600.0, 1)
    for since in (60.0, 600.0, 1800.0, 3600.0):
        assert after.mean_c(since) == pytest.approx(whole.mean_c(age_s + since), abs=0.15)


def test_what_left_the_surface_is_what_is_missing() -> None:
    """With a film alone and no loss below: heat at the start less heat lost, within 0.5 %."""
    film = FixedFilm(25.0, 15.0)
    layers = (LIFT, *GROUND)
    curve, step = cool(layers, film, 3600.0), 2.0
    lost = fsum(
        step * film.loss_w_m2(curve.surface_c(step * (n + 0.5))) for n in range(int(3600.0 / step))
    )
    start = LIFT.heat_j_m3k * LIFT.thickness_m * 135.0
    assert heat(warmed(layers, film, 3600.0)) == pytest.approx(start - lost, rel=0.005)


def test_a_lift_on_a_warm_one_has_longer_and_the_younger_that_is_the_longer() -> None:
    times = [
        cool([LIFT, *warmed([LIFT, *GROUND], SKY, age_s)], SKY, 20_000.0).time_to(80.0) or 0.0
        for age_s in (2400.0, 7200.0, 36_000.0)
    ]
    cold = cool([LIFT, replace(GROUND[0], thickness_m=0.15), *GROUND[1:]], SKY, 9000.0)
    times.append(cold.time_to(80.0) or 0.0)
    assert times == sorted(times, reverse=True)
    assert times[0] > 1.5 * times[-1]
    assert times[2] > times[-1] > 600.0


@pytest.mark.parametrize("age_s", [0.0, -60.0, 2e5, nan])
def test_an_age_that_is_none_is_refused(age_s: float) -> None:
    with pytest.raises(OutOfRange) as caught:
        warmed([LIFT, *GROUND], SKY, age_s)
    assert caught.value.field == "age_s"
