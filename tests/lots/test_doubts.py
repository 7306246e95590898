"""Retests, outliers and disputes, each by the plan's rule; and what events take away."""

import pytest

from matbook.lots.folded import Lot
from matbook.lots.steps import steps
from tests.lots.mat import WITH_LOTS, Mat
from tests.shift.site import station

FAR = (92.4, 92.5, 92.3, 92.4, 89.0)
"""Grubbs: T = 1.788 on the fifth, against 1.7150 for five results, both sides at 0.05."""


def mat_with(rule: str) -> Mat:
    return Mat(WITH_LOTS.replace("sublots = 5", f"sublots = 5\n{rule}", 1))


def only(mat: Mat) -> Lot:
    (lot,) = mat.lots().lots
    return lot


def test_a_retest_counts_instead_where_the_plan_says_so() -> None:
    mat = mat_with('retests = "instead"')
    mat.core("1", "2.3100", minute=100)
    mat.core("1", "2.3400", minute=130)
    lot = only(mat)
    assert [one.state for one in lot.results] == ["replaced", "counts"]
    assert lot.worth.values == (93.6,)


def test_an_outlier_counts_until_somebody_finds_why() -> None:
    mat = mat_with('outlier = "0.05"')
    mat.cores(*FAR)
    lot = only(mat)
    assert lot.far is not None
    assert (lot.far.found.value, lot.far.left_out) == (89.0, False)
    assert lot.far.found.critical == pytest.approx(1.7150, abs=5e-5)
    assert len(lot.worth.values) == 5


def test_an_outlier_is_left_out_where_the_plan_says_so() -> None:
    mat = mat_with('outlier = "0.05"\noutliers = "left out"')
    mat.cores(*FAR)
    lot = only(mat)
    assert [one.state for one in lot.results] == ["counts"] * 4 + ["outlier"]
    assert lot.worth.values == FAR[:4]
    assert not lot.complete


@pytest.mark.parametrize("values", [(92.4, 89.0), (92.4,) * 3, (92.4, 93.1, 91.2, 92.8)])
def test_where_there_is_no_outlier(values: tuple[float, ...]) -> None:
    mat = mat_with('outlier = "0.05"')
    mat.cores(*values)
    assert only(mat).far is None


def disputed(*theirs: tuple[str, str]) -> Lot:
    """Five cores of which the third is disputed; the other side's by sample and percent."""
    mat = Mat()
    mat.cores(92.4, 93.1, 91.2, 92.8, 91.9)
    third = mat.site.facts.of("core")[2]
    mat.site.write("disagreement", {"about": third.id, "says": "No."}, 210, by="cole")
    for sample, percent in theirs:
        body = {"test": "density", "value": f"{percent} %", "purpose": "process", "lot": "mat-1"}
        mat.site.write("test-result", {**body, "sample": sample}, 300, by="cole")
    return only(mat)


def test_a_disputed_result_says_what_either_side_makes_of_the_lot() -> None:
    lot = disputed(("mat-1/3", "92.6"))
    (found,) = lot.disputes
    assert found.other is not None
    assert found.worth.values == (92.4, 93.1, 92.6, 92.8, 91.9)
    assert lot.worth.values == (92.4, 93.1, 91.2, 92.8, 91.9)
    own, other = lot.worth.within, found.worth.within
    assert own is not None
    assert other is not None
    assert lot.range_pct == (own.low_pct, other.high_pct)


def test_without_a_value_of_the_other_side_the_lot_is_said_without_it() -> None:
    (found,) = disputed(("other", "92.6")).disputes
    assert found.other is None
    assert found.worth.values == (92.4, 93.1, 92.8, 91.9)


def test_a_lot_without_a_percentage_has_no_range() -> None:
    mat = Mat()
    mat.cores(92.4)
    assert only(mat).range_pct is None


STREAKS = """
[[deductions]]
id = "streaks"
name = "Streaks"
lots = "mat"
sign = "Cold  streak"
each = "500.00"
"""


def streaked(rule: str = 'size = "100 t"') -> Mat:
    plan = WITH_LOTS.replace('size = "1000 t"', rule, 1).replace(
        "[[lots]]", f"{STREAKS}[[lots]]", 1
    )
    mat = Mat(plan if rule else plan.replace('price = "100.00"\n', "", 1))
    mat.site.lay(["20.00 t"] * 7)
    for place in ({"station": station(40)}, {"from": station(60), "to": station(90)}):
        mat.site.write("defect", {"sign": "cold streak"}, 90, place={"lane": "E", **place})
    mat.site.write("defect", {"sign": "segregation"}, 90, place={"lane": "E"})
    return mat


def test_events_take_away_by_the_lot_that_they_lie_in() -> None:
    """WSDOT 5-04, cyclic density: each section takes away by itself."""
    mat = streaked()
    mat.site.write("defect", {"sign": "Cold streak"}, 90, place={"lane": "E", "to": station(300)})
    mat.site.write(
        "defect", {"sign": "Cold streak"}, 90, place={"lane": "E", "from": station(1900)}
    )
    mat.cores(92.4, 93.1, 91.2)
    found = mat.lots()
    first, second = found.lots
    assert (first.taken_away, second.taken_away) == (1000.0, 500.0)
    assert len(first.taken[0].events) == 2
    assert [fact.place("from") for _, fact in found.events] == [station(1900)]
    said = {one.code: one.says for one in steps(mat.work().plan, first)}
    assert (said["taken"]["n"], said["taken"]["money"]) == ("2", "1\u202f000.00")
    money = first.money
    assert money is not None
    total = float(said["total"]["total"].replace("−", "-").replace("\u202f", ""))
    assert total == pytest.approx(money.value - 1000.0, abs=0.005)


def test_events_of_a_lot_by_the_day() -> None:
    mat = streaked("")
    assert [lot.taken_away for lot in mat.lots().lots] == [1000.0]
    empty = Mat(WITH_LOTS.replace('size = "1000 t"\n', "").replace('price = "100.00"\n', "", 1)
                .replace("[[lots]]", f"{STREAKS}[[lots]]", 1))  # fmt: skip
    empty.site.write("defect", {"sign": "Cold streak"}, 90, place={"lane": "E"})
    assert len(empty.lots().events) == 1
