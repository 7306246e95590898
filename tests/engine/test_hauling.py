"""The haul event by event: SimPy and Ciw on the same draws, bunches, the coming hour."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import islice, pairwise
from math import fsum, inf, log1p, nan, sqrt
from typing import Any

import ciw
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import lognorm

from bench.haul import HAUL, TRUCKS, Played
from matbook.engine.fleet import PLACES, Fleet
from matbook.engine.haul import (
    Haul,
    Outlook,
    Rhythm,
    Truck,
    bunching,
    forecast,
    steady_pace,
    trucks_to_add,
)
from matbook.engine.hauling import AT_PAVER, AT_PLANT, Future, Road, Start, play
from matbook.engine.likely import LAWS, stream
from matbook.errors import OutOfRange, Refused

HOUR = 3_600.0
FIXED = Rhythm(0.0, law="fixed")

rhythms = st.builds(Rhythm, st.floats(60.0, 2_000.0), st.floats(0.0, 600.0), st.integers(0, 9),
                    st.sampled_from(list(LAWS)))  # fmt: skip
hauls = st.builds(Haul, rhythms, rhythms, rhythms, rhythms, st.floats(0.0, 200.0),
                  st.floats(0.0, 900.0), st.floats(0.0, 50.0), st.floats(0.0, 1.0))  # fmt: skip
away = st.builds(
    Truck, st.sampled_from(["waiting", "out", "back", "plant"]), st.floats(0.0, 4_000.0)
)
fleets = st.tuples(
    st.lists(away, max_size=12),
    st.lists(st.builds(Truck, st.just("laying"), st.floats(0.0, 900.0)), max_size=1),
).map(lambda both: [*both[0], *both[1]])


def assert_same(ours: Future, theirs: Future) -> None:
    assert (ours.loads, ours.most) == (theirs.loads, theirs.most)
    assert ours.waited_s == pytest.approx(theirs.waited_s, abs=1e-6)
    assert len(ours.stops) == len(theirs.stops)
    for one, other in zip(ours.stops, theirs.stops, strict=True):
        assert one == pytest.approx(other, abs=1e-6)


def both(haul: Haul, trucks: Sequence[Truck], name: str, until_s: float) -> tuple[Future, Future]:
    fleet = Fleet(haul, trucks)
    ours = play(haul, fleet.begin(name), name, until_s)
    return ours, Played(haul, fleet.begin(name), name).until(until_s)


def test_simpy_has_the_same_hours() -> None:
    """SimPy on the same model and draws: stops, loads, waiting and queues of 200 futures."""
    for number in range(200):
        assert_same(*both(HAUL, TRUCKS, f"an hour {number}", HOUR))


@settings(max_examples=60, deadline=None)
@given(hauls, fleets, st.integers(0, 999))
def test_simpy_has_the_same_future_of_any_haul(
    haul: Haul, trucks: list[Truck], number: int
) -> None:
    """Whatever the legs, the road and the hopper. Draws that fall together are left to chance."""
    scattered = replace(haul, loading=replace(haul.loading, scatter_s=77.7, law="lognormal"))
    assert_same(*both(scattered, trucks, f"any {number}", 3 * HOUR))


def by_ciw(haul: Haul, trucks: int, name: str, until_s: float) -> tuple[int, float, float]:
    """Loads, waiting and time laying, by Ciw: four nodes in a ring, the draws in sequence."""
    legs = {"loading": haul.loading, "out": haul.out, "laying": haul.laying, "back": haul.back}
    draws = {
        leg: [rhythm.likely[which] for which in islice(stream(f"{name} {leg}"), 2_000)]
        for leg, rhythm in legs.items()
    }
    network = ciw.create_network(
        arrival_distributions=[ciw.dists.Sequential([0.0] * trucks + [inf]), None, None, None],
        service_distributions=[ciw.dists.Sequential(values) for values in draws.values()],
        routing=[
            [0.0, 1.0, 0.0, 0.0],
            [0.0, 0.0, 1.0, 0.0],
            [0.0, 0.0, 0.0, 1.0],
            [1.0, 0.0, 0.0, 0.0],
        ],
        number_of_servers=[1, inf, 1, inf],
    )
    simulation = ciw.Simulation(network)
    simulation.simulate_until_max_time(until_s + 50_000.0)
    laid: list[Any] = [one for one in simulation.get_all_records() if one.node == 3]
    begun = [one for one in laid if one.service_start_date < until_s]
    waited = fsum(
        min(one.service_start_date, until_s) - one.arrival_date
        for one in laid
        if one.arrival_date < until_s
    )
    busy = fsum(min(one.service_end_date, until_s) - one.service_start_date for one in begun)
    return len(begun), waited, busy


@pytest.mark.parametrize("trucks", [1, 4, 9, 15])
@pytest.mark.parametrize("law", ["lognormal", "exponential", "fixed"])
def test_ciw_has_the_same_day(trucks: int, law: str) -> None:
    """Ciw on the same draws: loads, waiting, and time without a truck over ten hours."""
    legs = [Rhythm(mean, mean / 4, law=law) for mean in (240.0, 1_500.0, 420.0, 1_300.0)]
    haul = Haul(legs[0], legs[1], legs[2], legs[3])
    out, back = Road(haul, haul.out, "a day out"), Road(haul, haul.back, "a day back")
    start = Start([(0.0, n, AT_PLANT) for n in range(trucks)], out, back)
    ours = play(haul, start, "a day", 36_000.0)
    loads, waited, busy = by_ciw(haul, trucks, "a day", 36_000.0)
    stood = fsum(to - since for since, to in ours.stops)
    assert ours.loads == loads
    assert ours.waited_s == pytest.approx(waited, abs=1e-6)
    assert 36_000.0 - stood == pytest.approx(busy, abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(hauls, fleets)
def test_what_always_holds(haul: Haul, trucks: list[Truck]) -> None:
    name = "always"
    found = play(haul, Fleet(haul, trucks).begin(name), name, 2 * HOUR)
    ends = [moment for stop in found.stops for moment in stop]
    assert all(0.0 <= moment <= 2 * HOUR for moment in ends)
    assert all(after >= before for before, after in pairwise(ends))
    assert 0.0 <= found.waited_s <= 2 * HOUR * len(trucks)
    assert 0 <= found.most <= max(0, len(trucks))
    assert found.loads >= 0


def test_a_haul_by_hand() -> None:
    """One truck laying for 300 s more, the hopper holds 60 s: the next is there at 500, so the
    paver stands from 360 to 500; it is laid by 900, less 60 in the hopper; nothing comes after."""
    haul = Haul(FIXED, Rhythm(900.0), Rhythm(400.0), Rhythm(2_000.0), spare_s=60.0)
    trucks = [Truck("laying", 100.0), Truck("out", 400.0)]
    found = play(haul, Fleet(haul, trucks).begin(""), "", 2_000.0)
    assert found == Future([(360.0, 500.0), (900.0, 2_000.0)], 1, 0.0, 0)


def test_an_exchange_holds_the_next_truck_back() -> None:
    """Two wait: each docks 60 s after the one before has left; the hopper's 100 s bridge that."""
    haul = Haul(FIXED, Rhythm(900.0), Rhythm(400.0), Rhythm(9_000.0), 60.0, 100.0)
    found = play(
        haul, Fleet(haul, [Truck("waiting"), Truck("waiting", 5.0)]).begin(""), "", 1_000.0
    )
    assert found == Future([(800.0, 1_000.0)], 2, 360.0, 1)


def arrivals(held_up: float, name: str) -> list[float]:
    """A day of trucks that leave the plant every 5 min or so, and drive half an hour or so."""
    haul = Haul(FIXED, Rhythm(1_800.0, 360.0), FIXED, FIXED, headway_s=15.0, held_up=held_up)
    road, leaves = Road(haul, haul.out, name), stream(f"{name} leaves")
    moments, now = [], 0.0
    for _ in range(120):
        now += 200.0 + 200.0 * next(leaves) / 256
        moments.append(road.arrive(now))
    return moments


def test_trucks_bunch_where_they_cannot_pass() -> None:
    """The same trucks on a free road and on one where none can pass: they leave spread out, and
    arrive one behind the other; the more can't pass, the more of them come close together."""
    free, some, none = (
        [bunching(arrivals(share, f"road {n}"), 30.0) for n in range(20)]
        for share in (0.0, 0.5, 1.0)
    )
    close = [fsum(one.together.value for one in day) / 20 for day in (free, some, none)]
    assert close[0] < close[1] < close[2]
    assert close[2] > 2 * close[0]
    assert max(one.longest for one in none) > max(one.longest for one in free)
    assert fsum(one.held_up for one in none) > fsum(one.held_up for one in free)


def test_nobody_is_overtaken_where_none_can_pass() -> None:
    moments = arrivals(1.0, "a road")
    assert all(after - before >= 15.0 - 1e-9 for before, after in pairwise(moments))
    overtaken = arrivals(0.0, "a road")
    assert any(after < before for before, after in pairwise(overtaken))


def test_bunches_stop_the_paver_and_make_trucks_wait() -> None:
    """Twelve trucks, the same draws: where none can pass the paver stands longer, and more wait."""
    free = replace(HAUL, held_up=0.0, exchange_s=0.0, spare_s=0.0)
    held = replace(free, held_up=1.0)
    spread, bunched = (forecast(haul, TRUCKS, 3 * HOUR, futures=300) for haul in (free, held))
    stood = [mean_standing(one) for one in (spread, bunched)]
    waited = [fsum(f.waited_s for f in one.futures) for one in (spread, bunched)]
    assert stood[1] > 1.05 * stood[0]
    assert waited[1] > waited[0]


def mean_standing(outlook: Outlook) -> float:
    stops = [stop for one in outlook.futures for stop in one.stops]
    return fsum(to - since for since, to in stops) / len(outlook.futures)


def test_the_same_seed_gives_the_same_hour() -> None:
    one, again, other = (forecast(HAUL, TRUCKS, futures=60, seed=seed) for seed in ("a", "a", "b"))
    assert one.futures == again.futures
    assert one.futures != other.futures


CERTAIN = Haul(Rhythm(60.0), Rhythm(1_500.0), Rhythm(400.0), Rhythm(3_000.0), spare_s=100.0)
ON_THE_WAY = [Truck("out", 500.0), Truck("out", 200.0), Truck("plant")]


def test_the_coming_hour_without_chance() -> None:
    """All legs fixed. 300 s more to lay, 100 s in the hopper: it stands from 400 s until the next
    comes at 1,000 s; one comes at 1,300 s just as that one leaves; one at 1,560 s waits for 140 s;
    at 2,200 s all is laid. By hand."""
    seen = forecast(CERTAIN, [Truck("laying", 100.0), *ON_THE_WAY], futures=50)
    assert set(map(str, seen.futures)) == {
        str(Future([(400.0, 1_000.0), (2_200.0, HOUR)], 3, 140.0, 1))
    }
    assert [seen.stops_by(moment).value for moment in (0.0, 399.0, 400.0, HOUR)] == [0, 0, 1, 1]
    assert (seen.first_stop(0.1), seen.first_stop(1.0)) == (400.0, 400.0)
    assert [chance.value for chance in seen.stands(600.0)] == [0, 1, 0, 0, 1, 1]
    assert seen.moves_s is None
    assert not seen.stands_now
    middles = (seen.standing_s, seen.stops, seen.loads, seen.waiting, seen.most_waiting)
    assert [one.middle for one in middles] == [2_000.0, 2, 3, 140.0 / HOUR, 1]
    assert [one.early for one in middles] == [one.late for one in middles]


def test_a_paver_that_stands_now() -> None:
    """Nothing to lay: it moves when the next is there, and the next stop is the one after that."""
    seen = forecast(CERTAIN, ON_THE_WAY, futures=50)
    assert seen.stands_now
    assert seen.moves_s is not None
    assert seen.moves_s.middle == 1_000.0
    assert seen.first_stop(0.5) == 2_200.0
    assert seen.stands()[0].value == 1.0
    empty = forecast(CERTAIN, [], futures=50)
    assert empty.first_stop(0.5) is None
    assert empty.standing_s.middle == HOUR


def test_a_truck_there_or_mix_in_the_hopper_is_no_standing_paver() -> None:
    assert not forecast(CERTAIN, [Truck("waiting")], futures=50).stands_now
    full = forecast(CERTAIN, ON_THE_WAY, hopper_s=90.0, futures=50)
    assert not full.stands_now
    assert full.first_stop(0.5) == 90.0
    assert full.futures[0].stops[0] == (90.0, 1_000.0)


def test_a_paver_that_stands_and_moves_at_once() -> None:
    """The next is overdue and its leg fixed: it may be there at any moment, so at once."""
    seen = forecast(CERTAIN, [Truck("out", 1_600.0)], futures=50)
    assert (seen.stands_now, seen.overdue) == (True, 1)
    assert seen.moves_s is not None
    assert seen.moves_s.late == 0.0
    assert seen.first_stop(1.0) == 400.0


def test_fewer_futures_are_less_sure() -> None:
    """The interval grows as the square root of fewer futures, and holds what many say."""
    many = forecast(HAUL, TRUCKS, futures=4_000, seed="many").stops_by(HOUR)
    few = forecast(HAUL, TRUCKS, futures=250).stops_by(HOUR)
    assert few.least < many.value < few.most
    assert (few.most - few.least) / (many.most - many.least) == pytest.approx(4.0, rel=0.1)


def test_chances_of_a_stop_only_grow() -> None:
    seen = forecast(HAUL, TRUCKS, futures=200)
    chances = [seen.stops_by(moment).value for moment in range(0, 3_601, 300)]
    assert chances == sorted(chances)
    assert seen.first_stop(0.999) is None
    early, late = seen.first_stop(0.1), seen.first_stop(0.3)
    assert early is not None
    assert late is not None
    assert early <= late
    assert len(seen.stands()) == 60


def test_a_truck_that_is_late_is_named() -> None:
    """Half an hour or so is the way out, an hour and a half the round with it."""
    late = forecast(HAUL, [Truck("out", 1_000.0), Truck("out", 3_000.0)], futures=50)
    assert late.overdue == 1
    late = forecast(HAUL, [Truck("back", 3_000.0), Truck("back", 6_000.0)], futures=50)
    assert late.overdue == 1


def test_a_truck_that_nobody_saw_again() -> None:
    """By hand, all fixed: back in 3,000 s, loaded in 60 s, there in 1,500 s."""
    gone = {1_000.0: (2_000.0, AT_PLANT), 3_030.0: (1_530.0, AT_PAVER), 4_000.0: (560.0, AT_PAVER),
            9_000.0: (0.0, AT_PAVER)}  # fmt: skip
    for for_s, (when, where) in gone.items():
        start = Fleet(CERTAIN, [Truck("back", for_s)]).begin("again")
        assert start.events == [(when, 0, where)]


def test_a_truck_that_nobody_watched_for_may_wait_already() -> None:
    """One that would be there by now waits; one that would not is as far as it is."""
    for place, due_s in (("out", 1_500.0), ("back", 4_560.0)):
        for for_s in (due_s - 200.0, due_s + 200.0, 9_000.0):
            start = Fleet(CERTAIN, [Truck(place, for_s, watched=False)]).begin("unseen")
            assert start.events == [(max(0.0, due_s - for_s), 0, AT_PAVER)]
    scattered = Fleet(HAUL, [Truck("out", 1_700.0, watched=False)])
    at_once = [scattered.begin(f"half {n}").events[0][0] == 0.0 for n in range(400)]
    assert 100 < sum(at_once) < 300


def test_a_truck_that_is_not_there_yet_is_less_likely_to_be_quick() -> None:
    """Gone for a mean round: of all rounds only those count that are longer than that; the mean of
    such a sum of two log-normal legs by 200,000 draws of SciPy's."""
    haul = replace(HAUL, loading=FIXED, held_up=0.0)
    fleet = Fleet(haul, [Truck("back", 3_500.0)])
    events = [fleet.begin(f"not there {n}").events[0] for n in range(3_000)]
    assert all(where == AT_PAVER for _, _, where in events)
    draws = np.random.default_rng(2026)
    sums = sum(
        lognorm(sqrt(log1p(share**2)), scale=mean / sqrt(1 + share**2)).rvs(
            200_000, random_state=draws
        )
        for mean, share in ((1_800.0, 300 / 1_800), (1_700.0, 250 / 1_700))
    )
    expected = float(np.mean(sums[sums > 3_500.0])) - 3_500.0
    assert fsum(at for at, _, _ in events) / 3_000 == pytest.approx(expected, rel=0.06)


def test_a_slower_pace_keeps_it_moving() -> None:
    """By hand: 300 s more at this pace must last until the next is there, at 1,000 s, with 100 s
    in the hopper: 400 / 1,000, so 0.4; then all come in time."""
    trucks = [Truck("laying", 100.0), *ON_THE_WAY]
    found = steady_pace(CERTAIN, trucks, 1_900.0)
    assert found is not None
    assert found.amount == 0.4
    assert found.outlook.stops_by(1_900.0).value == 0.0
    assert steady_pace(CERTAIN, [Truck("laying", 100.0)], HOUR) is None
    kept = steady_pace(CERTAIN, [Truck("laying", 100.0)], 400.0)
    assert kept is not None
    assert kept.amount == 1.0


def test_the_pace_is_the_fastest_that_will_do() -> None:
    found = steady_pace(HAUL, TRUCKS, allowed=0.2)
    assert found is not None
    assert found.outlook.stops_by(HOUR).value <= 0.2
    share = found.amount + 0.05
    faster = replace(HAUL, laying=HAUL.laying.slowed(1 / share), spare_s=HAUL.spare_s / share)
    there = [replace(TRUCKS[0], for_s=TRUCKS[0].for_s / share), *TRUCKS[1:]]
    assert forecast(faster, there, futures=300).stops_by(HOUR).value > 0.2


def test_more_trucks_keep_it_moving() -> None:
    """By hand: a round is 60 + 300 + 400 + 300 = 1,060 s, and each load lasts 400 s: two trucks are
    too few, three enough; the third is loaded and there after 360 s, in time."""
    haul = Haul(Rhythm(60.0), Rhythm(300.0), Rhythm(400.0), Rhythm(300.0))
    found = trucks_to_add(haul, [Truck("laying"), Truck("waiting")])
    assert found is not None
    assert found.amount == 1
    assert found.outlook.stops_by(HOUR).value == 0.0
    none = trucks_to_add(haul, [Truck("laying"), Truck("waiting"), Truck("waiting")])
    assert none is not None
    assert none.amount == 0


def test_no_truck_is_soon_enough() -> None:
    haul = Haul(Rhythm(60.0), Rhythm(3_000.0), Rhythm(400.0), Rhythm(300.0))
    assert trucks_to_add(haul, [Truck("laying")]) is None


@pytest.mark.parametrize(
    ("name", "values"),
    [("ahead_s", [0.0, -1.0, 43_201.0, nan]), ("hopper_s", [-1.0, nan, inf]),
     ("futures", [49, 100_001])],
)  # fmt: skip
def test_a_forecast_refuses(name: str, values: list[float]) -> None:
    for value in values:
        with pytest.raises(OutOfRange) as refusal:
            forecast(HAUL, TRUCKS, **{name: value})  # type: ignore[arg-type]
        assert refusal.value.field == name


def test_one_truck_at_a_time_is_laying() -> None:
    with pytest.raises(Refused, match="trucks is 2; of these only one at a time can be laying"):
        forecast(HAUL, [Truck("laying"), Truck("laying")])


@pytest.mark.parametrize("name", ["exchange_s", "spare_s", "headway_s", "held_up"])
def test_a_haul_refuses(name: str) -> None:
    for value in (-0.1, nan, inf):
        with pytest.raises(OutOfRange) as refusal:
            replace(HAUL, **{name: value})  # type: ignore[arg-type]
        assert refusal.value.field == name


def test_a_truck_refuses() -> None:
    with pytest.raises(Refused, match=f"place is “home”; it must be {' or '.join(PLACES)}"):
        Truck("home")
    with pytest.raises(OutOfRange, match="for_s"):
        Truck("out", -1.0)


@pytest.mark.parametrize("remedy", [steady_pace, trucks_to_add])
def test_a_remedy_refuses(remedy: Any) -> None:
    for value in (0.0, 1.1, nan):
        with pytest.raises(OutOfRange, match="allowed"):
            remedy(HAUL, TRUCKS, allowed=value)


def test_an_outlook_refuses() -> None:
    seen = forecast(CERTAIN, ON_THE_WAY, futures=50)
    for ask, bad in ((seen.stops_by, HOUR + 1), (seen.first_stop, 0.0), (seen.stands, 0.0)):
        with pytest.raises(OutOfRange):
            ask(bad)


def test_a_road_may_be_played_from_any_start() -> None:
    """A place for every row, and each puts its truck somewhere."""
    for place in PLACES:
        start = Fleet(HAUL, [Truck(place, 100.0)]).begin("a row")
        ((at, number, where),) = start.events
        assert at >= 0.0
        assert number == 0
        assert where == (AT_PAVER if place in ("waiting", "out") else AT_PLANT)
    with pytest.raises(OutOfRange, match="until_s"):
        play(HAUL, Fleet(HAUL, []).begin("none"), "none", -1.0)
