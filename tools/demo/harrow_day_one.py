"""Harrow, the first day: a good day with the trouble that a good day has."""

from datetime import timedelta
from typing import Any, Final

from tools.demo import harrow_readings as readings
from tools.demo import harrow_told
from tools.demo.harrow_loads import LAST_RETURNED, RAMP, START_M, day_one, first_day
from tools.demo.harrow_site import Day, at_paver, lane, station, stretch, tonnes
from tools.demo.notebook import Notebook
from tools.demo.paving import Load

SHIFT: Final = "harrow/2026-06-16/a/day"
BEFORE: Final = (
    ("Plan, mix design and limits read", "done", ""),
    ("Ticket numbering agreed with the plant", "done", "From 1001, by job."),
    ("Probe thermometer checked in ice and in boiling water", "done", "0 and 100 °C."),
    ("Density gauge: standard count within limits", "done", ""),
    ("Sampling places drawn", "done", ""),
    ("Rollers and spray bars tried", "done", ""),
    ("Backing signals agreed with the dump man", "done", ""),
    ("Infrared thermometer within its calibration date", "not done", "Due 12 May; skin only."),
)
AFTER: Final = (
    ("Tickets of the day tied out with the plant", "done", ""),
    ("Drop-off signs along the open edge", "done", ""),
    ("Cores filled and compacted", "done", ""),
    ("Gully covers swept clear", "not looked at", ""),
)
MARKINGS: Final = (
    ("Temporary centre line", "missing", "17:30", "Present up to 6+300; none to the ramp."),
    ("Bump sign ahead of the ramp, both ways", "present", "17:33", ""),
    ("Low shoulder signs", "present", "17:36", ""),
    ("Stop line at Quillmoor Cross", "not looked at", "17:38", "Behind the pilot car's queue."),
    ("Loose stones swept off the open lane", "present", "17:52", "By hand blowers."),
    ("Core and probe holes filled", "present", "17:55", ""),
    ("Temporary centre line", "present", "18:04", "The whole length, laid and dry."),
)
PLANT_SAYS: Final = 2188
"""The net mass that the plant's file has for the load on which the two differ."""
STEEP: Final = 20
"""Which reading of the cross slope is beyond its limit."""


def write(notes: Notebook) -> tuple[list[Load], float]:
    """The whole day; gives its loads, and the station where paving goes on."""
    loads, line = first_day()
    day = Day(notes, SHIFT, loads, line, "harrow/day one")
    _morning(day)
    day.write_loads()
    _parts(day)
    _paver(day)
    _weather(day)
    _site(day)
    steep = _along_the_mat(day)
    harrow_told.write(day, steep)
    _evening(day)
    return loads, line.station_m


def _morning(day: Day) -> None:
    write, at = day.notes.write, day_one
    write("ines", "shift-open", {"note": "Plan of 12 June read; nothing open."}, at("05:50"))
    for place, (item, state, note) in enumerate(BEFORE):
        body = {"list": "before the shift", "item": item, "state": state}
        body |= {"note": note} if note else {}
        write("ines", "checklist", body, at("05:52") + timedelta(minutes=place))
    layout = {"layout": "One lane closed, flaggers and pilot car, 2+000 to 7+100"}
    write("ines", "traffic-control", {**layout, "state": "up"}, at("06:05"), place={"lane": "E"})
    fit = {"fit": "yes", "state": "dry", "temp": "13 degC", "note": "Milled, swept twice."}
    write("ines", "surface", fit, at("06:10"), place=stretch("2+150", "7+000"))
    tack = {"product": "Cationic emulsion, slow setting", "temp": "56 degC", "look": "even"}
    for hour, before, after, area, begin, end in (
        ("06:15", "6420 L", "3890 L", "9125 m2", "2+150", "4+650"),
        ("10:40", "3890 L", "1610 L", "8030 m2", "4+650", "6+850"),
    ):
        body = {**tack, "before": before, "after": after, "area": area}
        write("bo", "tack", body, at(hour), place=stretch(begin, end))
    count = {"density_count": 2847, "moisture_count": 652, "result": "within"}
    write("bo", "gauge-check", count, at("06:24"), instrument="gauge-5")
    point = {"point": "Surface and tack looked at before the first load"}
    write("ines", "hold-point", {**point, "state": "reached"}, at("06:28"), place=lane(START_M))
    released = {**point, "state": "released", "released_by": "Greta Ollenshaw"}
    write("greta", "hold-point", released, at("06:34"), place=lane(START_M))
    _start_joint(day)


def _start_joint(day: Day) -> None:
    steps: tuple[tuple[str, str, dict[str, str]], ...] = (
        ("face", "06:36", {"depth": "60 mm", "note": "Milled key, clean and upright."}),
        ("tacked", "06:39", {}),
        ("starter strips", "06:47", {"strips": "15 mm"}),
        ("restarted", "06:52", {}),
        ("excess removed", "06:57", {}),
        ("rolled", "07:01", {"note": "Across the joint first, static."}),
        ("straightedge", "07:06", {"gap": "2 mm"}),
    )
    for step, hour, more in steps:
        body = {"step": step, "held": "done", **more}
        day.notes.write("ines", "joint-transverse", body, day_one(hour), place=lane(START_M))
    gap = {"length": "3.00 m", "gap": "2 mm", "along": "joint"}
    where = lane(START_M, offset="1.8 m")
    day.notes.write("bo", "straightedge", gap, day_one("07:07"), place=where, instrument="edge-3")


def _parts(day: Day) -> None:
    """Loads that didn't go into the lane as a whole."""
    for tag, to, how, note in (
        ("driveway", "area", "estimated", "Raked and tamped by hand."),
        ("breakdown", "waste", "estimated", "Stiff lumps from the hopper wings, set aside."),
        ("field access", "area", "estimated", ""),
    ):
        load = day.tagged(tag)
        more: dict[str, Any] = {"mass": tonnes(load.elsewhere), "how": how}
        more |= {"note": note} if note else {}
        area = {"driveway": "driveway-3412", "field access": "field-access-4915"}.get(tag)
        more |= {"area": area} if area else {}
        day.part(load, to, 45, **more)
        day.part(load, "mainline", 75, place=at_paver(to=station(load.to_m)))
    last = day.tagged("last")
    day.part(last, "mainline", 60, place=at_paver(to=station(last.to_m)))
    ramp = {"area": "night-ramp", "mass": tonnes(RAMP), "how": "estimated"}
    day.part(last, "area", 900, **ramp)
    body = {"load": last.id, "net": tonnes(LAST_RETURNED)}
    body |= {"gross": tonnes(LAST_RETURNED + last.tare), "tare": tonnes(last.tare)}
    day.notes.write("rika", "weigh-back", body, day_one("17:52"))


def _paver(day: Day) -> None:
    begin, end = day.line.track[0], day.line.track[-1]
    write = day.notes.write
    write("ines", "paver", {"event": "start"}, begin[0], place=at_paver(begin[1]))
    readings.stations(day, 24)
    reasons = (
        ("waiting for mix", "Cold feed at the plant jammed."),
        ("breakdown", "Auger chain off; put back."),
    )
    for (since, until), (reason, note) in zip(day.line.stood(), reasons, strict=True):
        where = at_paver(day.line.where(since))
        body = {"event": "stop", "reason": reason, "note": note}
        write("ines", "paver", body, since, place=where)
        write("ines", "paver", {"event": "start"}, until, place=where)
    write("ines", "paver", {"event": "end"}, end[0], place=at_paver(end[1]))
    since, until = day.line.stood()[-1]
    delay: dict[str, Any] = {"cause": "Auger chain of the paver off", "side": "contractor"}
    delay |= {"until": until.isoformat(timespec="seconds"), "people_idle": 9, "machines_idle": 3}
    where = {"lane": "E", "station": station(day.line.where(since)), "paver": "P1"}
    write("ines", "delay", delay, since, place=where)


def _weather(day: Day) -> None:
    said: tuple[tuple[str, dict[str, str]], ...] = (
        ("06:00", {"sky": "clear", "rain": "none", "air": "11 degC", "surface": "12 degC"}
         | {"wind": "8 km/h", "humidity": "78 %"}),
        ("08:30", {"sky": "part cloud", "rain": "none", "air": "15 degC", "wind": "14 km/h"}),
        ("10:35", {"sky": "part cloud", "rain": "none", "air": "18 degC", "wind": "23 km/h"}
         | {"note": "Wind turned to the south-west and gusty; the mat cools faster."}),
        ("13:21", {"sky": "overcast", "rain": "starts", "air": "16 degC", "wind": "19 km/h"}
         | {"note": "Drizzle. Tack not washed; paving goes on."}),
        ("13:43", {"sky": "overcast", "rain": "stops", "air": "15 degC", "humidity": "92 %"}),
        ("15:10", {"sky": "part cloud", "rain": "none", "air": "18 degC", "surface": "24 degC"}
         | {"wind": "11 km/h"}),
        ("17:12", {"sky": "clear", "rain": "none", "air": "17 degC", "wind": "7 km/h"}),
    )  # fmt: skip
    for hour, body in said:
        day.notes.write("ines", "weather", body, day_one(hour), place={"road": "harrowfen"})
    damp = {"fit": "yes", "state": "damp", "temp": "20 degC"}
    damp |= {"note": "No standing water; tack holds. Drying by the time the screed comes."}
    where = stretch("5+070", "5+300")
    day.notes.write("ines", "surface", damp, day_one("13:36"), place=where)


def _site(day: Day) -> None:
    write, at = day.notes.write, day_one
    for craft, count, hours in (
        ("foreman", 1, "12.0 h"),
        ("paver and roller operators", 4, "11.5 h"),
        ("screed and rake hands", 5, "11.5 h"),
        ("flaggers and pilot driver", 4, "12.5 h"),
        ("truck drivers", 18, "11.0 h"),
    ):
        hands = {"firm": "Dunmarrow Paving", "craft": craft, "count": count, "hours": hours}
        write("ines", "crew", hands, at("17:45"))
    for machine, state, reason in (
        ("Paver 1", "working", ""),
        ("Breakdown roller R1", "working", ""),
        ("Breakdown roller R4", "working", ""),
        ("Pneumatic roller R2", "working", ""),
        ("Pneumatic roller R5", "working", ""),
        ("Finish roller R3", "working", ""),
        ("Distributor", "working", ""),
        ("Sweeper", "down", "Broom motor; second sweeping was done by hand blowers."),
    ):
        body = {"machine": machine, "state": state} | ({"reason": reason} if reason else {})
        write("ines", "equipment", body, at("07:20"))
    layout = {"layout": "One lane closed, flaggers and pilot car, 2+000 to 7+100"}
    for hour, state, more in (
        ("10:08", "checked", {}),
        ("12:10", "deficient", {"note": "Road work sign at 7+100 blown over.", "told": "dale"}),
        ("12:24", "corrected", {"note": "Sign up again, with two more sandbags."}),
        ("15:04", "checked", {}),
        ("18:08", "down", {}),
    ):
        body = {**layout, "state": state, **more}
        write("ines", "traffic-control", body, at(hour), place={"lane": "E"})
    visit = {"name": "Orla Penwick", "firm": "Merrowby County, materials"}
    write("greta", "visitor", {**visit, "purpose": "Saw sampling and the gauge."}, at("13:30"))
    extra = {"what": "Gully frame at 4+655 reset: loose, and not in the contract"}
    extra |= {"ordered_by": "Greta Ollenshaw", "hours": "1.5 h", "machines": "Compressor"}
    where = {"road": "harrowfen", "lane": "E", "station": "4+655"}
    write("ines", "extra-work", {**extra, "people": 2}, at("11:15"), place=where)


def _along_the_mat(day: Day) -> str:
    """Every reading; gives the id of the one cross slope that is beyond its limit."""
    readings.depths(day, 2158)
    slopes = readings.slopes(day, 2170, {STEEP: 37})
    readings.widths(day, 2165, 380, wide=6)
    readings.laydown(day, 2160, 330)
    readings.rolled(day, 2175, 370)
    readings.passes(day, ("07:30", "10:05", "12:50", "15:45"), day_one)
    readings.seams(day, 2200, 480)
    edge = {"joint": "tapered", "height": "60 mm", "edge": "open", "tacked": "no"}
    where = stretch(station(START_M), station(day.line.station_m))
    day.notes.write("ines", "joint-longitudinal", edge, day_one("17:15"), place=where)
    _samples(day)
    return slopes[STEEP]


def _samples(day: Day) -> None:
    write, at = day.notes.write, day_one
    for name, hour, load in (("S-16-1", "09:20", "1025"), ("S-16-2", "14:50", "1084")):
        source = next(one for one in day.loads if one.ticket == load)
        body = {"sample": name, "of": "mix", "from": "truck", "load": source.id}
        body |= {"chosen": "drawn by mass before the shift"}
        write("bo", "sample", body, source.at - timedelta(minutes=4))
        sealed = {"sample": name, "step": "sealed", "seal": f"MC {name[-1]}4471"}
        write("bo", "custody", sealed, at(hour) + timedelta(minutes=20))
    for name, at_m, thickness, hour in (
        ("C-16-1", 2834.0, "61 mm", "16:10"),
        ("C-16-2", 3977.0, "62 mm", "16:28"),
    ):
        body = {"core": name, "thickness": thickness, "purpose": "process"}
        where = lane(at_m, offset="1.4 m")
        write("bo", "core", {**body, "note": "Cut on ice."}, at(hour), place=where)
    over = {"sample": "C-16-1", "step": "handed over", "to": "Merrowby County, materials"}
    for name in ("C-16-1", "C-16-2", "S-16-1", "S-16-2"):
        write("bo", "custody", {**over, "sample": name}, at("18:20"))


def _evening(day: Day) -> None:
    write, at, end_m = day.notes.write, day_one, day.line.station_m
    stopped: tuple[tuple[str, str, dict[str, str]], ...] = (
        ("stopped", "17:06", {"note": "Full depth up to the end board."}),
        ("face", "17:12", {"depth": "60 mm"}),
    )
    for step, hour, more in stopped:
        body = {"step": step, "held": "done", **more}
        write("ines", "joint-transverse", body, at(hour), place=lane(end_m))
    ramp = {"step": "60 mm", "length": "1.20 m", "width": "3.65 m", "mass": tonnes(RAMP)}
    ramp |= {"paper": "yes", "compacted": "yes"}
    write("ines", "ramp", ramp, at("17:22"), place=lane(end_m))
    _markings(day)
    _tie_out(day)
    warm = {"temp": "41 degC", "note": "Infrared, at the ramp, the last mat laid."}
    where = {"lane": "E", "from": station(START_M), "to": station(end_m)}
    write("ines", "opened-to-traffic", warm, at("18:10"), place=where)
    for place, (item, state, note) in enumerate(AFTER):
        body = {"list": "after the shift", "item": item, "state": state}
        body |= {"note": note} if note else {}
        write("ines", "checklist", body, at("18:12") + timedelta(minutes=place))
    restart = f"{station(end_m)}, lane E, binder: ramp out, face upright at the end board"
    close = {"restart": restart, "day_charged": "yes"}
    write("ines", "shift-close", close, at("18:30"), place={"road": "harrowfen"})
    words = "This is what I saw and wrote down today."
    signed = {"of": "daily record", "name": "Ines Tarrow", "words": words}
    write("ines", "signature", signed, at("18:34"))
    signed = {"of": "daily record", "name": "Greta Ollenshaw", "words": "Read."}
    write("greta", "signature", signed, at("19:05"))


def _markings(day: Day) -> None:
    for item, state, hour, note in MARKINGS:
        body = {"item": item, "state": state} | ({"note": note} if note else {})
        where = {"lane": "E"}
        if item == "Temporary centre line":
            begin = "2+150" if state == "present" else "6+300"
            where |= {"from": begin, "to": station(day.line.station_m)}
        missing = day.notes.write("ines", "markings", body, day_one(hour), place=where)
        if state == "missing":
            told = day.notice(
                day_one("17:31"),
                ("dale",),
                "spoken",
                "No centre line yet from 6+300 to the ramp; markings for the full length paved "
                "before the lane opens (7.4). Asked: when.",
                about=[missing],
            )
            day.reply(
                "dale", day_one("17:33"), told, "Crew is at it; done before the pilot car goes."
            )


def _tie_out(day: Day) -> None:
    """The plant's count and sum by its own file, and what the owner pays for."""
    taken = [load for load in day.loads if load.decision == "taken"]
    differs = day.tagged("differs")
    plants = PLANT_SAYS - differs.net
    body = {
        "plant": "stonewick",
        "mix": "ac16",
        "count": len(taken),
        "mass": tonnes(_total(load.net for load in taken) + plants),
        "first": taken[0].ticket,
        "last": taken[-1].ticket,
        "note": "The three loads turned away are credited. No ticket 1095 was printed for a load; "
        "the form jammed and was thrown away.",
    }
    day.notes.write("rika", "tie-out", body, day_one("17:56"))
    laid = _total(load.net for load in taken) - LAST_RETURNED - day.tagged("breakdown").elsewhere
    where = stretch(station(START_M), station(day.line.station_m))
    day.notes.write(
        "ines",
        "quantity",
        {
            "item": "Binder course AC 16, 60 mm",
            "amount": tonnes(laid),
            "basis": "tickets taken, less what was weighed back and what was wasted",
        },
        day_one("18:06"),
        place=where,
    )


def _total(masses: Any) -> int:
    return sum(masses)  # whole numbers
