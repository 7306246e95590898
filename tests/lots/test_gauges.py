"""Gauges folded from entries: counts, directions, distances, certificates, cores beside them."""

import pytest

from matbook.lots.gauges import Correction, Gauge
from tests.lots.tested import BARE, NEEDS, PLAN, TOMORROW, Bench

PCF = 16.01846337
CORES = (144.9, 142.8, 143.1, 140.7, 145.1, 144.2, 143.8, 142.8, 144.8, 143.0)
READ = (142.1, 140.9, 140.7, 138.9, 143.6, 142.4, 141.3, 139.8, 143.3, 141.0)
"""WAQTC FOP for AASHTO T 355: cores and gauge at ten sites, lb/ft3, from memory."""


def gauge(bench: Bench, minute: float = 4000) -> Gauge:
    return bench.found(minute).gauges[0]


def counted(*counts: int) -> list[int]:
    """How often each count failed in a row; one a day would be usual, here one after the other."""
    bench = Bench()
    for n, count in enumerate(counts):
        bench.count(count, n)
    return [one.fails for one in gauge(bench).counts]


def test_a_count_is_held_against_those_before() -> None:
    bench = Bench()
    for n, count in enumerate((2850, 2846, 2853, 2851, 2871)):
        bench.count(count, n)
    first, *_, last = gauge(bench).counts
    assert (first.found, first.figure) == (None, None)
    assert last.found is not None
    assert last.found.mean == 2850.0
    assert last.found.drift_pct == pytest.approx(100 * 21 / 2850)
    assert last.found.holds
    assert last.figure is not None
    before = last.figure.inputs["before"]
    assert len(getattr(before, "entries")()) == 4  # noqa: B009  (one of several kinds of input)


def test_a_count_that_drifts_is_taken_again_and_never_a_measure() -> None:
    assert counted(2850, 2900, 2851, 2852) == [0, 1, 0, 0]
    assert counted(2850, 2900, 2905, 2851) == [0, 1, 2, 0]


def test_failures_are_counted_shift_by_shift() -> None:
    bench = Bench()
    bench.count(2850)
    bench.count(2900, 5)
    bench.count(2901, TOMORROW)
    assert [one.fails for one in gauge(bench).counts] == [0, 1, 1]


def test_a_check_without_its_count_and_one_called_outside() -> None:
    bench = Bench()
    bench.count(None)
    bench.count(2850, 1)
    bench.count(2870, 2, result="outside")
    bench.count(2851, 3)
    assert [one.found for one in gauge(bench).counts[:2]] == [None, None]
    last = gauge(bench).counts[-1].found
    assert last is not None
    assert last.mean == 2850.0


def test_two_directions() -> None:
    """WAQTC FOP for AASHTO T 355, from memory: 40 kg/m3 apart are read again."""
    bench = Bench()
    for n, second in enumerate((2306, 2307)):
        bench.density("2286 kg/m3", n, readings=["2266 kg/m3", f"{second} kg/m3"])
    bench.density("2286 kg/m3", 3, readings=["2266 kg/m3"])
    first, second_one, single = gauge(bench).readings
    assert first.turned is not None
    assert second_one.turned is not None
    assert (first.turned.repeat, second_one.turned.repeat, single.turned) == (False, True, None)
    assert second_one.figure is not None
    assert second_one.figure.value == 41.0


def test_how_near_it_stood() -> None:
    """AASHTO T 355: 10 m, 3 m, 600 mm, 300 mm."""
    bench = Bench()
    bench.density("2286 kg/m3", 1, to_edge="0.29 m", to_face="0.6 m", to_source="9 m")
    bench.density("2286 kg/m3", 2, to_edge="0.30 m", to_object="2.9 m")
    assert [one.near for one in gauge(bench).readings] == [("other source", "edge"),
                                                           ("large object",)]  # fmt: skip
    own = Bench(PLAN.replace("[gauge]", '[gauge]\nfrom_edge = "0.5 m"'))
    own.density("2286 kg/m3", 2, to_edge="0.45 m")
    assert gauge(own).readings[0].near == ("edge",)


def test_who_read_and_with_which_certificate() -> None:
    bench = Bench(PLAN.replace("2026-12-31", "2026-05-12"))
    bench.density("2286 kg/m3", 1)
    bench.site.write("density", {**NEEDS, "percent": "93 %"}, 2, by="ana", instrument="gauge-1")
    bench.site.write("density", {**NEEDS, "percent": "93 %"}, 3, by="who", instrument="gauge-1")
    assert [(one.person, one.state) for one in gauge(bench).operators] == [
        ("tess", "held"), ("ana", "unknown"), ("who", "unknown")]  # fmt: skip
    bench.density("2286 kg/m3", TOMORROW)
    assert {one.person: one.state for one in gauge(bench).operators}["tess"] == "over"


def test_readings_that_name_no_gauge_are_kept_apart() -> None:
    bench = Bench()
    bench.density("2286 kg/m3", 1)
    bench.site.write("density", {**NEEDS, "percent": "93 %"}, 2)
    bench.site.write("density", {**NEEDS, "method": "core", "percent": "93 %"}, 3)
    first, other = bench.found().gauges
    assert (first.name, other.name, len(other.readings)) == ("Gauge 1", "", 1)


# Cores beside it


def correlated(
    cores: tuple[float, ...] = CORES, read: tuple[float, ...] = READ, plan: str = PLAN
) -> Correction:
    bench = Bench(plan)
    for n, (core, reading) in enumerate(zip(cores, read, strict=True)):
        bench.density(f"{reading} pcf", n, core=f"K{n}")
        bench.core(f"K{n}", 30 + n)
        bench.bulk(f"K{n}", f"{core * PCF / 997.1:.7f}", 60 + n)
    (found,) = gauge(bench).corrections
    return found


def test_an_offset_from_cores() -> None:
    """WAQTC FOP for AASHTO T 355, from memory: +2.1 lb/ft3, s 0.53."""
    found = correlated()
    assert found.found is not None
    assert found.figure is not None
    assert found.found.value / PCF == pytest.approx(2.12, abs=0.005)
    assert found.found.sd / PCF == pytest.approx(0.53, abs=0.005)
    assert (found.mix, {pair.state for pair in found.pairs}) == ("ac16", {"kept"})
    low, high = found.figure.low, found.figure.high
    assert low is not None
    assert high is not None
    assert low < found.figure.value < high


def test_a_ratio_where_the_plan_has_it() -> None:
    """WSDOT T 730, from memory: to 0.001, here 1.015."""
    plan = PLAN.replace("[gauge]", '[gauge]\ncorrection = "ratio"')
    found = correlated(plan=plan)
    assert found.figure is not None
    assert found.figure.value == pytest.approx(1.015, abs=0.0005)


def test_a_pair_that_is_far_off_is_dropped() -> None:
    found = correlated((*CORES, 153.0), (*READ, 140.0))
    assert [pair.state for pair in found.pairs] == ["kept"] * 10 + ["dropped"]


def test_too_few_pairs_say_so() -> None:
    found = correlated(CORES[:2], READ[:2])
    assert found.found is None
    assert "2 pairs" in found.why


def test_cores_that_say_nothing_of_the_gauge() -> None:
    bench = Bench()
    bench.density("2338 kg/m3", 1, core="K1")  # heavier in water
    bench.core("K1", 30, dry="1000 g", ssd="1001 g", water="1100 g")
    bench.density("2338 kg/m3", 2, core="K2")  # too much water taken up
    bench.core("K2", 31, dry="1000 g", ssd="1012 g", water="590 g")
    bench.density("2338 kg/m3", 3, core="K3")  # no result yet
    bench.core("K3", 32)
    bench.density("2338 kg/m3", 4, core="K4")  # no such core
    bench.density(None, 5, core="K2", percent="93 %")
    (found,) = gauge(bench).corrections
    assert [(pair.core, pair.state) for pair in found.pairs] == [("K2", "not-held")]
    assert "water_g" in found.why


def test_where_nothing_was_agreed_it_is_as_published() -> None:
    rule = Bench(BARE).work().plan.gauge
    assert (rule.drift, rule.before, rule.turned_kg_m3) == ("1.0", 4, 40.0)
