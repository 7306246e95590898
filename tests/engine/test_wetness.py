"""Water and ice under a mat, and materials by name, against the reference's hand-worked numbers."""

from collections.abc import Callable

import pytest

from matbook.engine.cooling import FixedFilm, Layer, OpenSky, cool
from matbook.engine.materials import material, materials
from matbook.engine.wetness import (
    WATER_ON,
    behind_screed_c,
    frozen,
    mean_drop_k,
    on_base_c,
    on_damp_base,
    roller_water_w_m2,
)
from matbook.errors import MatbookError, NotFound, OutOfRange

LIFT = Layer(0.05, 1.21, 2243.0, 921.0, 150.0)
BASE = Layer(1.0, 1.21, 2243.0, 921.0, 15.0)
SKY = OpenSky(21.15, 15.0, 15.0, 270.0, 0.95)


def test_a_tenth_of_a_millimetre_costs_two_and_a_half_kelvins() -> None:
    """261 kJ/m2, 3.6 % of the heat of 50 mm from 150 to 80 °C, or 2.5 K of its mean."""
    drop = 150.0 - on_damp_base(LIFT, 0.1).hottest_c
    assert drop == pytest.approx(2.53, abs=0.005)
    assert drop / 70.0 == pytest.approx(0.036, abs=0.0005)
    assert mean_drop_k(261_000.0, LIFT) == pytest.approx(drop, rel=2e-3)


def test_half_a_millimetre_costs_18_percent() -> None:
    assert (150.0 - on_damp_base(LIFT, 0.5).hottest_c) / 70.0 == pytest.approx(0.18, abs=0.002)


def test_a_damp_base_brings_the_time_forward() -> None:
    dry, damp = (cool([lift, BASE], SKY, 3600.0).time_to(80.0)
                 for lift in (LIFT, on_damp_base(LIFT, 0.3)))  # fmt: skip
    assert damp is not None
    assert dry is not None
    assert damp < 0.93 * dry


def test_a_profile_is_lowered_as_a_whole() -> None:
    lift = Layer(0.05, 1.21, 2243.0, 921.0, ((0.0, 140.0), (0.05, 150.0)))
    wet = on_damp_base(lift, 0.1)
    assert wet.start_at(0.025) == pytest.approx(145.0 - 2.53, abs=0.01)


def test_ice_is_24_kelvins_of_cold() -> None:
    """38 MJ/m3 at 6 % of 1900 kg/m3, over 1900 x 840 J/m3K."""
    base = Layer(1.0, 2.74, 1900.0, 840.0, 0.0)
    assert -frozen(base, 0.06).hottest_c == pytest.approx(24.0, abs=0.15)
    assert frozen(base, 0.0).hottest_c == 0.0


def test_a_frozen_base_brings_the_time_forward() -> None:
    base = Layer(1.0, 2.74, 1900.0, 840.0, -1.0)
    dry, ice = (cool([LIFT, one], SKY, 3600.0).time_to(80.0) for one in (base, frozen(base, 0.06)))
    assert ice is not None
    assert dry is not None
    assert ice < dry - 60.0


def test_rollers_water_takes_its_heat_from_the_mat() -> None:
    """Two tenths of a millimetre in all, boiled off in five minutes: as a drop of the mean."""
    absorbed = roller_water_w_m2(0.02, 10, 300.0)
    assert absorbed == pytest.approx(-2 * 261_280.0 / 300.0, rel=1e-3)
    film = FixedFilm(0.0, 15.0, absorbed)
    tight = Layer(0.05, 1.21, 2243.0, 921.0, 150.0, 1.0)
    base = Layer(1.0, 0.02, 2243.0, 921.0, 150.0)
    wet = cool([tight, base], film, 300.0).mean_c(300.0)
    assert 150.0 - wet == pytest.approx(mean_drop_k(-absorbed * 300.0, tight), rel=0.01)


def test_a_base_by_the_word_for_its_state() -> None:
    """0.1 mm of water takes 2.5 K from 50 mm; nothing boils from a mat at 100 °C or below."""
    assert on_base_c(150.0, LIFT, "damp") == pytest.approx(147.5, abs=0.05)
    assert on_base_c(150.0, LIFT, "wet") == on_damp_base(LIFT, 0.5).hottest_c
    ice, damp = (150.0 - on_base_c(150.0, LIFT, state) for state in ("frozen", "damp"))
    assert ice - damp == pytest.approx(mean_drop_k(0.1 * 3.34e5, LIFT))
    assert on_base_c(104.0, LIFT, "wet") == 100.0
    assert on_base_c(90.0, LIFT, "wet") == 90.0
    assert all(where for _, _, where in WATER_ON.values())


def test_what_is_lost_before_the_screed() -> None:
    assert behind_screed_c(158.0, 6.5) == 151.5


REFUSED: list[tuple[Callable[[], object], str]] = [
    (lambda: on_damp_base(LIFT, 2.0), "water_kg_m2"),
    (lambda: on_damp_base(LIFT, -0.1), "water_kg_m2"),
    (lambda: on_damp_base(LIFT, 0.1, 120.0), "water_c"),
    (lambda: mean_drop_k(float("nan"), LIFT), "taken_j_m2"),
    (lambda: frozen(Layer(1.0, 2.74, 1900.0, 840.0, 4.0), 0.06), "start_c"),
    (lambda: frozen(Layer(1.0, 2.74, 1900.0, 840.0, -4.0), 0.6), "moisture"),
    (lambda: roller_water_w_m2(2.0, 4, 300.0), "water_kg_m2"),
    (lambda: roller_water_w_m2(0.02, -1, 300.0), "passes"),
    (lambda: roller_water_w_m2(0.02, 4, 0.0), "time_s"),
    (lambda: on_base_c(300.0, LIFT, "dry"), "laid_c"),
    (lambda: behind_screed_c(20.0, 5.0), "truck_c"),
    (lambda: behind_screed_c(150.0, 60.0), "loss_k"),
]


@pytest.mark.parametrize(("act", "name"), REFUSED)
def test_refused_with_a_sentence(act: Callable[[], object], name: str) -> None:
    with pytest.raises(OutOfRange) as caught:
        act()
    assert caught.value.field == name


@pytest.mark.parametrize("name", materials())
def test_every_material_makes_a_layer_and_says_where_it_is_from(name: str) -> None:
    found = material(name)
    assert found.title
    assert found.source
    assert found.standing.startswith(("read", "from memory", "assumed"))
    layer = found.layer(1.0, 15.0)
    assert 0.5e6 < layer.heat_j_m3k < 4.0e6
    assert found.conductivity_w_mk > 0.3, "0.062 is a trap of textbook tables: no paving mix"


def test_the_unknown_material_is_named_with_the_known() -> None:
    with pytest.raises(NotFound, match="dense-mix") as caught:
        material("tarmac")
    assert isinstance(caught.value, MatbookError)


def test_crushed_stone_by_its_own_formulas() -> None:
    """Johansen (from memory): dry 0.039 n^-2.2; wet by geometric means; n 0.296, stone 3.0."""
    n, water = 0.296, {"crushed-wet": 0.57, "crushed-frozen": 2.2}
    assert material("crushed-dry").conductivity_w_mk == pytest.approx(0.039 * n**-2.2, abs=0.005)
    for name, k in water.items():
        assert material(name).conductivity_w_mk == pytest.approx(3.0 ** (1 - n) * k**n, abs=0.02)
    dry, wet = (material(f"crushed-{state}").conductivity_w_mk for state in ("dry", "wet"))
    damp = dry + (wet - dry) * (0.7 * -0.30103 + 1.0)
    assert material("crushed-damp").conductivity_w_mk == pytest.approx(damp, abs=0.02)
