"""Harrow: how density was accepted: two lots drawn at random, cores, results.

The places really are drawn: the numbers below give them to anybody who works them out again.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Final

from matbook.engine.sampling import Drawn, Strip, combined, commit, draw, pieces
from tools.demo import harrow_density
from tools.demo.harrow_day_one import SHIFT as FIRST
from tools.demo.harrow_loads import day_one, day_two
from tools.demo.harrow_site import lane
from tools.demo.notebook import Notebook
from tools.demo.paving import Load

SECOND: Final = "harrow/2026-06-17/a/day"
LOT_KG: Final = 1_000_000
NEAR_KG: Final = 40_000
"""A place is told so far ahead, by the plan."""
SECRETS: Final = {
    "mat-1": ("5a1be0c94f7d23680e8a7714c3b95d02", "2741"),
    "mat-2": ("c7f2098e6d4b3a51f01d95e8b26a4073", "8803"),
}
"""The owner's number of each lot, and the contractor's."""
RULES: Final = (
    "Four sublots of 250 t, one core in each, 0.30 m off both edges. Blocked place: the next "
    "spare of the same sublot. A short last sublot of half its size or more stands alone."
)
BULK: Final = {
    # bulk gravity by the laboratory, by sublot
    "mat-1": ("2.344", "2.326", "2.354", "2.323"),
    "mat-2": ("2.312", "2.279"),
}
MAXIMUM: Final = "2.520"


def write(notes: Notebook, loads: Sequence[Load]) -> None:
    """Everything about lots, after the rest of both days has been written."""
    notes.shift = FIRST
    harrow_density.write(notes)
    cores = []
    for hour, lot in (("05:48", "mat-1"), ("05:49", "mat-2")):
        _committed(notes, lot, day_one(hour))
        cores += _cored(notes, lot, loads)
    harrow_density.taken_over(notes, [core for _, core, _ in cores])
    notes.shift = SECOND
    _results(notes, cores)


def _committed(notes: Notebook, lot: str, at: datetime) -> None:
    secret, contractors = SECRETS[lot]
    body = {"step": "committed", "lot": lot, "number": commit(secret), "rules": RULES}
    notes.write("greta", "draw", body, at)
    given = {"step": "contributed", "lot": lot, "number": contractors}
    notes.write("dale", "draw", given, at + timedelta(minutes=9))


def _cored(notes: Notebook, lot: str, loads: Sequence[Load]) -> list[tuple[str, str, str]]:
    """The places told as the paver comes by, and the cores cut there: lot, core, bulk gravity."""
    found = []
    for bulk, one in zip(BULK[lot], places(lot), strict=False):
        at_m, told = _sited(loads, LOT_KG * (lot == "mat-2") + one.at)
        passed = next(load.at for load in loads if load.from_m <= at_m <= load.to_m)
        place = lane(at_m, offset=f"{one.offset_m:.2f} m")
        said = {"step": "told", "lot": lot, "number": str(one.sublot)}
        drawn = notes.write("greta", "draw", said, told + timedelta(minutes=2), place=place)
        core = f"C-{lot}-{one.sublot}"
        body = {"core": core, "purpose": "acceptance", "draw": drawn, "note": "Cut on ice."}
        cut = passed + timedelta(minutes=75)
        notes.write("bo", "core", body, cut, place=place)
        sealed = {"sample": core, "step": "sealed", "seal": f"MC {lot[-1]}{one.sublot}820"}
        notes.write("bo", "custody", sealed, cut + timedelta(minutes=3))
        found.append((lot, core, bulk))
    return found


def _sited(loads: Sequence[Load], at_kg: int) -> tuple[float, datetime]:
    """Where the mat lies with so much before it; and when it was so near that it was told."""
    laid, told = 0, None
    for load in (one for one in loads if one.to_m > one.from_m):
        mass = 10 * (load.net - load.elsewhere)
        if laid + mass > at_kg:
            at_m = load.from_m + (at_kg - laid) / mass * (load.to_m - load.from_m)
            return at_m, told or load.at
        laid += mass
        if laid >= at_kg - NEAR_KG:
            told = told or load.at
    raise ValueError(f"{at_kg} kg were never laid")


def places(lot: str) -> list[Drawn]:
    """The drawn places of a lot, without their spares."""
    drawn = draw(combined(*SECRETS[lot]), lot, pieces(LOT_KG, LOT_KG // 4), Strip(3.65, 0.3, 0.3))
    return [one for one in drawn if one.spare == 0]


def _results(notes: Notebook, cores: Sequence[tuple[str, str, str]]) -> None:
    """What the laboratory found overnight, told in the morning."""
    at = day_two("06:33")
    for lot, core, bulk in cores:
        at += timedelta(minutes=1)
        body = {"test": "bulk gravity", "value": f"{bulk} 1", "sample": core}
        body |= {"laboratory": "Merrowby County, materials", "purpose": "acceptance", "lot": lot}
        notes.write("bo", "test-result", body, at)
    own = {"test": "maximum gravity", "value": f"{MAXIMUM} 1", "sample": "S-16-1"}
    own |= {"laboratory": "Merrowby County, materials", "purpose": "acceptance", "lot": "mat-1"}
    notes.write("bo", "test-result", own, at + timedelta(minutes=4))
    revealed = {"step": "revealed", "lot": "mat-1", "number": SECRETS["mat-1"][0]}
    notes.write("greta", "draw", revealed, at + timedelta(minutes=12))
