"""Harrow: what is measured along the mat, on either day."""

from collections.abc import Callable, Iterator, Sequence
from datetime import datetime, timedelta
from math import inf
from typing import Final, TypeVar

from tools.demo.harrow_loads import WIDTH_M
from tools.demo.harrow_site import Day, at_paver, lane, station, stretch

T = TypeVar("T")
LOOSE_MM: Final = 75.0
"""60 mm compacted and a fifth lost in rolling: common practice, no published source."""
PLANNED: Final = 141.0
WATER_KG_M3: Final = 997.1
MAXIMUM_GRAVITY: Final = 2.524
BEHIND: Final = timedelta(seconds=70)
"""From the screed's passing to the reading behind it."""


def along(day: Day, first_m: float, step_m: float, reach_m: float = 6.0) -> Iterator[float]:
    """Places about a step apart, up to where the paver came."""
    at_m = first_m
    while at_m < day.line.station_m - 8:
        yield at_m
        at_m += day.dice.near(step_m, reach_m)


def spread_at(day: Day, at_m: float) -> float:
    """What the screed left there, kg/m2: mass of the load over its area."""
    for load in day.loads:
        if load.decision == "taken" and load.from_m <= at_m <= load.to_m:
            return (load.net - load.elsewhere) * 10 / ((load.to_m - load.from_m) * WIDTH_M)
    return PLANNED


def depths(
    day: Day,
    first_m: float,
    step_m: float = 41,
    off_mm: Callable[[float], float] = lambda at_m: 0.0,
    lowered_m: float = inf,
) -> None:
    """Loose depth by rod, every 40 m or so; it follows what the screed leaves.

    Args:
        day: The day.
        first_m: Where the first is read.
        step_m: How far apart.
        off_mm: How much the screed is off at a station.
        lowered_m: The first reading from here on is followed by setting the screed down.
    """
    lowered = False
    for at_m in along(day, first_m, step_m):
        mean = LOOSE_MM * spread_at(day, at_m) / PLANNED + off_mm(at_m)
        down = not lowered and at_m >= lowered_m
        lowered = lowered or down
        adjusted = "down" if down else "no"
        body = {"depth": f"{round(day.dice.near(mean, 2.6))} mm", "adjusted": adjusted}
        place = at_paver(at_m, offset=day.dice.pick(("0.9 m", "1.8 m", "2.7 m")))
        at = day.line.when(at_m) + BEHIND
        day.notes.write("bo", "loose-depth", body, at, place=place, instrument="rod-3")


def slopes(day: Day, first_m: float, steep: dict[int, int], step_m: float = 186) -> dict[int, str]:
    """Cross slope by board, every 190 m; `steep` gives the reading of the nth in mm."""
    ids = {}
    for place, at_m in enumerate(along(day, first_m, step_m)):
        reading = steep.get(place, round(day.dice.near(30, 3.4)))
        body = {"reading": f"{reading} mm", "board": "1.20 m", "planned": "2.5 %"}
        at = day.line.when(at_m) + BEHIND * 3
        ids[place] = day.notes.write(
            "bo", "slope", body, at, place=at_paver(at_m, offset="1.8 m"), instrument="board-1"
        )
    return ids


def widths(day: Day, first_m: float, step_m: float, wide: int = -1) -> None:
    """Width by tape; the one numbered `wide` is wider than planned."""
    for place, at_m in enumerate(along(day, first_m, step_m)):
        width, note = day.dice.near(3.655, 0.02), {}
        if place == wide:
            width = 3.74
            note = {"note": "Screed extension out at the layby; pulled in within 10 m."}
        body = {"width": f"{width:.2f} m", **note}
        day.notes.write("bo", "width", body, day.line.when(at_m) + BEHIND * 2, place=at_paver(at_m))


def laydown(day: Day, first_m: float, step_m: float) -> None:
    """Temperature behind the screed by probe; by infrared too, which sees the skin alone."""
    for place, at_m in enumerate(along(day, first_m, step_m)):
        temp = round(day.dice.near(140, 6))
        at, where = day.line.when(at_m) + BEHIND, at_paver(at_m, offset="1.8 m")
        body = {"stage": "laydown", "temp": f"{temp} degC", "how": "probe", "depth": "40 mm"}
        day.notes.write(
            "bo", "temperature", {**body, "settled": "yes"}, at, place=where, instrument="probe-7"
        )
        if place % 3 == 0:
            skin = {"stage": "laydown", "temp": f"{temp - day.dice.whole(6, 13)} degC"}
            skin |= {"how": "infrared", "water": "none"}
            day.notes.write("bo", "temperature", skin, at, place=where, instrument="ir-2")


def rolled(day: Day, first_m: float, step_m: float) -> None:
    """Temperature at the end of finish rolling, and the density by gauge there."""
    for place, at_m in enumerate(along(day, first_m, step_m)):
        at = day.line.when(at_m) + timedelta(minutes=day.dice.between(16, 19))
        temp = round(day.dice.near(96, 4))
        if place % 2 == 0:
            body = {"stage": "finish", "temp": f"{temp} degC", "how": "probe", "settled": "yes"}
            where = lane(at_m, offset="1.8 m")
            day.notes.write("bo", "temperature", body, at, place=where, instrument="probe-7")
        _density(day, at_m, at + timedelta(minutes=6), temp - 6)


def _density(day: Day, at_m: float, at: datetime, temp: int) -> None:
    first, other = (day.dice.near(93.6, 1.2) for _ in range(2))
    shares = [first / 100, (first + 0.3 * (other - 93.6)) / 100]  # one place, the gauge turned
    readings = [round(share * MAXIMUM_GRAVITY * WATER_KG_M3) for share in shares]
    mean = (readings[0] + readings[1]) / 2
    body = {
        "density": f"{mean:.1f} kg/m3",
        "percent": f"{100 * mean / (MAXIMUM_GRAVITY * WATER_KG_M3):.1f} %",
        "basis": "maximum",
        "reference": "maximum gravity 2.524 of design MD-16-03, water 997.1 kg/m3",
        "method": "gauge",
        "purpose": "process",
        "readings": [f"{reading} kg/m3" for reading in readings],
        "passes": day.dice.whole(8, 10),
        "temp": f"{temp} degC",
    }
    where = lane(at_m, offset=day.dice.pick(("0.8 m", "1.8 m", "2.9 m")))
    day.notes.write("bo", "density", body, at, place=where, instrument="gauge-5")


def passes(day: Day, hours: Sequence[T], moment: Callable[[T], datetime]) -> None:
    """What each roller did, where, and how fast."""
    phases = (
        ("R1", "breakdown", "vibratory", 4, 4.6, 122, 20),
        ("R2", "intermediate", "pneumatic", 6, 5.4, 105, 65),
        ("R3", "finish", "static", 2, 4.2, 91, 150),
    )
    for hour in hours:
        for minutes, (roller, phase, mode, count, speed, temp, behind_m) in enumerate(phases):
            at = moment(hour) + timedelta(minutes=2 * minutes)
            to_m = day.line.where(at) - behind_m
            body = {
                "roller": roller,
                "event": "rolling",
                "phase": phase,
                "mode": mode,
                "passes": count,
                "speed": f"{day.dice.near(speed, 0.5):.1f} km/h",
                "temp": f"{round(day.dice.near(temp, 4))} degC",
            }
            if mode == "vibratory":
                body |= {"frequency": "50 Hz", "overlap": "200 mm"}
            where = stretch(station(max(to_m - 45, 2150)), station(to_m))
            day.notes.write("bo", "roller", body, at, place=where, instrument="ir-2")


def seams(day: Day, first_m: float, step_m: float) -> None:
    """The new mat's lap over the existing shoulder's edge."""
    for at_m in along(day, first_m, step_m):
        lap, height = round(day.dice.near(30, 9)), round(day.dice.near(14, 3))
        body = {"overlap": f"{lap} mm", "height": f"{height} mm"}
        day.notes.write("bo", "overlap", body, day.line.when(at_m) + BEHIND, place=at_paver(at_m))


def stations(day: Day, every_min: float, since: datetime | None = None) -> None:
    """The paver in passing, with its pace over the last few metres; from its start if not said."""
    at = (since or day.line.track[0][0]) + timedelta(minutes=every_min)
    while at < day.line.at - timedelta(minutes=5):
        before, here = day.line.where(at - timedelta(minutes=2)), day.line.where(at)
        moving = here - before > 12
        if moving:
            body = {"event": "at", "pace": f"{(here - before) / 2:.1f} m/min"}
            day.notes.write("ines", "paver", body, at, place=at_paver(here))
        at += timedelta(minutes=every_min if moving else 2)
