"""Harrow, the next day's first hour: carried on from where the first day ended."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Final

from tools.demo import harrow_readings as readings
from tools.demo.harrow_loads import day_two, next_morning
from tools.demo.harrow_site import Day, at_paver, lane, station, stretch
from tools.demo.notebook import Notebook
from tools.demo.paving import Load

SHIFT: Final = "harrow/2026-06-17/a/day"


def write(notes: Notebook, yesterday: Sequence[Load], from_m: float) -> Day:
    """Ten loads, the joint opened and closed again, and an answer that was owed."""
    last = max(int(load.ticket) for load in yesterday)
    loads, line = next_morning(last, from_m)
    day = Day(notes, SHIFT, loads, line, "harrow/day two")
    _before(day, from_m)
    day.write_loads()
    _paver(day, from_m)
    readings.depths(day, from_m + 6)
    readings.slopes(day, from_m + 18, {})
    readings.widths(day, from_m + 14, 380)
    readings.laydown(day, from_m + 12, 330)
    readings.rolled(day, from_m + 30, 1000)
    _answer(day)
    return day


def _before(day: Day, from_m: float) -> None:
    write, at = day.notes.write, day_two
    opened = {"note": "Carried over from yesterday: two matters open, ramp and joint at the start."}
    write("ines", "shift-open", opened, at("05:55"))
    sky = {"sky": "overcast", "rain": "none", "air": "12 degC", "surface": "13 degC"}
    sky |= {"wind": "6 km/h", "humidity": "84 %"}
    write("ines", "weather", sky, at("06:02"), place={"road": "harrowfen"})
    layout = {"layout": "One lane closed, flaggers and pilot car, 6+600 to 9+100", "state": "up"}
    write("ines", "traffic-control", layout, at("06:10"), place={"lane": "E"})
    fit = {"fit": "yes", "state": "dry", "temp": "13 degC"}
    where = stretch(station(from_m), "8+900")
    write("ines", "surface", fit, at("06:15"), place=where)
    tack = {"product": "Cationic emulsion, slow setting", "temp": "57 degC", "look": "even"}
    tack |= {"before": "5960 L", "after": "3820 L", "area": "7580 m2"}
    write("bo", "tack", tack, at("06:20"), place=where)
    for craft, count in (
        ("foreman", 1),
        ("paver and roller operators", 4),
        ("screed and rake hands", 5),
        ("flaggers and pilot driver", 4),
        ("truck drivers", 18),
    ):
        hands = {"firm": "Dunmarrow Paving", "craft": craft, "count": count}
        write("ines", "crew", hands, at("06:55"))
    rollers = "Breakdown rollers R1 and R4", "Pneumatic rollers R2 and R5", "Finish roller R3"
    for machine in ("Paver 1", *rollers):
        write("ines", "equipment", {"machine": machine, "state": "working"}, at("06:57"))
    write("ines", "equipment", {"machine": "Sweeper", "state": "working"}, at("06:58"))
    counts = {"density_count": 2852, "moisture_count": 649, "result": "within"}
    write("bo", "gauge-check", counts, at("06:30"), instrument="gauge-5")


def _paver(day: Day, from_m: float) -> None:
    """The joint step by step, then the paver."""
    steps: tuple[tuple[str, str, dict[str, str]], ...] = (
        ("ramp removed", "06:26", {"note": "Came off in one piece on its paper."}),
        ("face", "06:31", {"depth": "60 mm"}),
        ("tacked", "06:35", {}),
        ("starter strips", "06:41", {"strips": "15 mm"}),
        ("restarted", "06:48", {}),
        ("excess removed", "06:53", {}),
        ("rolled", "06:57", {"note": "Across the joint first, static."}),
        ("straightedge", "07:03", {"gap": "2 mm"}),
    )
    for step, hour, more in steps:
        body = {"step": step, "held": "done", **more}
        day.notes.write("ines", "joint-transverse", body, day_two(hour), place=lane(from_m))
    gap = {"length": "3.00 m", "gap": "2 mm", "along": "joint"}
    where = lane(from_m, offset="1.8 m")
    day.notes.write("bo", "straightedge", gap, day_two("07:04"), place=where, instrument="edge-3")
    start = day.line.track[0][0]
    day.notes.write("ines", "paver", {"event": "start"}, start, place=at_paver(from_m))
    readings.stations(day, 21)


def _answer(day: Day) -> None:
    """Yesterday's notice about the weight of a truck, answered at last."""
    told = next(
        draft
        for draft in day.notes.drafts
        if draft.kind == "notice" and "overweight" in draft.body.get("call", "")
    )
    text = "The loader had the old tare. The plant stops loading at 23.00 t net from today."
    day.reply("dale", day_two("07:21"), told.id, text)
    thanks = {"text": "Asked the plant again for the yard's load-out record of yesterday."}
    day.notes.write("ines", "note", thanks, day_two("07:24") + timedelta(seconds=10))
