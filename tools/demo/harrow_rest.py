"""Harrow, the rest of the second day: up to the end of the lane, for the replay as of today.

Denser than the first day, so that whoever looks on sees something new twice a minute.
"""

from datetime import datetime, timedelta
from math import exp
from typing import Final

from tools.demo import harrow_readings as readings
from tools.demo.harrow_loads import day_two, rest_of_the_day
from tools.demo.harrow_site import Day, at_paver, lane, station, stretch, tonnes

STEEP: Final = 4
"""Which reading of the cross slope is beyond its limit; nobody has told anybody yet."""
ROLLED_FROM_M: Final = 7185.0
"""The first place whose rolling ends after the first hour."""

DRIFTS_FROM_M: Final = 8060.0
LOWERED_M: Final = 8190.0
"""Between the two the screed creeps up; there somebody sets it down again."""
CREEP: Final = 0.042
"""How much, mm on a metre."""
TOW_ARM_M: Final = 2.6
GAPS: Final = (2, 1, 3, 2, 6, 2, 1, 2, 3, 1, 2, 2, 1, 3, 2, 2, 1, 2, 2, 3)
"""Gaps under the straightedge, mm, 10 m apart; the fifth lies where the paver stood."""
SURVEYED: Final = day_two("07:30")


def write(morning: Day) -> None:
    """Loads, readings and what went wrong; every entry is written after the morning's last."""
    line, from_m, since = morning.line, morning.line.station_m, morning.line.at
    day = Day(
        morning.notes, morning.shift, rest_of_the_day(morning.loads, line), line, "harrow/rest"
    )
    day.write_loads()
    day.loads = [*morning.loads, *day.loads]
    _paver(day, since)
    readings.depths(day, from_m + 6, 16, _screed_off_mm, LOWERED_M)
    readings.slopes(day, from_m + 20, {STEEP: 38}, 74)
    readings.widths(day, from_m + 30, 190)
    readings.laydown(day, from_m + 14, 36)
    readings.rolled(day, ROLLED_FROM_M, 50)
    rolling = (since + timedelta(minutes=6 + 5 * place) for place in range(300))
    readings.passes(day, [at for at in rolling if at < line.at], lambda at: at)
    readings.seams(day, from_m + 10, 150)
    _straightedge(day)
    _tack(day)
    _told(day)
    _weather(day)


def _screed_off_mm(at_m: float) -> float:
    """The screed creeps up, and goes down over some lengths of its tow arm."""
    if at_m <= DRIFTS_FROM_M:
        return 0.0
    crept = CREEP * (min(at_m, LOWERED_M) - DRIFTS_FROM_M)
    return crept * exp(-max(0.0, at_m - LOWERED_M) / TOW_ARM_M)


def _straightedge(day: Day) -> None:
    """A survey along the wheel path over the place where the paver stood first."""
    stood_m = day.line.where(next(begin for begin, _ in day.line.stood() if begin > SURVEYED))
    at = day_two("11:31")
    for place, gap in enumerate(GAPS):
        body = {"length": "3.00 m", "gap": f"{gap} mm", "along": "along"}
        where = lane(stood_m + 10.0 * (place - 4), offset="0.9 m")
        day.notes.write("bo", "straightedge", body, at, place=where, instrument="edge-3")
        at += timedelta(seconds=50)


def _tack(day: Day) -> None:
    """A stretch that trucks had tracked, sprayed again with less than is asked."""
    body = {"product": "Cationic emulsion, slow setting", "temp": "52 degC", "look": "streaked"}
    body |= {"before": "3820 L", "after": "3735 L"}
    where = stretch("8+640", "8+760")
    day.notes.write("bo", "tack", body, day_two("09:40"), place=where)


def _paver(day: Day, since: datetime) -> None:
    readings.stations(day, 7, since)
    said = (
        ("waiting for mix", "Two trucks held up at the level crossing."),
        ("breakdown", "Screed heater out; plug dried and put back."),
    )
    stood = [(begin, end) for begin, end in day.line.stood() if begin > since]
    for (begin, end), (reason, note) in zip(stood, said, strict=True):
        where = at_paver(day.line.where(begin))
        body = {"event": "stop", "reason": reason, "note": note}
        day.notes.write("ines", "paver", body, begin, place=where)
        day.notes.write("ines", "paver", {"event": "start"}, end, place=where)
    ended = day.line.at + timedelta(minutes=1)
    end_m = day.line.station_m
    day.notes.write("ines", "paver", {"event": "end"}, ended, place=at_paver(end_m))
    face = {"step": "face", "held": "done", "depth": "60 mm"}
    later = ended + timedelta(minutes=7)
    day.notes.write("ines", "joint-transverse", face, later, place=lane(end_m))


def _told(day: Day) -> None:
    cold = day.tagged("cold this morning")
    told = day.notice(
        cold.at + timedelta(seconds=100),
        ("rika", "dale"),
        "radio",
        f"Load of truck {cold.truck}: 112 °C on delivery; at least 115 °C (4.3). Turned away. "
        "Asked: what becomes of it.",
        about=[cold.id],
        call=f"load.temperature:{cold.id}",
    )
    answer = "On the recycling heap. The scale works again; no truck waits there now."
    day.reply("rika", cold.at + timedelta(minutes=7), told, answer)
    heavy = day.tagged("overweight")
    told = day.notice(
        heavy.at + timedelta(minutes=4),
        ("dale",),
        "spoken",
        f"Truck {heavy.truck}: gross {tonnes(heavy.gross)}, legal 38.00 t. Taken. Asked: why, "
        "after what the plant said this morning.",
        about=[heavy.id],
        call=f"load.overweight:{heavy.id}",
    )
    answer = "The new loader driver hadn't been told. He has now."
    day.reply("dale", heavy.at + timedelta(minutes=15), told, answer)


def _weather(day: Day) -> None:
    said: tuple[tuple[str, dict[str, str]], ...] = (
        ("08:02", {"sky": "overcast", "rain": "none", "air": "14 degC", "wind": "9 km/h"}),
        ("08:58", {"sky": "part cloud", "rain": "none", "air": "16 degC", "wind": "15 km/h"}),
        ("10:01", {"sky": "part cloud", "rain": "none", "air": "18 degC", "wind": "19 km/h"}),
        ("11:03", {"sky": "clear", "rain": "none", "air": "19 degC", "wind": "16 km/h"}),
    )
    for hour, body in said:
        day.notes.write("ines", "weather", body, day_two(hour), place={"road": "harrowfen"})
    here = station(day.line.where(day_two("09:05")))
    up = {"layout": "One lane closed, flaggers and pilot car, 6+600 to 9+100", "state": "checked"}
    day.notes.write("ines", "traffic-control", up, day_two("09:05"), place={"lane": "E"})
    seen = {"text": f"Pilot car seen at {here}; the queue goes off within one turn."}
    day.notes.write("ines", "note", seen, day_two("09:06"))
