"""Harrow: how density was tested: a control strip, the gauge, cores beside it, custody.

The strip has three places: two come to the top, the third is rolled past it. The gauge drifts at
noon and is counted again. Of five cores cut at its readings one crumbled and is dropped, one takes
up too much water.
"""

from collections.abc import Sequence
from datetime import timedelta
from typing import Any, Final

from tools.demo.harrow_loads import day_one
from tools.demo.harrow_site import lane, stretch
from tools.demo.notebook import Notebook

NAME: Final = "S-1"
PASSES: Final = (2, 4, 6, 8, 9, 10)
MAT_C: Final = (131, 122, 112, 101, 97, 93)
SPOTS: Final = (
    # station [m], offset, density after each number of passes [kg/m3]
    (2236.0, "1.8 m", (2238, 2290, 2322, 2346, 2349, 2347)),
    (2264.0, "0.9 m", (2226, 2283, 2318, 2341, 2345, 2344)),
    (2301.0, "2.7 m", (2244, 2297, 2327, 2348, 2343, 2322)),
)
AIMED: Final = (
    # station [m], offset, density in both directions [kg/m3], core cut there
    (2231.0, "2.4 m", 2331, 2345, "K-1"),
    (2243.0, "1.1 m", 2352, 2340, "K-2"),
    (2257.0, "3.0 m", 2325, 2337, "K-3"),
    (2266.0, "0.7 m", 2358, 2346, "K-4"),
    (2279.0, "1.9 m", 2334, 2346, "K-5"),
    (2288.0, "2.6 m", 2349, 2337, ""),
    (2297.0, "1.4 m", 2328, 2342, ""),
    (2310.0, "0.8 m", 2341, 2355, ""),
    (2324.0, "2.2 m", 2350, 2338, ""),
    (2335.0, "1.6 m", 2336, 2344, ""),
)
CORES: Final = {
    # dry mass [g], bulk gravity, absorption [% of volume], what is noted
    "K-1": (1412.6, 2.372, 0.6, ""),
    "K-2": (1428.1, 2.381, 0.5, ""),
    "K-3": (1306.4, 2.262, 1.4, "Edge crumbled when it was cut."),
    "K-4": (1431.9, 2.384, 0.4, ""),
    "K-5": (1420.7, 2.377, 2.3, ""),
}
SECTIONS: Final = (
    # hour, station [m], densities [kg/m3] of the section
    ("10:04", 3420.0, (2336, 2351, 2329, 2344, 2340)),
    ("14:04", 5190.0, (2318, 2331, 2297, 2322, 2309)),
)
NEAR_EDGE: Final = 2297
"""The reading that was taken nearer to the edge than is allowed."""
TARGET: Final = 2341.7
COUNTS: Final = (("12:13", 2889, "outside"), ("12:19", 2851, "within"))
LABORATORY: Final = "Merrowby County, materials"


ROLLED: Final = (
    # hour, roller, phase, mode, passes, km/h, mat [degC]
    ("07:29", "R1", "breakdown", "vibratory", 4, "4.6 km/h", 126),
    ("07:44", "R2", "intermediate", "pneumatic", 6, "5.4 km/h", 104),
)


def write(notes: Notebook) -> None:
    """The strip in the morning, the gauge at noon, the cores weighed in the afternoon."""
    for hour, roller, phase, mode, count, speed, temp in ROLLED:
        did = {"roller": roller, "event": "rolling", "phase": phase, "mode": mode, "passes": count}
        did |= {"speed": speed, "temp": f"{temp} degC"}
        where = stretch("2+225", "2+340")
        notes.write("bo", "roller", did, day_one(hour), place=where, instrument="ir-2")
    for n, (at_m, offset, densities) in enumerate(SPOTS):
        _grown(notes, n, lane(at_m, offset=offset), densities)
    for n, (at_m, offset, first, second, core) in enumerate(AIMED):
        both = {"strip": NAME, "readings": [f"{one} kg/m3" for one in (first, second)]}
        both |= {"core": core} if core else {}
        at = day_one("08:10") + timedelta(minutes=2 * n)
        _read(notes, (first + second) / 2, both, at, lane(at_m, offset=offset))
    _later(notes)
    for hour, count, result in COUNTS:
        counted = {"density_count": count, "moisture_count": 651, "result": result}
        notes.write("bo", "gauge-check", counted, day_one(hour), instrument="gauge-5")
    for n, (name, (dry, gravity, absorbed, note)) in enumerate(CORES.items()):
        _weighed(notes, name, n, dry, gravity, absorbed, note)


def _later(notes: Notebook) -> None:
    """Two sections of five readings in percent of the strip, one reading too near to the edge."""
    for hour, at_m, densities in SECTIONS:
        for n, density in enumerate(densities):
            body = {"basis": "strip", "reference": NAME}
            body["percent"] = f"{100 * density / TARGET:.1f} %"
            body |= {"to_edge": "0.25 m"} if density == NEAR_EDGE else {}
            at = day_one(hour) + timedelta(minutes=3 * n)
            _read(notes, density, body, at, lane(at_m + 9 * n, offset="1.8 m"))


def _grown(notes: Notebook, n: int, where: dict[str, str], densities: Sequence[int]) -> None:
    """Density over passes at one place, one reading each."""
    for number, (passes, density, temp) in enumerate(zip(PASSES, densities, MAT_C, strict=True)):
        body = {"strip": NAME, "passes": passes, "temp": f"{temp - n} degC"}
        at = day_one("07:31") + timedelta(minutes=5 * number + n)
        _read(notes, density, body, at, where)


def _read(notes: Notebook, density: float, more: dict[str, Any], at: Any, where: Any) -> None:
    """One density by the gauge, for process."""
    body = {
        "density": f"{density:g} kg/m3",
        "percent": f"{density / (2.524 * 9.971):.1f} %",
        "basis": "maximum",
        "reference": "maximum gravity 2.524 of design MD-16-03, water 997.1 kg/m3",
        "method": "gauge",
        "purpose": "process",
        **more,
    }
    notes.write("bo", "density", body, at, place=where, instrument="gauge-5")


def _weighed(
    notes: Notebook, name: str, n: int, dry: float, gravity: float, absorbed: float, note: str
) -> None:
    """A core cut at a reading of the strip, weighed in the site laboratory."""
    at_m, offset, *_ = AIMED[n]
    volume = dry / gravity
    ssd = dry + absorbed / 100 * volume
    masses = {"dry": f"{dry} g", "ssd": f"{ssd:.1f} g", "water": f"{ssd - volume:.1f} g"}
    around = [f"{60 + (n + k) % 3} mm" for k in range(4)]
    body = {"core": name, **masses, "around": around, "purpose": "process"}
    body |= {"note": note} if note else {}
    at = day_one("15:34") + timedelta(minutes=6 * n)
    notes.write("bo", "core", body, at, place=lane(at_m, offset=offset))


def taken_over(notes: Notebook, cores: Sequence[str]) -> None:
    """In the evening everything goes to the laboratory, which takes it over under its seals.

    One core arrives under another seal than was put on it, and nobody wrote why.
    """
    for n, name in enumerate(("C-16-1", "C-16-2")):
        sealed = {"sample": name, "step": "sealed", "seal": f"MC 3{n + 1}160"}
        notes.write("bo", "custody", sealed, day_one("16:34") + timedelta(minutes=n))
    for name in cores:
        over = {"sample": name, "step": "handed over", "to": LABORATORY}
        notes.write("bo", "custody", over, day_one("18:22"))
    for name in (*cores, "C-16-1", "C-16-2", "S-16-1", "S-16-2"):
        received = {"sample": name, "step": "received", "to": LABORATORY}
        if name == "C-mat-2-2":
            received["seal"] = "MC 22802"
        notes.write("greta", "custody", received, day_one("18:51"))
