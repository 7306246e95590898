"""Retests, outliers and disputes, each by the plan's rule; and what events take away."""

import pytest

from matbook.book.entry import Entry
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


def test_a_contested_result_widens_the_range_until_one_correction_is_left() -> None:
    mat = Mat()
    mat.cores(92.4, 93.1, 91.2, 92.8)
    fifth = mat.core("5", "2.2975")
    for by, dry in (("tess", "1010 g"), ("greta", "1015 g")):
        body = {**fifth.body, "dry": dry, "ssd": "1015 g"}
        mat.site.write("core", body, 100, by=by, strikes=fifth.id, why="weighed again")
    lot = only(mat)
    (found,) = lot.disputes
    assert found.contested
    assert not lot.disputed
    assert lot.provisional
    assert found.worth.values[:4] == lot.worth.values[:4]
    assert found.worth.values[4] < lot.worth.values[4]  # the supervisor's reads first
    own, other = lot.worth.within, found.worth.within
    assert own is not None
    assert other is not None
    assert lot.range_pct == (min(own.low_pct, other.low_pct), max(own.high_pct, other.high_pct))


def test_a_contender_that_cant_be_worked_out_is_no_value() -> None:
    mat = Mat()
    first = mat.core("1", "2.31")
    for by, water in (("greta", "560 g"), ("tess", "1100 g")):  # heavier in water than in air
        body = {**first.body, "water": water}
        mat.site.write("core", body, 100, by=by, strikes=first.id, why="weighed again")
    assert only(mat).disputes == ()
    assert only(mat).provisional


# What a laboratory finds of a core that was sent to it


def sent() -> Mat:
    mat = Mat()
    body = {"core": "C1", "purpose": "acceptance", "draw": mat.place("1").id}
    mat.site.write("core", body, 100, by="tess", place={"lane": "E", "lift": "binder"})
    return mat


def weighed(mat: Mat, value: str, minute: float, by: str = "tess", **more: str) -> Entry:
    strikes = {"strikes": more.pop("strikes"), "why": "read again"} if "strikes" in more else {}
    body = {"test": "bulk gravity", "value": f"{value} 1", "sample": "C1", "purpose": "acceptance"}
    return mat.site.write("test-result", {**body, **more}, minute, by=by, **strikes)


def test_the_other_sides_result_of_a_core_never_takes_the_owners_place() -> None:
    mat = sent()
    weighed(mat, "2.310", 200)
    weighed(mat, "2.350", 210, by="cole")
    weighed(mat, "2.330", 220, purpose="verification")
    lot = only(mat)
    states = {one.state: one.value.value for one in lot.results if one.value is not None}
    assert states == {"counts": 92.4, "contractor": 94.0, "verification": 93.2}
    assert {one.sample for one in lot.results} == {"C1"}


def test_an_older_result_of_a_core_is_replaced_and_stays() -> None:
    mat = sent()
    weighed(mat, "2.310", 200)
    weighed(mat, "2.330", 210)
    assert [one.state for one in only(mat).results] == ["counts", "replaced"]
    assert only(mat).worth.values == (93.2,)


def test_without_any_maximum_gravity_neither_side_has_a_percentage() -> None:
    mat = Mat(WITH_LOTS.replace('maximum_gravity = "2.500"\n', ""))
    body = {"core": "C1", "purpose": "acceptance", "draw": mat.place("1").id}
    mat.site.write("core", body, 100, by="tess", place={"lane": "E", "lift": "binder"})
    weighed(mat, "2.310", 200)
    weighed(mat, "2.350", 210, by="cole")
    assert [one.value for one in only(mat).results] == [None, None]


def test_a_laboratorys_result_may_be_contested_and_disputed() -> None:
    mat = sent()
    first = weighed(mat, "2.310", 200)
    for by, value in (("tess", "2.320"), ("greta", "2.330")):
        weighed(mat, value, 200, by=by, strikes=first.id)
    lot = only(mat)
    assert [one.other.value.value for one in lot.disputes if one.other and one.other.value] == [
        92.8
    ]
    standing = mat.site.facts.of("test-result")[0]
    mat.site.write("disagreement", {"about": standing.id, "says": "No."}, 230, by="cole")
    assert only(mat).disputed


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
