"""Kestrel, the night: from the closing of the lanes to the opening, over midnight twice told."""

from datetime import timedelta
from typing import Any, Final

from tools.demo.kestrel_loads import FOOT, RAMPS, SPLIT, local, night
from tools.demo.kestrel_site import HANDED_OVER, Night, lane, place, station, stretch, tons

BEFORE: Final = (
    ("Plan, mix designs and limits read", "done", ""),
    ("Plant asked which other customers load tonight", "done", "Two; gaps in the tickets."),
    ("Phones set to change the hour by themselves", "done", "02:00 becomes 01:00."),
    ("Light towers tried, no glare on the open lane", "done", ""),
    ("Milled surface swept and looked at under lights", "done", "From 124+00 on."),
    ("Backing signals agreed with both dump men", "done", ""),
)
MARKINGS: Final = (
    ("Temporary lane line", "present", "04:12", ""),
    ("Temporary right edge line", "present", "04:15", ""),
    ("Bump signs ahead of the ramps", "present", "04:18", ""),
    ("Low shoulder sign, right", "missing", "04:19", "Down at 131+00; the stand is bent."),
    ("Raised markers at Ferrin Ford", "not looked at", "04:20", "Behind the other closure."),
    ("Loose stones swept off the open lanes", "present", "04:22", ""),
    ("Core and probe holes filled", "present", "04:23", ""),
    ("Low shoulder sign, right", "present", "04:29", "Up again on another stand."),
)


def write(site: Night) -> None:
    _evening(site)
    site.write_loads()
    _parts(site)
    _stop(site)
    _weather(site)
    _people(site)
    told = _told_early(site)
    _handover(site, told)
    _told_late(site)
    _samples(site)
    _closing(site)


def _evening(site: Night) -> None:
    write = site.notes.write
    write("wade", "shift-open", {"note": "Nothing open from the night before."}, night("19:05"))
    layout = {"layout": "Right two lanes closed, arrow board and taper, 108+00 to 168+00"}
    body = {**layout, "state": "up"}
    write("wade", "traffic-control", body, night("19:20"), place={"road": "ridge"})
    for nth, (item, state, note) in enumerate(BEFORE):
        line = {"list": "before the shift", "item": item, "state": state}
        line |= {"note": note} if note else {}
        write("wade", "checklist", line, night("19:25") + timedelta(minutes=2 * nth))
    for name in ("1", "2"):
        rutted = {"fit": "yes", "state": "dry", "temp": "53 degF", "note": "Rutted; not milled."}
        where = {**stretch(name, "112+00", "124+00"), "lift": "leveling"}
        write("wade", "surface", rutted, night("19:44"), place=where)
        milled = {"fit": "yes", "state": "dry", "temp": "52 degF", "note": "Milled 2 in, swept."}
        where = stretch(name, "124+00", "153+00")
        write("wade", "surface", milled, night("19:50"), place=where)
        tack = {"product": "Trackless tack", "temp": "148 degF", "look": "even"}
        tack |= {"before": "1240 gal", "after": "905 gal"}
        if name == "2":
            tack |= {"before": "905 gal", "after": "572 gal"}
        tack["area"] = "5290 yd2"
        where = stretch(name, "112+00", "153+00")
        write("lena", "tack", tack, night("20:02"), place=where)
    count = {"density_count": 1912, "moisture_count": 571, "result": "within"}
    write("lena", "gauge-check", count, night("20:06"), instrument="gauge-12")
    point = {"point": "Lighting and surface released before the first load"}
    here = {"road": "ridge", "station": "112+00"}
    write("wade", "hold-point", {**point, "state": "reached"}, night("20:10"), place=here)
    released = {**point, "state": "released", "released_by": "Hal Brandower"}
    write("hal", "hold-point", released, night("20:18"), place=here)
    steps: tuple[tuple[str, str, dict[str, str]], ...] = (
        ("face", "22:02", {"depth": "2.0 in"}),
        ("tacked", "22:05", {}),
        ("starter strips", "22:10", {"strips": "0.50 in"}),
        ("restarted", "22:16", {}),
        ("excess removed", "22:22", {}),
        ("rolled", "22:27", {"note": "Across the joint first, static."}),
        ("straightedge", "22:33", {"gap": "0.12 in"}),
    )
    for step, hour, more in steps:
        body = {"step": step, "held": "done", **more}
        where = lane("1", site.start_m)
        write("wade", "joint-transverse", body, night(hour), place=where)
    edge = {"length": "10 ft", "gap": "0.12 in", "along": "joint"}
    where = lane("1", site.start_m, offset="6 ft")
    write("lena", "straightedge", edge, night("22:34"), place=where, instrument="edge-10")


def _parts(site: Night) -> None:
    split, last = site.tagged("split"), site.tagged("last")
    at = split.at + timedelta(seconds=40)
    sized: dict[str, Any] = {"mass": tons(SPLIT[0]), "how": "weighed"}
    site.part(split, "mainline", at, place("P2", to=station(split.to_m)), **sized)
    drive = {"area": "driveway-146", "mass": tons(SPLIT[1]), "how": "estimated"}
    drive["note"] = "Raked and rolled with the plate."
    site.part(split, "area", at + timedelta(minutes=3), place("P2"), **drive)
    assert split.rest_at is not None
    where = place("P1", to=station(split.rest_to_m))
    site.part(split, "mainline", split.rest_at + timedelta(seconds=30), where)
    at = last.at + timedelta(seconds=50)
    site.part(last, "mainline", at, place("P2", to=station(last.to_m)))
    ramps = {"area": "ramps", "mass": tons(RAMPS), "how": "estimated"}
    site.part(last, "area", last.at + timedelta(minutes=14), place("P2"), **ramps)


def _stop(site: Night) -> None:
    """Paver 2 waits for mix in the hour that comes twice; nobody says why."""
    ((since, until),) = site.lines.surface["P2"].stood()
    here = place("P2", site.lines.surface["P2"].where(since))
    body = {"event": "stop", "reason": "waiting for mix"}
    seen = site.notes.write("june", "paver", body, since, place=here)
    site.notes.write("june", "paver", {"event": "start"}, until, place=here)
    cold = {"sign": "cold streak across the mat", "extent": "3 ft by the lane", "grade": "slight"}
    cold["note"] = "Behind the screed where the paver stood; marked with paint."
    site.notes.write("june", "defect", cold, until + timedelta(minutes=4), place=here)
    site.notice(
        until + timedelta(minutes=6),
        ("roy",),
        "spoken",
        f"Paver 2 stood at {here['station']} for more than 10 min (S-4.6), waiting for mix. "
        "Asked: what keeps both pavers fed for the rest of the night.",
        about=[seen],
        call=f"paver.stood:{seen}",
    )


def _weather(site: Night) -> None:
    said: tuple[tuple[str, dict[str, str]], ...] = (
        ("19:30", {"sky": "clear", "rain": "none", "air": "51 degF", "surface": "53 degF"}
         | {"wind": "5 mph", "humidity": "66 %"}),
        ("21:40", {"sky": "clear", "rain": "none", "air": "49 degF", "wind": "4 mph"}),
        ("23:30", {"sky": "part cloud", "rain": "none", "air": "47 degF", "surface": "48 degF"}),
        ("01:10", {"sky": "overcast", "rain": "none", "air": "46 degF", "wind": "7 mph"}
         | {"note": "Wind up from the north-west."}),
        ("01:40 again", {"sky": "overcast", "rain": "none", "air": "45 degF"}),
        ("03:20", {"sky": "overcast", "rain": "none", "air": "44 degF", "surface": "45 degF"}
         | {"wind": "6 mph"}),
    )  # fmt: skip
    for hour, body in said:
        at = night(hour)
        site.notes.write(site.inspector(at), "weather", body, at, place={"road": "ridge"})


def _people(site: Night) -> None:
    write = site.notes.write
    for craft, count, hours in (
        ("foreman", 1, "10.5 h"),
        ("paver and roller operators", 5, "10.0 h"),
        ("screed and rake hands", 8, "10.0 h"),
        ("traffic control", 4, "11.0 h"),
        ("truck drivers", 14, "9.0 h"),
    ):
        hands = {"firm": "Pinnock Bay Paving", "craft": craft, "count": count, "hours": hours}
        write("june", "crew", hands, night("04:44"))
    for machine, state, reason in (
        ("Paver 1", "working", ""),
        ("Paver 2", "working", ""),
        ("Breakdown roller R1", "working", ""),
        ("Breakdown roller R2", "working", ""),
        ("Finish roller R3", "working", ""),
        ("Light tower 4", "down", "Would not start; tower 5 moved up."),
    ):
        body = {"machine": machine, "state": state} | ({"reason": reason} if reason else {})
        write("wade", "equipment", body, night("21:04"))
    layout = {"layout": "Right two lanes closed, arrow board and taper, 108+00 to 168+00"}
    for hour in ("22:58", "01:05 again"):
        at = night(hour)
        body = {**layout, "state": "checked"}
        write(site.inspector(at), "traffic-control", body, at, place={"road": "ridge"})
    seam = {"joint": "hot", "edge": "closed", "height": "0.0 in"}
    seam["note"] = "Paver 2 follows within 120 ft; the joint is rolled hot."
    where = stretch("1", "112+00", "141+00")
    write("june", "joint-longitudinal", seam, night("01:20 again"), place=where)


def _told_early(site: Night) -> str:
    """Of the overweight truck: still unanswered at the handover. Gives the notice."""
    load = site.tagged("overweight")
    return site.notice(
        load.at + timedelta(minutes=3),
        ("roy",),
        "message",
        f"Load {load.ticket}, truck {load.truck}: gross {tons(load.gross)}, legal 70000 lb. "
        "Taken. Asked: how loading is kept within the legal weight.",
        about=[load.id],
        call=f"load.overweight:{load.id}",
    )


def _handover(site: Night, open_matter: str) -> None:
    write = site.notes.write
    given = {"to": "june", "step": "given", "matters": [open_matter]}
    given["note"] = "One notice open. Load emptied 23:58 is on the clipboard, not yet written."
    write("wade", "handover", given, night("23:59"))
    accepted = {"to": "june", "step": "accepted", "matters": [open_matter]}
    accepted["note"] = "Read and taken over, with probe and clipboard."
    write("june", "handover", accepted, HANDED_OVER)
    answer = "Plant told to load 20.5 net at most. The scale ticket goes to the haulier."
    site.reply("roy", night("00:52"), open_matter, answer)


def _told_late(site: Night) -> None:
    load = site.tagged("back-dated")
    told = site.notice(
        load.at + timedelta(minutes=4),
        ("tess",),
        "phone",
        f"Load {load.ticket}, truck {load.truck}: loaded 10:46 PM by the ticket, so more than "
        f"90 min old (S-4.1), yet {load.temp} °F. Asked: what the scale's own record says.",
        about=[load.id],
        call=f"load.age:{load.id}",
    )
    record = f"{local(load.loaded):%I:%M %p}".lstrip("0")
    answer = f"The scale has it at {record}; the hour was typed by hand while the printer was out."
    site.reply("tess", load.at + timedelta(minutes=13), told, answer)
    _reprint(site)


def _reprint(site: Night) -> None:
    """A ticket that blew away, and its reprint with the next truck."""
    load = site.tagged("reprinted")
    first = next(draft for draft in site.notes.drafts if draft.id == load.id)
    body = {**first.body, "form": "reprint", "reason": "The ticket blew away; this is its reprint."}
    body.pop("temp", None)
    body.pop("temp_how", None)
    later = timedelta(minutes=27)
    where = {name: first.envelope["place"][name] for name in ("lane", "lift", "paver")}
    site.notes.write("june", "load", body, load.at + later, place=where)


def _samples(site: Night) -> None:
    write = site.notes.write
    for name, at, tag in (
        ("K-31-1", "20:50", "leveling"),
        ("K-31-2", "23:38", "surface"),
        ("K-31-3", "02:12", "surface"),
    ):
        taken = [load for load in site.loads if load.decision == "taken" and load.lift == tag]
        source = next(load for load in taken if load.at > night(at))
        body = {"sample": name, "of": "mix", "from": "truck", "load": source.id}
        body |= {"chosen": "drawn by mass before the shift"}
        write("lena", "sample", body, source.at - timedelta(minutes=5))
        sealed = {"sample": name, "step": "sealed", "seal": f"WX {name[-1]}0713"}
        write("lena", "custody", sealed, source.at + timedelta(minutes=12))
    over = {"step": "handed over", "to": "Wexcombe County, materials"}
    for name in ("K-31-1", "K-31-2", "K-31-3"):
        write("lena", "custody", {**over, "sample": name}, night("04:40"))


def _closing(site: Night) -> None:
    write, end_m = site.notes.write, site.end_m
    for name, hour in (("1", "03:42"), ("2", "03:50")):
        where = lane(name, end_m)
        stopped = {"step": "stopped", "held": "done"}
        write("june", "joint-transverse", stopped, night(hour), place=where)
        ramp = {"step": "2.0 in", "length": "3.5 ft", "width": "12 ft", "paper": "yes"}
        ramp |= {"compacted": "yes", "mass": tons(RAMPS // 2)}
        write("june", "ramp", ramp, night(hour) + timedelta(minutes=6), place=where)
    for item, state, hour, note in MARKINGS:
        body = {"item": item, "state": state} | ({"note": note} if note else {})
        write("june", "markings", body, night(hour), place={"road": "ridge"})
    taken = [load for load in site.loads if load.decision == "taken"]
    for mix in ("l4", "s9"):
        said = [load for load in taken if load.mix == mix]
        count: dict[str, Any] = {"plant": "ferrin", "mix": mix, "count": len(said)}
        count |= {"mass": tons(sum(load.net for load in said))}  # whole numbers
        count |= {"first": said[0].ticket, "last": said[-1].ticket}
        write("tess", "tie-out", count, night("04:05"))
    for name in ("1", "2"):
        where = {"road": "ridge", "lane": name, "station": station(end_m - 40 * FOOT)}
        warm = {"stage": "opening", "temp": f"{118 if name == '1' else 127} degF", "how": "probe"}
        spot = lane(name, end_m - 40 * FOOT, offset="6 ft")
        write("lena", "temperature", warm, night("04:24"), place=spot, instrument="probe-31")
        where = {"road": "ridge", "lane": name, "from": "112+00", "to": station(end_m)}
        opened = {"temp": warm["temp"], "note": "Line, markers and bump signs looked at first."}
        write("june", "opened-to-traffic", opened, night("04:34"), place=where)
    layout = {"layout": "Right two lanes closed, arrow board and taper, 108+00 to 168+00"}
    body = {**layout, "state": "down"}
    write("june", "traffic-control", body, night("04:32"), place={"road": "ridge"})
    restart = f"Both lanes at {station(end_m)}: ramps out first"
    close = {"restart": restart, "day_charged": "yes"}
    write("june", "shift-close", close, night("04:50"), place={"road": "ridge"})
    for by, name, hour, words in (
        ("wade", "Wade Corrish", "04:52", "Up to the handover."),
        ("june", "June Abernook", "04:54", "From the handover on."),
        ("hal", "Hal Brandower", "05:10", "Read."),
    ):
        signed = {"of": "daily record", "name": name, "words": words}
        write(by, "signature", signed, night(hour))
