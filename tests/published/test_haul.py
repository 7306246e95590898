"""Trucks, pace and queues against published numbers, and tables computed from the definitions."""

import pytest
from scipy.stats import chi2

from matbook.engine.haul import (
    Haul,
    Rhythm,
    finite_source,
    keeps_up_to,
    paver_speed,
    rate_with_stock,
    trucks_for_shift,
    trucks_needed,
)
from matbook.engine.hauling import AT_PLANT, Future, Road, Start, play
from matbook.engine.likely import stream
from matbook.engine.units import convert as si
from tests.published.printed import assert_printed, rows

MIN = 60.0
TON = si(1.0, "ton", "kg")


def ton_per_h(rate: float) -> float:
    return si(rate, "ton/h", "kg/s")


@pytest.mark.parametrize(
    "row",
    rows("queue_published_limited_population_N5"),
    ids=lambda row: f"{row['X']}-{row['channels']}",
)
def test_limited_population_table(row: dict[str, str]) -> None:
    """N = 5, an operations-management text [read], beside what was computed from the closed form.

    X = S / (S + Z); D, the chance that an arriving one waits; F = (Z + S) / (Z + S + wait).
    """
    service = float(row["X"])
    found = finite_source(5, 1.0 - service, service, int(row["channels"]))
    efficiency = 1.0 / (1.0 + found.wait_s)
    assert_printed(found.waits, row["D_published"])
    assert_printed(efficiency, row["F_published"])
    assert_printed(found.waits, row["D_computed"])
    assert_printed(efficiency, row["F_computed"])


@pytest.mark.parametrize("row", rows("queue_finite_source_Z75_S6"), ids=lambda row: row["trucks_N"])
def test_finite_source(row: dict[str, str]) -> None:
    """Computed from the closed form: away 75 min, service 6 min; the bound is for fixed times."""
    trucks = int(row["trucks_N"])
    found = finite_source(trucks, 75 * MIN, 6 * MIN)
    busy = found.throughput_per_s * 6 * MIN
    assert_printed(found.idle, row["P0_paver_idle"])
    assert_printed(busy, row["utilisation"])
    assert_printed(found.waiting + busy, row["L"])
    assert_printed(found.waiting, row["Lq"])
    assert_printed(found.wait_s / MIN + 6.0, row["W_min"])
    assert_printed(found.wait_s / MIN, row["Wq_min"])
    assert_printed(3600 * found.throughput_per_s, row["loads_per_h"])
    fixed = finite_source(trucks, 75 * MIN, 6 * MIN, times="fixed")
    assert_printed(3600 * fixed.throughput_per_s, row["deterministic_bound_loads_per_h"])
    assert fixed.throughput_per_s >= found.throughput_per_s


def test_six_machines() -> None:
    """Anderson et al., An Introduction to Management Science, p. 477: six machines, 0.05 and 0.50
    per hour [inputs read]; its printed answers, from memory."""
    found = finite_source(6, 20 * 3600.0, 2 * 3600.0)
    assert_printed(found.idle, "0.4845")
    assert_printed(found.waiting, "0.3297")
    assert_printed(found.waiting + 1.0 - found.idle, "0.8451")
    assert_printed(found.wait_s / 3600, "1.279")
    assert_printed(found.wait_s / 3600 + 2.0, "3.279")


def test_a_great_many_trucks_are_an_open_queue() -> None:
    """M/M/1, closed form: 8 and 10 per hour give Lq 3.2, Wq 24 min, and a server idle for 0.2.

    What is missing with N trucks goes down as 1/N: twice the answer with 2,000, less that with
    1,000, is within a few thousandths of the open queue.
    """
    few, many = (finite_source(n, n / 8 * 3600.0, 360.0) for n in (1_000, 2_000))
    assert 2 * many.waiting - few.waiting == pytest.approx(3.2, rel=0.005)
    assert (2 * many.wait_s - few.wait_s) / MIN == pytest.approx(24.0, rel=0.005)
    assert 2 * many.idle - few.idle == pytest.approx(0.2, rel=0.005)


def long_run(law: str, trucks: int, minutes: float) -> Future:
    """Trucks away 75 min and laid in 6 min, from all at the plant."""
    fixed = Rhythm(0.0, law="fixed")
    haul = Haul(fixed, Rhythm(75 * MIN, law=law), Rhythm(6 * MIN, law=law), fixed)
    out, back = Road(haul, haul.out, "a long run out"), Road(haul, haul.back, "back")
    start = Start([(0.0, n, AT_PLANT) for n in range(trucks)], out, back)
    return play(haul, start, "a long run", minutes * MIN)


def test_the_events_land_on_the_closed_form() -> None:
    """Exponential times, twelve trucks, 200,000 minutes: 7.8185 loads an hour and 11.09 min of
    waiting. A run of this length differs by some 0.5 % and 2 %: within three times that."""
    found = long_run("exponential", 12, 200_000.0)
    assert found.loads / 200_000 * 60 == pytest.approx(7.8185, rel=0.015)
    assert found.waited_s / found.loads / MIN == pytest.approx(11.09, rel=0.06)
    stood = sum(to - since for since, to in found.stops) / (200_000 * MIN)
    assert stood == pytest.approx(0.21815, rel=0.04)


@pytest.mark.parametrize(("trucks", "printed"), [(1, "0.7407"), (12, "8.8889"), (16, "10.0000")])
def test_events_of_fixed_times_land_on_the_bound(trucks: int, printed: str) -> None:
    """Deterministic bound min(60 N / 81, 60 / 6), computed: after the first round, to one load."""
    found = long_run("fixed", trucks, 75.0 + 81 * 200)
    assert found.loads == pytest.approx(float(printed) * 81 * 200 / 60, abs=1.0 + trucks)


def test_bytes_are_equally_likely() -> None:
    """Chi-squared of 256 cells over 200,000 draws, between SciPy's one in a hundred at each end."""
    counts = [0] * 256
    which = stream("equally likely")
    for _ in range(200_000):
        counts[next(which)] += 1
    expected = 200_000 / 256
    found = sum((count - expected) ** 2 / expected for count in counts)
    assert chi2.ppf(0.01, 255) < found < chi2.ppf(0.99, 255)


def test_trucks_for_a_rate() -> None:
    """NAPA handbook 6.2 [read]: 13.1 means 14."""
    assert trucks_needed(13.1, 100.0, 100.0) == 14
    assert trucks_needed(13.0, 100.0, 100.0) == 13


T135 = {"wait": 15, "load": 5, "ticket and tarp": 5, "haul": 20, "delay": 15, "dump": 5, "back": 20}
"""Minutes of a round in T-135, Hot mix asphalt trucking (J. D. Brock) [read]."""


@pytest.mark.parametrize(
    ("cycle", "trucks", "exact"), [(85, 18, "17.71"), (65, 14, "13.54")], ids=["as it is", "less"]
)
def test_trucks_for_a_cycle(cycle: int, trucks: int, exact: str) -> None:
    """T-135's round of 85 min, 30 of them waiting; number of trucks computed."""
    assert sum(T135.values()) == 85
    assert T135["wait"] + T135["delay"] == 30
    assert trucks_needed(ton_per_h(250.0), cycle * MIN, 20 * TON) == trucks
    assert_printed(ton_per_h(250.0) * cycle * MIN / (20 * TON), exact)


def test_the_delivery_form() -> None:
    """Mix delivery production calculation form [read]; 2,200 ton in 10 h computed: 220 ton/h, 110
    trips, 7 loads each, 16 trucks, as many as by the rate."""
    assert trucks_for_shift(2_200 * TON, 10 * 3600.0, 85 * MIN, 20 * TON) == 16
    assert trucks_needed(ton_per_h(220.0), 85 * MIN, 20 * TON) == 16
    assert_printed(220 * 85 / 1_200, "15.58")


def test_a_silos_stock() -> None:
    """NAPA handbook 6.2 [read]: 250 ton over 10 h are 25 ton/h."""
    found = rate_with_stock(ton_per_h(250.0), 250 * TON, 36_000.0)
    assert si(found, "kg/s", "ton/h") == pytest.approx(275.0)


@pytest.mark.parametrize(
    "row", rows("paver_speed_grid"), ids=lambda row: "-".join(list(row.values())[:3])
)
def test_paver_speeds(row: dict[str, str]) -> None:
    """24 speeds computed from production, width, thickness and density."""
    speed = paver_speed(
        ton_per_h(float(row["ton_per_h"])),
        si(float(row["width_ft"]), "ft", "m"),
        si(float(row["compacted_in"]), "in", "m"),
        si(float(row["pcf"]), "pcf", "kg/m3"),
    )
    assert_printed(si(speed, "m/s", "ft/min"), row["ft_per_min"])
    assert_printed(si(speed, "m/s", "m/min"), row["m_per_min"])


def test_paver_speeds_in_words() -> None:
    """US Navy NAVEDTRA 14080 q. 6-43 [read]: 11 ft/min x 12 ft x 0.167 ft x 146 is 96.55 ton/h; the
    metric one computed."""
    density = si(146.0, "pcf", "kg/m3")
    speed = paver_speed(ton_per_h(96.55), si(12.0, "ft", "m"), si(0.167, "ft", "m"), density)
    assert si(speed, "m/s", "ft/min") == pytest.approx(11.0, rel=0.005 / 96.55)
    metric = paver_speed(si(200.0, "t/h", "kg/s"), 3.75, 0.050, 2_350.0)
    assert_printed(si(metric, "m/s", "m/min"), "7.57")


def test_the_army_s_hauling_distance() -> None:
    """US Army EN5459 [read]: A = 0.22 W t UW / M hours per mile; what follows from it computed:
    eight trucks of 10 ton at 25 mph keep up with 150 ton/h to 6.667 mi; 12 mi take 73.13 h."""
    mile, hour = si(1.0, "mi", "m"), 3600.0
    lane = (si(12.0, "ft", "m"), si(2.0, "in", "m"), si(147.0, "pcf", "kg/m3"))

    def hours_per_mile(rate: float) -> float:
        return mile / paver_speed(rate, *lane) / hour

    rate = ton_per_h(150.0)
    near = hours_per_mile(rate)
    assert near == pytest.approx(0.22 * 12 * 2 * 147 / 150, abs=0.00005)
    assert_printed(near, "5.1744")
    up_to = keeps_up_to(8, si(25.0, "mph", "m/s"), 10 * TON, rate) / mile
    assert_printed(up_to, "6.667")
    far = hours_per_mile(rate * up_to / 12)
    assert_printed(far, "9.3139")
    assert_printed(near * up_to + (near + far) / 2 * (12 - up_to), "73.13")
    assert_printed(near * 12, "62.09")
