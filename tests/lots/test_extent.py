"""Lots cut out of the loads laid: five loads of 21 t lie 50 m each along lane E, by hand."""

from collections.abc import Sequence

import pytest

from matbook.lots.folded import Lot
from matbook.lots.steps import steps
from tests.lots.mat import WITH_LOTS, Mat
from tests.shift.site import station

SIZE = 'size = "1000 t"'


def plan(rule: str) -> str:
    assert SIZE in WITH_LOTS
    return WITH_LOTS.replace(SIZE, rule, 1)


def laid(rule: str, nets: Sequence[str] = ("21.00 t",) * 7) -> Mat:
    mat = Mat(plan(rule))
    mat.site.lay(nets)
    return mat


def lots(mat: Mat, minute: float = 600) -> list[Lot]:
    return list(mat.lots(minute).lots)


def sizes(lot: Lot) -> list[int]:
    assert lot.extent is not None
    return [one.end - one.start for one in lot.extent.sublots]


def ends(lot: Lot) -> tuple[int, int]:
    assert lot.extent is not None
    return lot.extent.start, lot.extent.end


def test_lots_by_mass_end_within_a_load() -> None:
    """147 t: a whole lot of 100 t and 47 t of the next, which begins 16 t into the fifth load."""
    first, second = lots(laid('size = "100 t"'))
    assert (first.name, ends(first)) == ("mat-1", (0, 100_000))
    assert (second.name, ends(second)) == ("mat-2", (100_000, 147_000))
    assert first.extent is not None
    assert second.extent is not None
    assert (first.extent.over, second.extent.over) == (True, False)
    assert (first.extent.labels, second.extent.labels) == (
        ("101", "102", "103", "104", "105"),
        ("105", "106", "107"),
    )
    (reach,) = first.extent.reaches
    assert reach.to_m == pytest.approx(200.0 + 50.0 * 16 / 21)
    assert first.extent.area_m2 == pytest.approx(3.5 * reach.to_m)
    assert second.extent.length_m == pytest.approx(350.0 - reach.to_m)


def test_sublots_say_how_much_of_each_is_laid() -> None:
    _, second = lots(laid('size = "100 t"'))
    assert second.extent is not None
    assert [one.laid for one in second.extent.sublots] == [20_000, 20_000, 7_000, 0, 0]
    assert second.extent.sublots[3].reaches == ()
    assert second.extent.sublots[0].reaches[0].from_m == pytest.approx(200.0 + 50.0 * 16 / 21)


def test_lots_that_end_with_the_nearest_load() -> None:
    """105 t are nearer to 100 t than 84 t; the last sublot takes what is over."""
    first, second = lots(laid('size = "100 t"\ncut = "load"'))
    assert (ends(first), ends(second)) == ((0, 105_000), (105_000, 147_000))
    assert sizes(first) == [20_000] * 4 + [25_000]
    assert first.extent is not None
    assert first.extent.unequal


def test_lots_by_length() -> None:
    first, second = lots(laid('size = "250 m"'))
    assert (ends(first), ends(second)) == ((0, 250_000), (250_000, 350_000))
    assert first.extent is not None
    assert len(first.extent.loads) == 5


def test_lots_by_the_day_have_no_sublots_of_a_size() -> None:
    mat = Mat(plan("").replace('price = "100.00"\n', "", 1))
    mat.site.lay(["21.00 t"] * 7)
    (today,) = lots(mat)
    assert (today.name, ends(today)) == ("mat-2026-05-12", (0, 147_000))
    assert today.extent is not None
    assert (today.extent.planned, today.extent.sublots) == (None, ())


@pytest.mark.parametrize(("short", "sublots"), [
    ("own", [20_000, 20_000, 10_000]), ("join", [20_000, 30_000]),
    ("half", [20_000, 20_000, 10_000]),
])  # fmt: skip
def test_a_lot_that_ended_early(short: str, sublots: list[int]) -> None:
    """50 t of 100 t, and its draw is revealed: nothing more comes."""
    mat = laid(f'size = "100 t"\nshort = "{short}"', ["20.00 t", "20.00 t", "10.00 t"])
    reveal = {"step": "revealed", "lot": "mat-1", "number": "7"}
    assert sizes(lots(mat)[0]) == [20_000] * 5
    mat.site.write("draw", reveal, 500, by="greta")
    (lot,) = lots(mat)
    assert sizes(lot) == sublots
    assert lot.planned == len(sublots)


def test_what_is_laid_is_worth_what_it_is() -> None:
    mat = laid('size = "100 t"', ["21.00 t"] * 3)
    mat.cores(92.4, 93.1, 91.2, 92.8)
    (lot,) = lots(mat)
    figures = lot.worth.figures
    assert figures["money.laid"].value == pytest.approx(0.63 * figures["money"].value)
    assert lot.money is figures["money"]


def test_a_short_lot_is_paid_by_what_was_laid() -> None:
    mat = laid('size = "100 t"', ["20.00 t", "20.00 t", "10.00 t"])
    mat.cores(92.4, 93.1, 91.2)
    mat.site.write("draw", {"step": "revealed", "lot": "mat-1", "number": "7"}, 500, by="greta")
    (lot,) = lots(mat)
    assert lot.complete
    assert lot.worth.forecast is None  # nothing more is to come
    assert lot.money is lot.worth.figures["money.laid"]
    assert lot.money.value == pytest.approx(0.5 * lot.worth.figures["money"].value)


def test_unequal_sublots_weigh_by_their_size() -> None:
    """ASTM D3665: sublots of 20, 20 and 10 t count 0.4, 0.4 and 0.2."""
    rule = 'size = "100 t"'
    mean = plan(rule).replace('lower = "92.0"\n', "", 1)
    mat = Mat(mean.replace('"florida-percent"', '"corps-mat-density"', 1))
    mat.site.lay(["20.00 t", "20.00 t", "10.00 t"])
    mat.cores(93.0, 93.4, 94.4)
    mat.site.write("draw", {"step": "revealed", "lot": "mat-1", "number": "7"}, 500, by="greta")
    (lot,) = lots(mat)
    assert lot.worth.weights == pytest.approx((0.4, 0.4, 0.2))
    weighted = 0.4 * 93.0 + 0.4 * 93.4 + 0.2 * 94.4
    assert lot.worth.figures["mean.weighted"].value == pytest.approx(weighted)
    assert lot.worth.pay is not None
    assert lot.worth.pay.mean == pytest.approx(weighted)
    # UFGS 02749, from memory: 93.4 brings 0.991; the plain mean, 93.6, would bring 0.996
    assert lot.worth.pay.factor == 0.991


def test_percent_within_limits_counts_every_result_alike() -> None:
    mat = laid('size = "100 t"', ["20.00 t", "20.00 t", "10.00 t"])
    mat.cores(92.4, 93.1, 91.2)
    mat.site.write("draw", {"step": "revealed", "lot": "mat-1", "number": "7"}, 500, by="greta")
    (lot,) = lots(mat)
    assert lot.worth.weights
    assert lot.worth.pay is not None
    assert lot.worth.pay.mean == pytest.approx((92.4 + 93.1 + 91.2) / 3)


def test_lots_smaller_than_a_load_are_cut_from_none() -> None:
    mat = laid('size = "15 t"')
    mat.cores(92.4)
    found = mat.lots()
    assert [one.id for one in found.small] == ["mat"]
    assert found.lots[0].extent is None


def test_what_lies_where_nobody_wrote_counts_its_mass() -> None:
    mat = laid('size = "100 t"', ["21.00 t"] * 2)
    mat.site.load("150", 60, place={"lane": "E", "lift": "binder", "paver": "P1"})
    (lot,) = lots(mat)
    assert lot.extent is not None
    assert lot.extent.laid == 63_000
    assert lot.extent.length_m == pytest.approx(100.0)


def test_only_what_was_laid_by_then_counts() -> None:
    mat = laid('size = "100 t"')
    assert [ends(one) for one in lots(mat, 15)] == [(0, 42_000)]


def test_a_place_within_reach_of_its_sublot_is_no_matter() -> None:
    """The paver holds 6 t: 10 m past the end of the second sublot is still within its reach."""
    mat = laid('size = "100 t"', ["20.00 t"] * 5)
    place = {"lane": "E", "lift": "binder", "station": station(110)}
    core = {"core": "C2", "purpose": "acceptance", "draw": mat.place("2").id}
    mat.site.write("core", core, 100, by="tess", place=place)
    assert lots(mat)[0].elsewhere == ()


def test_a_place_in_another_lane_lies_in_none_of_it() -> None:
    mat = laid('size = "100 t"', ["20.00 t"] * 5)
    place = {"lane": "W", "lift": "binder", "station": station(110)}
    core = {"core": "C1", "purpose": "acceptance", "draw": mat.place("1").id}
    mat.site.write("core", core, 100, by="tess", place=place)
    assert lots(mat)[0].elsewhere == ()


def test_money_for_what_is_laid_follows_from_the_digits_printed() -> None:
    """In a us job 63 t are 69.45 ton as printed (63 / 0.90718474 = 69.4456...)."""
    us = plan('size = "100 ton"').replace('units = "metric"', 'units = "us"')
    mat = Mat(us)
    mat.site.lay(["21.00 t"] * 3)
    mat.cores(92.4, 93.1, 91.2)
    (lot,) = lots(mat)
    (step,) = (one for one in steps(mat.work().plan, lot) if one.code == "money.laid")
    assert (step.says["quantity"], step.says["unit"]) == ("69.45", "ton")
    by_hand = (float(step.says["factor"]) - 1) * 69.45 * 100
    assert lot.worth.figures["money.laid"].value == pytest.approx(by_hand, abs=1e-9)
