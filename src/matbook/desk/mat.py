"""The mat: a strip of each lane with every observation at its station, and the same as a table."""

from collections.abc import Iterator, Mapping
from typing import Any, Final

from matbook.desk.asking import Asked
from matbook.desk.entries import kind_title, words_of
from matbook.desk.rolling import orders, rolling
from matbook.shift.calls import GRADES
from matbook.shift.charts.picture import chart
from matbook.shift.charts.piecewise import columns, table
from matbook.shift.charts.sheet import LAPTOP, PHONE
from matbook.shift.charts.strip import Ground, Spot, strip
from matbook.shift.display import written
from matbook.shift.facts import Fact
from matbook.shift.laid import beyond
from matbook.shift.loads import load_of
from matbook.shift.mats import missing
from matbook.shift.measured import MEASURES
from matbook.shift.places import metres

FOOT_M: Final = 0.3048
TRACKS: Final = (
    *("loads", "temperature", "depth", "shape", "rolling", "density", "paver", "other"),
)
OF_KIND: Final[Mapping[str, str]] = {
    "load": "loads",
    "placed": "loads",
    "temperature": "temperature",
    "loose-depth": "depth",
    "width": "shape",
    "slope": "shape",
    "overlap": "shape",
    "edge": "shape",
    "straightedge": "shape",
    "roller": "rolling",
    "density": "density",
    "core": "density",
    "draw": "density",
    "sample": "density",
    "test-result": "density",
    "paver": "paver",
    **dict.fromkeys(
        ("joint-longitudinal", "joint-transverse", "ramp", "markings", "tack", "defect"), "other"
    ),
    **dict.fromkeys(("surface", "photo", "note", "checklist", "hold-point", "quantity"), "other"),
}
"""Kind of entry -> the track it stands in."""

MEASURED: Final = frozenset({*MEASURES, "load", "placed", "paver", "density", "core"})
"""Kinds that everybody who may look at the mat sees there; others only as entries they may see."""

LABELS: Final = (
    "temp",
    "depth",
    "width",
    "slope",
    "overlap",
    "run",
    "gap",
    "percent",
    "density",
    "speed",
)
"""Fields whose value is written on the strip where it is beyond a limit."""

Strip = tuple[str, str]


def mat(asked: Asked) -> dict[str, Any]:
    """Every lane and lift that anything was observed in."""
    found: dict[Strip, list[tuple[Fact, float, float | None]]] = {}
    for fact, at_m, from_m in placed(asked):
        found.setdefault(strip_of(asked, fact), []).append((fact, at_m, from_m))
    states = _states(asked)
    lanes = [_lane(asked, key, facts, states) for key, facts in sorted(found.items())]
    return {"lanes": lanes, "picture": {"words": _why(asked)}, "orders": orders(asked)}


def placed(asked: Asked) -> Iterator[tuple[Fact, float, float | None]]:
    """Every observation in a lane of the plan that has a station, with where it began."""
    for kind in OF_KIND:
        for fact in asked.facts.of(kind):
            in_words = kind not in MEASURED and not asked.sees(fact.entry)
            if in_words or fact.place("lane") not in asked.plan.lanes:
                continue
            plan = asked.facts.plan_at(fact.at)
            from_m = asked.begun.get(fact.id, metres(plan, fact, "from"))
            ends = metres(plan, fact), metres(plan, fact, "to"), from_m
            at_m = next((end for end in ends if end is not None), None)
            if at_m is not None:
                yield fact, at_m, from_m if from_m != at_m else None


def strip_of(asked: Asked, fact: Fact) -> Strip:
    """The lane and lift of an observation; the lane's only lift where it names none."""
    lane, lift = fact.place("lane"), fact.place("lift")
    lifts = [one.id for one in asked.plan.lifts.values() if lane in one.lanes]
    return lane, lift or (lifts[0] if len(lifts) == 1 else "")


def _states(asked: Asked) -> dict[str, str]:
    """The state of each entry that a limit or a call speaks of."""
    found: dict[str, str] = {}
    for kind in MEASURES:
        for reading in asked.view.readings(kind):
            if reading.judgements:
                found.setdefault(reading.fact.id, "fine")
    for load in asked.view.loads:
        looked = load.looked_at
        if looked is not None and looked.text("temp_how") != "infrared":
            found |= dict.fromkeys(load.ids, "fine")
    for grade in reversed(GRADES[:2]):
        for call in asked.view.calls:
            if call.grade == grade:
                found |= dict.fromkeys(call.entries, grade)
    return found


def _lane(
    asked: Asked,
    key: Strip,
    facts: list[tuple[Fact, float, float | None]],
    states: Mapping[str, str],
) -> dict[str, Any]:
    lane, lift = key
    held = asked.plan.lanes[lane]
    stationing = asked.plan.road_of(lane).stationing
    against = held.to_m < held.from_m
    facts = sorted(facts, key=lambda one: (-one[1] if against else one[1], one[0].order))
    spots, rows = [], []
    for fact, at_m, from_m in facts:
        state = states.get(_counted(asked, fact), "unknown")
        station = fact.place("station") or fact.place("to") or fact.place("from")
        row = _row(asked, fact, station, state)
        words = f"{row['station']} {row['at']} {row['kind']}: {row['words']} ({row['state_words']})"
        track = OF_KIND[fact.entry.kind]
        spots.append(Spot(track, at_m, from_m, state, _label(fact), words, fact.id))
        rows.append(row)
    # a misread station would draw all others together: the table alone has it
    within = [one for one in spots if not beyond(held, one.at_m)]
    step = FOOT_M if asked.plan.job.units == "us" else 1.0
    way = asked.say("mat.way")
    ground = Ground(against, step, lambda at: stationing.format(at, places=0), way)
    tracks = [(one, asked.say(f"track.{one}")) for one in TRACKS]
    names = asked.plan.lifts
    said = {
        "lane": held.name,
        "lift": names[lift].name if lift in names else lift or "—",
        "count": len(rows),
        "low": rows[0]["station"],
        "high": rows[-1]["station"],
    }
    alt = asked.say("mat.alt", **said)
    return {
        "lane": lane,
        "lift": lift,
        "title": f"{said['lane']}, {said['lift']}",
        "alt": alt,
        "svg": strip(within or spots, tracks, ground).svg(alt),
        "picture": _picture(asked, lane, lift),
        "rolling": rolling(asked, lane, lift),
        "rows": rows,
    }


def _why(asked: Asked) -> str:
    """Why there is no picture of the shift; empty where there is one."""
    why = missing(asked.view.plan, asked.view.facts)
    if not why and not asked.view.mats:
        why = "cooling.nothing"
    return asked.say("mat.picture.none", why=asked.say(why)) if why else ""


def _picture(asked: Asked, lane: str, lift: str) -> dict[str, Any] | None:
    """The picture of the shift in this lane and lift, and the same as a table."""
    wide = PHONE if asked.text("size", "phone") == "phone" else LAPTOP
    made = chart(asked.view, lane, lift, wide, asked.words)
    if made is None:
        return None
    return {
        "svg": made.svg,
        "alt": made.alt,
        "caption": made.caption,
        "columns": columns(asked.view, lane, lift, asked.words),
        "rows": [list(row) for row in table(asked.view, lane, lift, asked.words)],
    }


def _counted(asked: Asked, fact: Fact) -> str:
    """The entry that is spoken of: a part of a load stands for itself, a load for its witness."""
    load = load_of(asked.facts, fact.id) if fact.entry.kind == "load" else None
    return load.id if load else fact.id


def _row(asked: Asked, fact: Fact, station: str, state: str) -> dict[str, Any]:
    return {
        "station": station,
        "at": asked.clock(fact.at),
        "kind": kind_title(asked, fact.entry.kind),
        "words": words_of(asked, fact.entry)[1],
        "state": state,
        "state_words": asked.say(f"mark.{state}"),
        "id": fact.id,
    }


def _label(fact: Fact) -> str:
    name = next((one for one in LABELS if fact.text(one)), "")
    return written(fact.text(name)) if name else fact.text("sign")[:16]
