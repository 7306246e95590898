"""Harrow: the loads of two days, as they left the plant and reached the paver."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta, timezone
from typing import Final

from tools.demo.dice import Dice
from tools.demo.paving import Line, Load, give_trucks, space_out
from tools.demo.plans import tares

ZONE: Final = timezone(timedelta(hours=-3))
WIDTH_M: Final = 3.65
TARES: Final = tares("harrow")
REWEIGHED: Final = (0, 4, -2, 2, 0, 6, 2, -4)
AWAY: Final = timedelta(minutes=29)
BETWEEN: Final = timedelta(minutes=2)

START_M: Final = 2150.0
SPREAD: Final = (
    # until, kg/m2 that the screed really leaves
    ("10:18", 141.6),
    ("10:54", 148.6),
    ("13:00", 141.2),
    ("23:00", 139.3),
)
TAGS: Final = {
    # what the story knows a load by -> the first load begun from then on
    "first": "06:50",
    "driveway": "09:32",
    "overweight": "09:55",
    "wrong station": "10:03",
    "over": "10:40",
    "breakdown": "11:49",
    "repeated": "12:26",
    "field access": "12:57",
    "back too soon": "14:23",
    "differs": "15:38",
    "last": "17:01",
}
ELSEWHERE: Final = {"driveway": 110, "breakdown": 80, "field access": 140}
"""Hundredths of a tonne of these loads that went to an area, or to waste."""
NETS: Final = {"overweight": 2434, "back too soon": 2242}
LAST_RETURNED, RAMP = 892, 30
COLD_TRUCK: Final = "31"
"""Turned away at 14:08 and back, from a silo nearby, within the half hour."""
MISSING: Final = 1095
"""A ticket number that nobody has."""
FIRST_TICKET: Final = 1001
LANE_ENDS_M: Final = 8900.0
LATER_TAGS: Final = {"overweight": "08:08"}
"""As TAGS, of the second day after its first hour."""
STANDS: Final = (("07:54", 6), ("09:12", 12))
"""From when the paver stands on the second day, and for how many minutes."""


def day_one(hour: str) -> datetime:
    """A moment of the first day."""
    return datetime.fromisoformat(f"2026-06-16T{hour}").replace(tzinfo=ZONE)


def day_two(hour: str) -> datetime:
    """A moment of the second day."""
    return day_one(hour) + timedelta(days=1)


def first_day() -> tuple[list[Load], Line]:
    """The loads of the first day in the order in which they were loaded, and the paver's line."""
    dice = Dice("harrow/first day")
    line = Line(day_one("06:52"), START_M)
    loads = [*_laid(line, dice), *_turned_away(dice)]
    for load in loads:
        if load.tag == "cold again":
            load.truck, load.away = COLD_TRUCK, timedelta(minutes=6)
        if load.tag == "back too soon":
            load.truck = COLD_TRUCK
            load.loaded, load.arrived = day_one("14:15"), day_one("14:22")
    loads.sort(key=lambda load: load.loaded)
    space_out(loads, BETWEEN)
    give_trucks(loads, TARES, AWAY, REWEIGHED)
    _number(loads)
    _measure(loads, dice)
    return loads, line


def next_morning(last: int, from_m: float) -> tuple[list[Load], Line]:
    """The ten loads of the second day's first hour."""
    dice = Dice("harrow/next morning")
    line = Line(day_two("06:48"), from_m)
    loads = [_load(line, dice, "", 139.4) for _ in range(10)]
    loads.sort(key=lambda load: load.loaded)
    space_out(loads, BETWEEN)
    give_trucks(loads, TARES, AWAY, REWEIGHED)
    for number, load in enumerate(loads, last + 1):
        load.ticket = str(number)
    _measure(loads, dice)
    return loads, line


def rest_of_the_day(ten: Sequence[Load], line: Line) -> list[Load]:
    """The second day's loads after its first ten, up to the end of the lane; takes the line on."""
    dice = Dice("harrow/rest of the day")
    waiting = dict(LATER_TAGS)
    stands = [(day_two(hour), minutes) for hour, minutes in STANDS]
    loads = [_cold_this_morning(dice)]
    while line.station_m < LANE_ENDS_M - 55:
        fresh = bool(stands) and line.at >= stands[0][0]
        if fresh:
            line.stand(stands.pop(0)[1])
        tag = next((tag for tag, hour in waiting.items() if line.at >= day_two(hour)), "")
        waiting.pop(tag, None)
        loads.append(_load(line, dice, tag, 139.8, fresh=fresh))
    loads.sort(key=lambda load: load.loaded)
    space_out([*ten, *loads], BETWEEN)
    give_trucks([*ten, *loads], TARES, AWAY, REWEIGHED)
    for number, load in enumerate(loads, max(int(load.ticket) for load in ten) + 1):
        load.ticket = str(number)
    taken = sorted((load for load in loads if load.decision == "taken"), key=lambda load: load.at)
    for place, load in enumerate(taken):
        if place % 3 != 1 or load.tag:
            load.temp = round(dice.near(150, 7))
    return loads


def _cold_this_morning(dice: Dice) -> Load:
    away = day_two("08:24")
    return Load(
        loaded=day_two("06:58"),
        arrived=away - timedelta(minutes=3),
        at=away,
        net=2 * round(50 * dice.near(22.15, 0.75)),
        mix="ac16",
        decision="turned away",
        state="Returned",
        temp=112,
        tag="cold this morning",
    )


def _laid(line: Line, dice: Dice) -> Iterator[Load]:
    """The loads that the paver took, one after the other."""
    waiting = dict(TAGS)
    waited = False
    while "last" in waiting:
        if not waited and line.at >= day_one("09:05"):
            line.stand(7)
            waited = True
        tag = next((tag for tag, hour in waiting.items() if line.at >= day_one(hour)), "")
        waiting.pop(tag, None)
        yield _load(line, dice, tag, _spread(line.at), fresh=waited and line.at < day_one("09:14"))


def _load(line: Line, dice: Dice, tag: str, spread: float, *, fresh: bool = False) -> Load:
    """One load laid; `fresh` where the paver had to wait for it."""
    net = NETS.get(tag, 2 * round(50 * dice.near(22.15, 0.75)))
    begun, from_m = line.at, line.station_m
    arrived = begun - timedelta(minutes=1 if fresh else dice.between(3, 10))
    elsewhere = LAST_RETURNED + RAMP if tag == "last" else ELSEWHERE.get(tag, 0)
    length_m = (net - elsewhere) * 10 / (spread * dice.near(1, 0.012) * WIDTH_M)
    pace = dice.near(8.5, 0.7)
    if tag == "breakdown":
        line.lay(length_m * 0.4, pace)
        line.stand(12)
        line.lay(length_m * 0.6, pace)
    else:
        line.lay(length_m, pace)
    emptied, to_m = line.at, line.station_m
    line.stand(dice.between(0.3, 0.5))
    return Load(
        loaded=arrived - timedelta(minutes=dice.between(28, 35)),
        arrived=arrived,
        at=emptied,
        net=net,
        elsewhere=elsewhere,
        from_m=from_m,
        to_m=to_m,
        mix="ac16",
        tag=tag,
    )


def _spread(at: datetime) -> float:
    return next(spread for until, spread in SPREAD if at < day_one(until))


def _turned_away(dice: Dice) -> Iterator[Load]:
    """Two cold loads, one of the wrong mix, and the second cold truck back after 23 minutes."""
    for tag, loaded, at, net, mix, temp in (
        ("cold", "07:06", "08:46", 2226, "ac16", 111),
        ("wrong mix", "10:57", "11:31", 2204, "ac11", 158),
        ("cold again", "12:52", "14:08", 2248, "ac16", 113),
    ):
        sent_away = day_one(at)
        yield Load(
            loaded=day_one(loaded),
            arrived=sent_away - timedelta(minutes=dice.between(2, 4)),
            at=sent_away,
            net=net,
            mix=mix,
            decision="turned away",
            state="Returned",
            temp=temp,
            tag=tag,
        )


def _number(loads: Sequence[Load]) -> None:
    """Tickets in the order of loading: one number missing, and one printed twice."""
    number = FIRST_TICKET
    for load in loads:
        if number == MISSING:
            number += 1
        if load.tag == "repeated":
            number -= 1
        load.ticket = str(number)
        number += 1


def _measure(loads: Sequence[Load], dice: Dice) -> None:
    """Which loads the inspector probes: the first five, one in five, one in three while damp."""
    taken = sorted((load for load in loads if load.decision == "taken"), key=lambda load: load.at)
    for place, load in enumerate(taken):
        every = 3 if day_one("13:30") <= load.at <= day_one("14:30") else 5
        odd = load.tag in ("breakdown", "back too soon")
        if place < 5 or place % every == every - 1 or odd:
            load.temp = round(dice.near(151, 8))
        if load.tag == "back too soon":
            load.temp = 124
