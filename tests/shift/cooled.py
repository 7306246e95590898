"""A shift whose mat cools: the invented job with a place on earth, weather, rollers, readings."""

from matbook.book.entry import Entry
from tests.shift.site import PLAN, Site, at, on

MACHINES = """
[[rollers]]
id = "R1"
name = "Breakdown roller"
kind = "steel"
width = "1.68 m"
frequency = "40 Hz"
[[rollers]]
id = "R2"
name = "Second roller"
kind = "pneumatic"
width = "1.90 m"
"""
PHASES = """
[[phases]]
id = "breakdown"
name = "Breakdown"
ends = "110 degC"
passes = 4
rollers = ["R1"]
speed = "4.8 km/h"
overlap = "150 mm"
efficiency = "80 %"
strip = "40 m"
[[phases]]
id = "finish"
name = "Finish"
ends = "50 degC"
density = "no"
"""


def cooling(plan: str = PLAN) -> str:
    """The plan with what a forecast needs: where the job lies, and where rolling ends."""
    site = '[site]\nlatitude = "45.1"\nlongitude = "-64.3"\n[[roads]]'
    ends = 'name = "AC 16 binder"\nrolling_ends = "80 degC"'
    return plan.replace("[[roads]]", site, 1).replace('name = "AC 16 binder"', ends, 1)


def laid(plan: str | None = None, loads: int = 6, pace_m: float = 50) -> Site:
    """Loads along lane E every ten minutes, on a mild and breezy morning."""
    site = Site(cooling() if plan is None else plan)
    weather = {"air": "15 degC", "wind": "3 m/s", "sky": "part cloud", "surface": "15 degC"}
    site.write("weather", weather, -20)
    site.write("paver", {"event": "start"}, -10, place=at(0))
    for n in range(loads):
        place = on("E", "binder", n * pace_m, (n + 1) * pace_m)
        site.load(str(101 + n), 10 * n, temp="150 degC", place=place)
    body = {"stage": "laydown", "temp": "145 degC", "how": "probe", "settled": "yes"}
    site.write("temperature", body, 1, place=at(20))
    return site


def roller(site: Site, minute: float, to_m: float, **body: str) -> None:
    """A roller noted at a breakdown pass."""
    said = {"roller": "R1", "event": "rolling", "phase": "breakdown", **body}
    place = {"lane": "E", "lift": "binder", "from": "0+000.0", "to": f"0+{to_m:05.1f}"}
    site.write("roller", said, minute, place=place)


def read_on(
    site: Site,
    minute: float,
    station_m: float,
    temp: str,
    place: dict[str, str] | None = None,
    **body: str,
) -> Entry:
    """A reading on the mat, by a settled probe unless said otherwise."""
    said = {"stage": "mat", "temp": temp, "how": "probe", "settled": "yes", **body}
    said = {name: value for name, value in said.items() if value}
    return site.write("temperature", said, minute, place=place or at(station_m))


def troubled(plan: str) -> Site:
    """Rollers that fell behind, others that are close to it, a reading nobody can believe."""
    site = laid(cooling(plan))
    roller(site, 48, 120)
    body = {"stage": "finish", "temp": "31 degC", "how": "probe", "settled": "yes"}
    site.write("temperature", body, 49, place=at(230))
    return site


def close(plan: str) -> Site:
    """Rollers that keep up, but only just."""
    site = laid(cooling(plan))
    roller(site, 49, 228)
    return site


def uneven(plan: str) -> str:
    """The plan with two limits on how uneven the surface may be."""
    rows = (("moderate", "14", "watch"), ("severe", "28", "act"))
    limits = "".join(
        f'[[limits]]\nid = "{name}"\nquantity = "surface-differential"\nside = "max"\n'
        f'number = "{number}"\nunit = "delta_degC"\ngrade = "{grade}"\ntell = ["contractor"]\n'
        for name, number, grade in rows
    )
    return plan.replace("[[plants]]", limits + "[[plants]]", 1)


def skin(site: Site, minute: float, station_m: float, temp: str, **body: object) -> Entry:
    """An infrared reading of the surface behind the screed."""
    said = {"stage": "laydown", "temp": temp, "how": "infrared", "water": "none", **body}
    return site.write("temperature", said, minute, place=at(station_m))


def doubtful(plan: str) -> Site:
    """Readings that contradict each other, wet and frozen bases, cold patches, mix too hot."""
    site = laid(cooling(uneven(plan)))
    skin(site, 12, 60, "141 degC", across=["139 degC", "112 degC"])
    site.load("108", 59, temp="230 degC", place=on("E", "binder", 300, 350))
    site.write("surface", {"fit": "no", "state": "wet"}, -15, place=on("E", "binder", 400, 500))
    site.write("surface", {"fit": "no", "state": "frozen"}, -14, place={"lane": "W"})
    read_on(site, 46, 210, "100 degC")
    read_on(site, 47, 210, "78 degC")
    return site


def rolled(plan: str = PLAN, pace: str = 'pace = "4.69 m/min"', phases: str = PHASES) -> str:
    """The plan with rollers whose numbers are those of the worked example of reference 5.4."""
    found = cooling(plan).replace("[[instruments]]", f"{MACHINES}{phases}[[instruments]]", 1)
    return found.replace('name = "First paver"', f'name = "First paver"\n{pace}', 1)


def stood(plan: str = PLAN, phases: str = PHASES) -> Site:
    """A roller that stands on mat just laid."""
    site = laid(rolled(plan, phases=phases))
    roller(site, 12, 60, event="standing")
    return site


def slow(plan: str) -> Site:
    """A roller that can't follow the paver."""
    site = laid(rolled(plan))
    roller(site, 48, 228, speed="2.4 km/h")
    site.write("paver", {"event": "passing"}, 50, place=at(300))
    return site


def unlikely(plan: str) -> Site:
    """Rollers fast enough, in strips that are too long for the mat."""
    return laid(rolled(plan, phases=PHASES.replace('"40 m"', '"120 m"')))
