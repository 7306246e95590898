"""Contractor against owner, with scipy as oracle; how places were drawn; a lot's own clock."""

from datetime import timedelta

import pytest
from scipy import stats

from matbook.engine.sampling import combined, commit
from matbook.lots.drawn import trail
from matbook.lots.results import results
from matbook.lots.sides import sides
from matbook.lots.work import Place, number_of, places_of, rule_of
from tests.lots.mat import RULE, WITH_LOTS, Mat
from tests.shift.site import clock

OURS, THEIRS = (91.9, 92.4, 93.1, 91.2), (93.8, 94.1, 94.4, 93.6, 94.0)


def theirs(mat: Mat, *percents: float, samples: bool = False, lot: str = "mat-1") -> None:
    for number, percent in enumerate(percents, 1):
        body = {"test": "density", "value": f"{percent} %", "purpose": "process", "lot": lot}
        if samples:
            body["sample"] = f"{lot}/{number}"
        mat.site.write("test-result", body, 300 + number, by="cole")


def test_without_the_contractors_results_there_is_nothing_to_compare() -> None:
    mat = Mat()
    mat.cores(*OURS)
    assert sides(results(mat.work())) is None


def test_means_and_spreads() -> None:
    mat = Mat()
    mat.cores(*OURS)
    theirs(mat, *THEIRS)
    found = sides(results(mat.work()))
    assert found is not None
    assert found.variances is not None
    assert found.means is not None
    assert not found.variances.differ
    t = stats.ttest_ind(OURS, THEIRS)
    assert found.means.statistic == pytest.approx(abs(t.statistic), rel=1e-9)
    assert found.means.p == pytest.approx(t.pvalue, rel=1e-6)
    assert found.means.differ
    assert found.paired is None


def test_split_samples_are_compared_in_pairs() -> None:
    mat = Mat()
    mat.cores(*OURS)
    theirs(mat, 92.1, 92.9, 93.2, 91.8, samples=True)
    found = sides(results(mat.work()))
    assert found is not None
    assert found.paired is not None
    assert found.pairs == 4
    t = stats.ttest_rel((92.1, 92.9, 93.2, 91.8), OURS)
    assert found.paired.statistic == pytest.approx(abs(t.statistic), rel=1e-6)


def test_too_few_to_compare_is_a_sentence() -> None:
    mat = Mat()
    mat.cores(*OURS)
    theirs(mat, 92.1)
    found = sides(results(mat.work()))
    assert found is not None
    assert "1 results" in found.said


# Draws

SECRET = "00112233445566778899aabbccddeeff"


def step(mat: Mat, what: str, number: str, by: str = "greta", minute: float = 0) -> None:
    body = {"step": what, "lot": "mat-1", "number": number}
    mat.site.write("draw", body, minute, by=by)


def test_a_draw_that_fits_gives_its_seed() -> None:
    mat = Mat()
    step(mat, "committed", commit(SECRET))
    step(mat, "contributed", "4711", "cole", 5)
    assert trail(mat.work(), "mat-1").seed == ""
    step(mat, "revealed", SECRET, minute=500)
    found = trail(mat.work(), "mat-1")
    assert found.seed == combined(SECRET, "4711")
    assert [fact.text("step") for fact in found.steps] == ["committed", "contributed", "revealed"]


def test_a_draw_that_doesnt_fit_says_why() -> None:
    mat = Mat()
    step(mat, "committed", commit(SECRET))
    step(mat, "contributed", "4711", "cole", 5)
    step(mat, "revealed", SECRET[::-1], minute=500)
    found = trail(mat.work(), "mat-1")
    assert (found.seed, bool(found.why)) == ("", True)


def test_a_place_is_known_only_where_something_was_tested() -> None:
    mat = Mat()
    drawn, other = mat.place("2/1"), mat.place("3")
    assert places_of([drawn, other], [drawn.id]) == {drawn.id: Place("mat-1", 2)}
    assert places_of([mat.place("²")], []) == {}


# Names and clocks


def test_a_lot_is_of_the_rule_with_the_longest_name_that_fits() -> None:
    more = RULE.replace('id = "mat"', 'id = "mat-joint"')
    plan = Mat(WITH_LOTS.replace("[[plants]]", f"{more}[[plants]]", 1)).work().plan
    rule = rule_of(plan, "mat-joint-2")
    assert rule is not None
    assert rule.id == "mat-joint"
    assert rule_of(plan, "joint-2") is None
    assert number_of(rule, "mat-joint-12") == (12, "")
    assert number_of(rule, "mat-joint-2026-06-15") == (10**9, "2026-06-15")


def test_lots_stand_in_the_order_of_their_numbers() -> None:
    mat = Mat()
    for number in ("10", "9", "x"):
        mat.core("1", "2.31", lot=f"mat-{number}")
    assert [lot.name for lot in mat.lots().lots] == ["mat-9", "mat-10", "mat-x"]
    assert mat.lots().named("mat-3") is None


def test_until_when_a_retest_may_be_asked_for() -> None:
    mat = Mat()
    mat.cores(92.4)
    lot = mat.lots().named("mat-1")
    assert lot is not None
    assert lot.challenge_until == clock(101) + timedelta(hours=48)
    without = Mat(WITH_LOTS.replace('challenge = "48 h"\n', ""))
    without.cores(92.4)
    assert without.lots().lots[0].challenge_until is None


def test_a_contested_result_makes_its_lot_provisional() -> None:
    mat = Mat()
    mat.maximum()
    first = mat.core("1", "2.31")
    assert not mat.lots().lots[0].provisional
    for by, dry in (("tess", "1001 g"), ("greta", "1002 g")):
        body = {**first.body, "dry": dry, "ssd": "1003 g"}
        mat.site.write("core", body, 100, by=by, strikes=first.id, why="weighed again")
    assert mat.lots().lots[0].provisional
