"""The haul's coming hour, against SimPy on the same model and draws; and a profile's roughness.

The hour: twelve trucks on a two-lane road, 2,000 futures, as `haul.forecast` plays them; SimPy
plays the same futures with trucks as processes and plant and paver as resources, and must find the
same stops. Then what a forecast costs that is renewed after each load, with fewer futures. The
roughness of 10 km at 25 mm is beside SciPy's recursive filter of the same car, compiled code. All
are processor time, the shortest of a few runs.
"""

import random
import time
from collections.abc import Callable, Generator, Iterator
from math import fsum, inf
from typing import Any

import numpy as np
import simpy
from scipy.signal import dlsim, dlti
from simpy.resources.resource import Request

from bench.row import Row
from matbook.engine.fleet import Fleet
from matbook.engine.haul import Haul, Rhythm, Truck, forecast
from matbook.engine.hauling import AT_PAVER, Future, Road, Start
from matbook.engine.likely import stream
from matbook.engine.smoothness import iri, quarter_car

HAUL = Haul(
    loading=Rhythm(300.0, 60.0),
    out=Rhythm(1800.0, 300.0),
    laying=Rhythm(400.0, 80.0),
    back=Rhythm(1700.0, 250.0),
    exchange_s=60.0,
    spare_s=120.0,
    headway_s=20.0,
    held_up=0.6,
)
TRUCKS = [
    Truck("laying", 100.0),
    Truck("waiting", 30.0),
    *(Truck("out", 200.0 + 300.0 * n) for n in range(4)),
    *(Truck("back", 100.0 + 350.0 * n) for n in range(5)),
    Truck("plant"),
]
HOUR_S = 3600.0
SPACING_M = 0.025
Steps = Generator[simpy.Event, Any, None]


def rows(quick: bool) -> Iterator[Row]:
    """The hour, the hour with fewer futures, the roughness; a quick run has less of each."""
    futures, runs, metres = (200, 2, 500) if quick else (2_000, 7, 10_000)
    ours = forecast(HAUL, TRUCKS, HOUR_S, futures=futures).futures
    theirs = by_simpy(futures)
    if [len(one.stops) for one in ours] != [len(one.stops) for one in theirs]:
        raise SystemExit("SimPy finds other stops: the two models differ")
    spent = shortest(lambda: forecast(HAUL, TRUCKS, HOUR_S, futures=futures), runs)
    reference = shortest(lambda: by_simpy(futures), 2)
    note = f"aim under 1000 ms and at least 6 times faster; {futures} futures by SimPy, same draws"
    yield Row("the haul's coming hour, ms", 1e3 * spent, 1e3 * reference, spent / reference, note)
    fewer = shortest(lambda: forecast(HAUL, TRUCKS, HOUR_S, futures=300), runs)
    chance = forecast(HAUL, TRUCKS, HOUR_S, futures=300).stops_by(HOUR_S)
    note = (
        f"aim under 100 ms; all of them; the chance is then {chance.least:.2f} to {chance.most:.2f}"
    )
    yield Row("the same by 300 futures, ms", 1e3 * fewer, 1e3 * spent, fewer / spent, note)
    profile = road(metres)
    spent = shortest(lambda: iri(profile, SPACING_M), runs)
    reference = shortest(lambda: by_scipy(profile), 2)
    note = f"aim under 2000 ms; SciPy's dlsim on the same car; {metres} m"
    yield Row("roughness at 25 mm, ms", 1e3 * spent, 1e3 * reference, spent / reference, note)


def shortest(work: Callable[[], object], runs: int) -> float:
    """Processor time of a work [s], the shortest of a few runs."""
    times = []
    for _ in range(runs):
        begun = time.process_time()
        work()
        times.append(time.process_time() - begun)
    return min(times)


def by_simpy(futures: int) -> list[Future]:
    """The same futures, played by SimPy."""
    fleet = Fleet(HAUL, TRUCKS)
    names = [f" {number}" for number in range(futures)]
    return [Played(HAUL, fleet.begin(name), name).until(HOUR_S) for name in names]


class Lane:
    """A road in one direction: the trucks on it, in the order in which they left."""

    def __init__(self, env: simpy.Environment, road: Road) -> None:
        self.env, self.road = env, road
        self.on_it: list[simpy.Event] = []
        self.last_s = -inf
        if road.last_s > 0.0:
            env.process(self.arriving(road.last_s))

    def arriving(self, at_s: float) -> Steps:
        """The last of the trucks that were on the road before."""
        self.on_it.append(arrived := self.env.event())
        yield self.env.timeout(at_s - self.env.now)
        self.arrive(arrived)

    def drive(self) -> Steps:
        """A truck drives; one that can't pass waits until all that left before have arrived."""
        before, ahead = self.last_s, list(self.on_it)
        self.on_it.append(arrived := self.env.event())
        held = self.road.share and next(self.road.held) < self.road.share
        yield self.env.timeout(self.road.times[next(self.road.which)])
        if held:
            for leader in ahead:
                before = max(before, (yield leader))
            yield self.env.timeout(max(0.0, before + self.road.headway_s - self.env.now))
        self.arrive(arrived)

    def arrive(self, arrived: simpy.Event) -> None:
        self.last_s = self.env.now
        self.on_it.remove(arrived)
        arrived.succeed(self.env.now)


class Played:
    """One future as processes and resources."""

    def __init__(self, haul: Haul, start: Start, name: str) -> None:
        self.haul, self.env = haul, simpy.Environment()
        self.plant, self.dock = simpy.Resource(self.env), simpy.Resource(self.env)
        self.loading, self.laying = haul.loading.likely, haul.laying.likely
        self.which_loading = stream(f"{name} loading")
        self.which_laying = stream(f"{name} laying")
        self.out, self.back = Lane(self.env, start.out), Lane(self.env, start.back)
        self.empty = start.empty_s
        self.stops: list[tuple[float, float]] = []
        self.since: list[float] = []
        self.loads, self.waited, self.most = 0, 0.0, 0
        self.env.process(self.occupied(self.dock.request(), start.free_s))
        for at, _, where in sorted(start.events):
            self.env.process(self.truck(at, where))

    def occupied(self, request: Request, for_s: float) -> Steps:
        yield self.env.timeout(for_s)
        self.dock.release(request)

    def truck(self, at: float, where: int) -> Steps:
        yield self.env.timeout(at)
        while True:
            if where == AT_PAVER:
                yield from self.lay()
                yield from self.back.drive()
            with self.plant.request() as turn:
                yield turn
                yield self.env.timeout(self.loading[next(self.which_loading)])
            yield from self.out.drive()
            where = AT_PAVER

    def lay(self) -> Steps:
        """Wait for the dock; lay; leave when the rest of the load fits in the hopper."""
        arrived = self.env.now
        request = self.dock.request()
        self.since.append(arrived)
        yield self.env.timeout(0.0)  # a dock that is free is had at once
        if not request.triggered:
            self.most = max(self.most, len(self.since))
        yield request
        docked = self.env.now
        self.since.remove(arrived)
        self.waited += docked - arrived
        self.loads += 1
        if docked > self.empty:
            self.stops.append((self.empty, docked))
            self.empty = docked
        self.empty += self.laying[next(self.which_laying)]
        yield self.env.timeout(max(0.0, self.empty - self.haul.spare_s - docked))
        self.env.process(self.occupied(request, self.haul.exchange_s))

    def until(self, until_s: float) -> Future:
        """Play it, and close what is open at the end."""
        self.env.run(until=until_s)
        if self.empty < until_s:
            self.stops.append((self.empty, until_s))
        self.waited += fsum(until_s - arrived for arrived in self.since)
        return Future(self.stops, self.loads, self.waited, self.most)


def road(metres: int) -> list[float]:
    """An invented profile: a random walk of heights [m]."""
    draw = random.Random(2026)
    heights = [0.0]
    for _ in range(round(metres / SPACING_M)):
        heights.append(heights[-1] + draw.gauss(0.0, 3e-4))
    return heights


def by_scipy(profile: list[float]) -> float:
    """The index by SciPy: the same car as a discrete system."""
    base = round(0.25 / SPACING_M)
    heights = np.array(profile)
    slopes = (heights[base:] - heights[:-base]) / (base * SPACING_M)
    transition, entering = quarter_car(SPACING_M)
    settling = round(11.0 / SPACING_M)
    slope = (profile[settling] - profile[0]) / (settling * SPACING_M)
    system = dlti(np.array(transition), np.array(entering)[:, None], np.eye(4), np.zeros((4, 1)))
    states = dlsim(system, np.append(slopes, 0.0), x0=[slope, 0.0, slope, 0.0])[2]
    return 1000.0 * float(np.mean(np.abs(states[1:, 2] - states[1:, 0])))
