"""What a lot is worth, against general-purpose libraries; and the working as it is printed."""

import re
from math import asin, pi, sqrt
from statistics import fmean, stdev

import pytest
from scipy.stats import beta

from matbook.lots.folded import Lot
from matbook.lots.steps import steps
from tests.lots.mat import RULE, WITH_LOTS, Mat

FIVE = (92.4, 93.1, 91.2, 92.8, 91.9)


def lot(*percents: float, plan: str = WITH_LOTS) -> Lot:
    mat = Mat(plan)
    mat.cores(*percents)
    mat.maximum()
    return mat.lots().lots[0]


def with_rule(old: str, new: str) -> str:
    assert old in RULE
    return WITH_LOTS.replace(old, new, 1)


@pytest.mark.parametrize("values", [FIVE[:3], FIVE[:4], FIVE])
def test_percent_within_limits_and_pay(values: tuple[float, ...]) -> None:
    """Beta distribution by scipy; factor by Florida DOT 334-8.2.2: 55 + 0.5 PWL."""
    found = lot(*values).worth
    n, q = len(values), (fmean(values) - 92.0) / stdev(values)
    a = n / 2 - 1
    x = 0.5 - q * sqrt(n) / (2 * (n - 1))
    percent = 100 * beta.sf(x, a, a)
    assert found.figures["mean"].value == pytest.approx(fmean(values), abs=1e-9)
    assert found.figures["sd"].value == pytest.approx(stdev(values), abs=1e-9)
    assert found.figures["quality.lower"].value == pytest.approx(q, abs=1e-9)
    assert found.figures["within"].value == pytest.approx(percent, abs=1e-8)
    assert found.figures["pay"].value == pytest.approx(0.55 + 0.005 * percent, abs=1e-9)
    money = (round(0.55 + 0.005 * percent, 4) - 1) * 1000 * 100.00
    assert found.figures["money"].value == pytest.approx(money, abs=1e-6)
    within = found.within
    assert within is not None
    assert within.low_pct < percent < within.high_pct


@pytest.mark.parametrize(("values", "why"), [
    ((), "lot.none"), ((92.4,), "lot.few"), ((92.4, 93.0), "lot.few"),
    ((92.4, 92.4, 92.4), "lot.alike"),
])  # fmt: skip
def test_no_percentage_where_none_can_be_estimated(values: tuple[float, ...], why: str) -> None:
    mat = Mat()
    mat.core("9", "2.31")  # of a sublot that isn't there, so that the lot is
    mat.cores(*values)
    found = mat.lots().lots[0].worth
    assert (found.why, found.pay, found.within) == (why, None, None)
    assert "within" not in found.figures


def test_a_schedule_that_isnt_for_so_many_results_says_so() -> None:
    plan = with_rule('schedule = "florida-percent"', 'schedule = "faa-p-401"').replace(
        "sublots = 5", "sublots = 12", 1
    )
    mat = Mat(plan)
    mat.cores(*[92.0 + 0.1 * k for k in range(11)])
    found = mat.lots().lots[0].worth
    assert found.why == "lot.refused"
    assert "11 results" in found.said
    assert found.forecast is None


def test_what_is_expected_falls_away_when_all_results_are_in() -> None:
    open_lot, complete = lot(*FIVE[:4]), lot(*FIVE)
    assert not open_lot.complete
    assert complete.complete
    assert complete.worth.forecast is None
    forecast = open_lot.worth.forecast
    assert forecast is not None
    assert forecast.low_factor <= forecast.middle_factor <= forecast.high_factor


def test_a_us_job_pays_by_the_ton() -> None:
    plan = WITH_LOTS.replace('units = "metric"', 'units = "us"').replace('"1000 t"', '"1000 ton"')
    found = lot(*FIVE, plan=plan)
    assert found.worth.figures["money"].value == pytest.approx(
        (round(found.worth.figures["pay"].value, 4) - 1) * 1000 * 100
    )


def test_lots_by_length_and_by_the_day() -> None:
    by_length = lot(*FIVE, plan=with_rule('"1000 t"', '"500 m"')).worth
    assert by_length.figures["money"].value == pytest.approx(
        (round(by_length.figures["pay"].value, 4) - 1) * 500 * 100
    )
    daily = with_rule('size = "1000 t"\n', "").replace('price = "100.00"\n', "", 1)
    assert "money" not in lot(*FIVE, plan=daily).worth.figures


# The working, recomputed from nothing but what it prints


def numbers(text: str) -> list[float]:
    plain = text.replace("−", "-").replace("\u202f", "").replace("- ", "-")
    return [float(one) for one in re.findall(r"(?<![\w.])-?\d+(?:\.\d+)?", plain)]


def printed(found: Lot) -> dict[str, list[dict[str, str]]]:
    plan = Mat().site.facts.plans.latest
    by_code: dict[str, list[dict[str, str]]] = {}
    for one in steps(plan, found):
        by_code.setdefault(one.code, []).append(dict(one.says))
    return by_code


def value(text: str) -> float:
    return numbers(text)[0]


@pytest.mark.parametrize("values", [FIVE[:3], FIVE[:4], FIVE])
def test_a_person_with_a_calculator_comes_to_the_same(values: tuple[float, ...]) -> None:
    """Every step from the digits that the steps before print, within a unit of its last digit."""
    said = printed(lot(*values))
    assert [value(one["maximum"]) for one in said["maximum.own"]] == [2.500]
    results = []
    for one in said["core"]:
        bulk = value(one["dry"]) / (value(one["ssd"]) - value(one["water"]))
        assert value(one["bulk"]) == pytest.approx(bulk, abs=0.0006)
        results.append(round(100 * value(one["bulk"]) / value(one["maximum"]), 1))
        assert value(one["value"]) == pytest.approx(results[-1], abs=0.051)
    added = [value(one["value"]) for one in said["core"]]
    (mean,), (sd,), (index,) = said["mean"], said["sd"], said["index.lower"]
    assert numbers(mean["sum"]) == added
    n, m = int(mean["n"]), value(mean["mean"])
    assert m == pytest.approx(sum(added) / n, abs=0.001)
    squares = sum((x - m) ** 2 for x in added)
    assert value(sd["squares"]) == pytest.approx(squares, abs=0.001)
    s = sqrt(value(sd["squares"]) / int(sd["less"]))
    assert value(sd["sd"]) == pytest.approx(s, abs=0.0002)
    q = (value(index["mean"]) - value(index["limit"])) / value(index["sd"])
    assert value(index["q"]) == pytest.approx(q, abs=0.0012)
    (share,) = said[{3: "share.three", 4: "share.even", 5: "share.odd"}[n]]
    u = value(index["q"]) * sqrt(n) / (n - 1)
    w = 1 - u * u
    pct = {
        3: lambda: 50 + 100 * asin(u) / pi,
        4: lambda: 50 + 100 * u * value(share["series"]),
        5: lambda: 50 + 100 * (asin(u) / pi + u * sqrt(w) * value(share["series"])),
    }[n]()
    assert value(share["u"]) == pytest.approx(u, abs=0.0001)
    assert value(share["pct"]) == pytest.approx(pct, abs=0.02)
    (pay,), (money,) = said["pay.polynomial"], said["money"]
    assert numbers(pay["terms"])[:2] == [0.55, 0.5]
    factor = 0.55 + 0.5 * value(share["pct"]) / 100
    assert value(pay["factor"]) == pytest.approx(factor, abs=0.0001)
    moved = (value(pay["factor"]) - 1) * value(money["quantity"]) * value(money["price"])
    assert value(money["money"]) == pytest.approx(moved, abs=0.005)


def test_the_series_of_seven_results() -> None:
    """n = 7: arcsin and a series of two terms, against scipy."""
    plan = with_rule("sublots = 5", "sublots = 7")
    said = printed(lot(*FIVE, 92.2, 93.3, plan=plan))
    (share,), (index,) = said["share.odd"], said["index.lower"]
    u = value(index["q"]) * sqrt(7) / 6
    w = 1 - u * u
    first, last = (float(one.split()[0]) for one in share["series"].split(" + "))
    pct = 50 + 100 * (asin(u) / pi + u * sqrt(w) * (first * w + last))
    assert pct == pytest.approx(100 * beta.sf(0.5 - u / 2, 2.5, 2.5), abs=0.02)
    assert value(share["pct"]) == pytest.approx(pct, abs=0.02)


@pytest.mark.parametrize(("rule", "values", "codes"), [
    ('lower = "91.0"\nupper = "94.0"', FIVE, {"index.upper", "both"}),
    ('lower = "80.0"', FIVE, {"beyond.all"}),
    ('lower = "99.0"', FIVE, {"beyond.none"}),
])  # fmt: skip
def test_other_ways_to_the_percentage(
    rule: str, values: tuple[float, ...], codes: set[str]
) -> None:
    assert codes <= printed(lot(*values, plan=with_rule('lower = "92.0"', rule))).keys()


@pytest.mark.parametrize(("schedule", "limits", "codes"), [
    ("faa-p-401", 'lower = "92.0"', {"table", "pay.band"}),
    ("faa-p-401", 'lower = "94.0"', {"pay.rejected"}),
    ("washington-compaction", "", {"pay.least"}),
    ("colorado-quality-level", 'lower = "92.0"', {"pay.polynomial"}),
    ("colorado-quality-level", 'lower = "85.0"', {"pay.cap"}),
    ("corps-mat-density", "", {"pay.band"}),
])  # fmt: skip
def test_other_schedules(schedule: str, limits: str, codes: set[str]) -> None:
    plan = WITH_LOTS.replace('lower = "92.0"\n', f"{limits}\n", 1)
    plan = plan.replace('"florida-percent"', f'"{schedule}"', 1)
    assert codes <= printed(lot(*FIVE, plan=plan)).keys()


def test_a_blended_curve_is_called_that() -> None:
    plan = with_rule('"florida-percent"', '"colorado-quality-level"').replace(
        "sublots = 5", "sublots = 10", 1
    )
    assert "pay.blend" in printed(lot(*FIVE, 92.2, 93.3, 92.7, 91.7, 92.6, plan=plan))
