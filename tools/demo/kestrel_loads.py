"""Kestrel: the loads of one night, and two pavers side by side."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, datetime, timedelta, timezone
from typing import Final

from tools.demo.dice import Dice
from tools.demo.paving import Line, Load, give_trucks, space_out
from tools.demo.plans import tares

FOOT: Final = 0.3048
SUMMER, WINTER = timezone(timedelta(hours=-4)), timezone(timedelta(hours=-5))
CLOCKS_BACK: Final = datetime(2026, 11, 1, 6, tzinfo=UTC)
"""02:00 by the summer clock, which then shows 01:00 for the second time."""

AWAY: Final = timedelta(minutes=28)
REWEIGHED: Final = (0, 3, -2, 1, -1, 4, 2)
LEVELING: Final = 0.085 * 100
SURFACE: Final = 220 * 12 / 9 / 2000 * 100
"""Hundredths of a ton that the plan has for a foot of one lane."""

TAGS: Final = {
    # what the story knows a load by -> the first load on that paver begun from then on
    "overweight": ("P1", "22:45"),
    "handwritten": ("P2", "23:08"),
    "written later": ("P1", "23:46"),
    "back-dated": ("P2", "00:30"),
    "reprinted": ("P1", "01:20"),
    "split": ("P2", "02:15"),
}
NETS: Final = {"overweight": 2226, "split": 2040}
SPLIT: Final = (1200, 250, 590)
"""Of the split load: into lane 2, the driveway, and the rest into lane 1."""
LAST_AT: Final = "03:08"
"""When paver 1 takes no more."""
STANDS_AT, STANDS_MIN = "01:36 again", 14
"""Paver 2 waits for mix."""
RAMPS: Final = 44
"""Hundredths of a ton of the last load that make the ramps of both lanes."""


def night(hour: str) -> datetime:
    """A moment of the night: 01:30 is the first one, 01:30 again the second."""
    bare, _, again = hour.partition(" ")
    evening = bare >= "12:00"
    zone = WINTER if again or (not evening and bare >= "02:00") else SUMMER
    day = "2026-10-31" if evening else "2026-11-01"
    return datetime.fromisoformat(f"{day}T{bare}").replace(tzinfo=zone)


def local(at: datetime) -> datetime:
    """A moment as the clocks on site show it."""
    return at.astimezone(SUMMER if at < CLOCKS_BACK else WINTER)


class Lines:
    """Both pavers, on the leveling course first and then, from the start again, on the surface."""

    def __init__(self) -> None:
        start_m = 11200 * FOOT
        self.leveling = {
            "P1": Line(night("20:34"), start_m),
            "P2": Line(night("20:43"), start_m),
        }
        self.surface = {
            "P1": Line(night("22:16"), start_m),
            "P2": Line(night("22:24"), start_m),
        }


def whole_night() -> tuple[list[Load], Lines]:
    """The loads in the order in which they were loaded, and the pavers' lines."""
    dice, lines = Dice("kestrel/night"), Lines()
    loads = [*_leveling(lines.leveling, dice), *_surface(lines.surface, dice)]
    loads.sort(key=lambda load: load.loaded)
    space_out(loads, timedelta(minutes=2))
    loads.append(_void(loads))
    loads.sort(key=lambda load: load.loaded)
    taken = [load for load in loads if load.decision == "taken"]
    give_trucks(taken, tares("kestrel"), AWAY, REWEIGHED)
    _number(loads, dice)
    _measure(loads, dice)
    return loads, lines


def _leveling(lines: Mapping[str, Line], dice: Dice) -> Iterator[Load]:
    """Five loads in each lane end the leveling course where the milling begins."""
    end_m = 12400 * FOOT
    for _ in range(10):
        paver, line = min(lines.items(), key=lambda item: item[1].at)
        left_ft = (end_m - line.station_m) / FOOT
        net = round(dice.near(2040, 25))
        length_ft = net / LEVELING / dice.near(1, 0.012)
        if left_ft < 1.4 * length_ft:
            length_ft, net = left_ft, round(left_ft * LEVELING * dice.near(1, 0.01))
        yield _load(paver, line, dice, net, length_ft, 19.5, "leveling", "l4")


def _surface(lines: Mapping[str, Line], dice: Dice) -> Iterator[Load]:
    """Both pavers in turn; paver 2, which follows, ends where paver 1 ended."""
    waiting = {tag: (paver, night(hour)) for tag, (paver, hour) in TAGS.items()}
    working, stood = dict(lines), False
    while working:
        paver, line = min(working.items(), key=lambda item: item[1].at)
        if paver == "P1" and line.at >= night(LAST_AT):
            del working["P1"]
            continue
        wait = paver == "P2" and not stood and line.at >= night(STANDS_AT)
        if wait:
            line.stand(STANDS_MIN)
            stood = True
        due = (tag for tag, (on, at) in waiting.items() if on == paver and line.at >= at)
        tag = next(due, "")
        waiting.pop(tag, None)
        rate = SURFACE * dice.near(1.004, 0.012)
        net = NETS.get(tag, round(dice.near(2035, 45)))
        left_ft = (lines["P1"].station_m - line.station_m) / FOOT
        if "P1" not in working and left_ft * rate + RAMPS < net:
            net, tag = round(left_ft * rate) + RAMPS, "last"
            del working["P2"]
        elsewhere = {"split": SPLIT[1] + SPLIT[2], "last": RAMPS}.get(tag, 0)
        load = _load(paver, line, dice, net, (net - elsewhere) / rate, 11.4, "surface", "s9")
        load.tag, load.elsewhere = tag, elsewhere
        if wait:
            load.arrived = line.track[-3][0] - timedelta(minutes=1)
            load.loaded = load.arrived - timedelta(minutes=23)
        if tag == "split":
            _rest(load, lines["P1"], rate)
        yield load


def _rest(load: Load, line: Line, rate: float) -> None:
    """The rest of the split load goes to the other paver."""
    line.stand(max(0.0, (load.at - line.at).total_seconds() / 60 + 1))
    load.rest_from_m = line.station_m
    line.lay(SPLIT[2] / rate * FOOT, 11.4 * FOOT)
    load.rest_to_m, load.rest_at = line.station_m, line.at
    line.stand(0.5)


def _load(
    paver: str,
    line: Line,
    dice: Dice,
    net: int,
    length_ft: float,
    pace_ft_min: float,
    lift: str,
    mix: str,
) -> Load:
    arrived = line.at - timedelta(minutes=dice.between(2, 9))
    from_m = line.station_m
    line.lay(length_ft * FOOT, dice.near(pace_ft_min, 0.8) * FOOT)
    emptied, to_m = line.at, line.station_m
    line.stand(dice.between(0.4, 0.8))
    return Load(
        loaded=arrived - timedelta(minutes=dice.between(19, 25)),
        arrived=arrived,
        at=emptied,
        net=net,
        from_m=from_m,
        to_m=to_m,
        lane=paver[-1],
        paver=paver,
        lift=lift,
        mix=mix,
    )


def _void(loads: Sequence[Load]) -> Load:
    """A ticket printed twice for one truck: the first printing was voided at the plant."""
    good = next(load for load in loads if load.at >= night("21:20"))
    good.tag = "after void"
    return Load(
        loaded=good.loaded - timedelta(minutes=1),
        arrived=good.arrived,
        at=good.at,
        net=good.net,
        lane=good.lane,
        paver=good.paver,
        lift=good.lift,
        mix=good.mix,
        decision="void",
        state="VOID",
        tag="void",
    )


def _number(loads: Sequence[Load], dice: Dice) -> None:
    """One series for the whole plant: what is left out went to other customers."""
    number = 88214
    for load in loads:
        load.ticket = str(number)
        number += 1 if load.tag == "void" else dice.pick((1, 1, 1, 2, 2, 3, 4))
        if load.tag == "void":
            good = next(one for one in loads if one.tag == "after void")
            load.truck, load.tare = good.truck, good.tare


def _measure(loads: Sequence[Load], dice: Dice) -> None:
    """Which loads are probed: the first five, then one in five, and any that look odd."""
    taken = sorted((load for load in loads if load.decision == "taken"), key=lambda load: load.at)
    for place, load in enumerate(taken):
        if place < 5 or place % 5 == 4 or load.tag in ("back-dated", "handwritten"):
            load.temp = round(dice.near(298, 11))
