"""Shifts for tests of what is placed; all of it invented, in numbers that a hand can follow."""

from typing import Any

from tests.shift.site import PLAN, Site, at, moment, on

LIMITS = """
[[limits]]
id = "tack-least"
quantity = "tack.rate"
side = "min"
number = "0.20"
unit = "L/m2"
grade = "watch"
tell = ["contractor"]
[[limits]]
id = "edge-ratio"
quantity = "edge.ratio"
side = "min"
number = "4"
unit = "1"
grade = "watch"
[[limits]]
id = "drop"
quantity = "drop-off"
side = "max"
number = "50"
unit = "mm"
grade = "act"
[[limits]]
id = "offset"
quantity = "joint.offset"
side = "min"
number = "150"
unit = "mm"
grade = "watch"
"""

TACK = """
[tack]
material = "emulsion"
residue = "60 %"
base = "60 degF"
target = "0.25 L/m2"
tank_error = "10 L"
"""

PLACED = (
    PLAN.replace("[[roads]]", f"{TACK}[[roads]]", 1)
    .replace('[[limits]]\nid = "warm"', f'{LIMITS}[[limits]]\nid = "warm"', 1)
    .replace('holds = "6 t"', 'holds = "6 t"\ntow_arm = "2.5 m"', 1)
)
"""The small job with tack, a tow arm, and limits on what has edges."""


def reach(start: float, end: float) -> dict[str, str]:
    """A stretch of lane E, where no paver has been yet."""
    return {name: said for name, said in on("E", "binder", start, end).items() if name != "paver"}


def spread(site: Site, minute: float = 5, **body: Any) -> Any:
    """100 m of lane E, 350 m2, at 60 degF: 175 L are 0.5 L/m2, of which 0.3 stay."""
    said = {"before": "1000 L", "after": "825 L", "temp": "60 degF", **body}
    kept = {name: value for name, value in said.items() if value is not None}
    return site.write("tack", kept, minute, place=reach(0, 100))


def creeping(plan: str = PLACED, rise: float = 0.5, count: int = 8) -> Site:
    """Loose depths 10 m apart from 62.5 mm on, rising by so many mm each; scatter as told."""
    site = Site(plan)
    site.write("paver", {"event": "start"}, 0, place=at(0))
    for n in range(count):
        depth(site, n, 62.0 + rise * n + (0.5 if n % 2 else -0.5))
    return site


def depth(site: Site, n: int, mm: float, adjusted: str = "no") -> None:
    body = {"depth": f"{mm} mm", "adjusted": adjusted}
    site.write("loose-depth", body, 5 + n, place=at(10 * n))


def coming(site: Site, count: int, minute: float) -> None:
    """Loads that the plant's tickets tell of and nobody on the road has seen."""
    for n in range(count):
        site.load(
            str(900 + n), minute, by="pia", truck=None, witness="plant", loaded=moment(minute)
        )
