"""The cursor of the picture: everything at one station and one moment, in words."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from math import hypot
from typing import Any, Final

from matbook.book.entry import moment
from matbook.desk.asking import Asked
from matbook.desk.entries import kind_title, words_of
from matbook.desk.mat import placed, strip_of
from matbook.engine.forecasting import Range
from matbook.errors import NotFound, Refused
from matbook.shift.at_place import Here, here, laid_at
from matbook.shift.charts.piecewise import range_of
from matbook.shift.charts.sheet import LAPTOP, PHONE, Sheet, sheet_of
from matbook.shift.display import clock
from matbook.shift.mats import Mat
from matbook.shift.places import label

NEAR_M: Final = 30.0
NEAR_S: Final = 1200.0
"""What was seen so near in place and time is listed, the nearest first."""
MOST: Final = 6
HALF_A_DAY: Final = timedelta(hours=12)


def mat_at(asked: Asked) -> dict[str, Any]:
    """What lies at a point of the picture of one lane and lift.

    Takes: lane and lift; and x and y in the drawing's own units at its size (phone or laptop), or
    a station and a time as people write them (time: HH:MM, or a whole moment; now if left out).
    """
    lane, lift = asked.text("lane"), asked.text("lift")
    wide = PHONE if asked.text("size", "phone") == "phone" else LAPTOP
    sheet = sheet_of(asked.view, lane, lift, wide) if lane in asked.plan.lanes else None
    if sheet is None:
        raise NotFound(asked.say("mat.at.no-picture"))
    at_m, when = _point(asked, sheet, lane)
    mat = laid_at(asked.view, lane, lift, at_m)
    found = here(asked.view, mat, at_m, when) if mat is not None else None
    station = label(asked.plan, lane, at_m)
    lines = [_unmeasured(asked, lane, lift, at_m) if mat is None else _laid(asked, mat, at_m, when)]
    if found is not None:
        lines += _then(asked, found, when)
    return {
        "head": asked.say("mat.at.head", station=station, at=clock(when)),
        "station": station,
        "at": clock(when),
        "x": round(sheet.x(at_m), 1),
        "y": round(sheet.down(when), 1),
        "lines": lines,
        "entries": _near(asked, lane, lift, at_m, when),
    }


def _point(asked: Asked, sheet: Sheet, lane: str) -> tuple[float, datetime]:
    """The station [m] and the moment asked about; raises Refused."""
    x, y = _number(asked, "x"), _number(asked, "y")
    if x is not None and y is not None:
        across = min(max(x, sheet.x.start), sheet.x.end)
        down = min(max(y, sheet.y.start), sheet.y.end)
        return sheet.x.value(across), sheet.at(down)
    said = asked.text("station")
    if not said:
        raise Refused("station", "", "a station, or x and y in the units of the drawing")
    return asked.plan.road_of(lane).stationing.parse(said), _moment(asked)


def _number(asked: Asked, name: str) -> float | None:
    value = asked.arguments.get(name)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < 1e6:
        raise Refused(name, str(value)[:40], "it must be a number, in the units of the drawing")
    return float(value)


def _moment(asked: Asked) -> datetime:
    """HH:MM on the shift's own clock, the nearest to now; or a whole moment."""
    said, now = asked.text("time"), asked.now
    if not said:
        return now
    if len(said) > 5:
        return moment(said).astimezone(now.tzinfo)
    hours, _, minutes = said.partition(":")
    if not (hours.isdigit() and minutes.isdigit() and int(hours) < 24 and int(minutes) < 60):
        raise Refused("time", said, "hours and minutes as 12:45, or a whole moment")
    at = now.replace(hour=int(hours), minute=int(minutes), second=0, microsecond=0)
    if at - now > HALF_A_DAY:
        return at - timedelta(days=1)
    return at + timedelta(days=1) if now - at > HALF_A_DAY else at


def _unmeasured(asked: Asked, lane: str, lift: str, at_m: float) -> str:
    """Why nothing is forecast at a station: no load lies there, or nobody took its temperature."""
    for piece in asked.view.pieces:
        low, high = sorted((piece.from_m, piece.to_m))
        if (piece.lane, piece.lift) == (lane, lift) and low <= at_m <= high:
            return asked.say("mat.at.unmeasured", load=piece.part.load.label)
    return asked.say("mat.at.nothing")


def _laid(asked: Asked, mat: Mat, at_m: float, when: datetime) -> str:
    temp, at = asked.display.show("temperature", mat.laid_c), mat.at_station(at_m)
    said = asked.say(
        f"mat.at.laid.{mat.laid_by}", at=clock(at), load=mat.piece.part.load.label, temp=temp
    )
    return said if at <= when else f"{asked.say('mat.at.later')} {said}"


def _then(asked: Asked, found: Here, when: datetime) -> Iterator[str]:
    """How hot it is then, which phase that is, and how long rolling still makes density."""
    if found.mean is not None and found.surface is not None:
        yield asked.say(
            "mat.at.temps",
            mean=range_of(asked.display, found.mean, asked.words),
            surface=range_of(asked.display, found.surface, asked.words),
        )
    if found.phases:
        yield asked.say("mat.at.phase", phases=", ".join(one.name for one in found.phases))
    if found.left is not None:
        yield _left(asked, found.left, when)
    checked = asked.view.checked.agreeing
    said = asked.say("picture.checked", n=checked)
    if not checked:
        said = asked.say("answer.rolling.unchecked")
    yield f"{said[:1].upper()}{said[1:]}."


def _left(asked: Asked, left: Range, when: datetime) -> str:
    """Minutes left, or since when there are none; the late end while it is not sure."""
    ends = [timedelta(seconds=end) for end in (left.early, left.middle, left.late)]
    if left.late <= 0.0:
        low, middle, high = (clock(when + end) for end in ends)
        return asked.say("mat.at.over", middle=middle, low=low, high=high)
    low, middle, high = (f"{end / timedelta(minutes=1):.0f}" for end in ends)
    if left.early <= 0.0:
        return asked.say("mat.at.ending", late=high)
    return asked.say("mat.at.left", middle=middle, low=low, high=high)


def _near(asked: Asked, lane: str, lift: str, at_m: float, when: datetime) -> list[dict[str, str]]:
    """The observations around the place and the moment, the nearest first."""
    found = []
    for fact, end_m, from_m in placed(asked):
        if strip_of(asked, fact) != (lane, lift):
            continue
        low, high = sorted((end_m, end_m if from_m is None else from_m))
        away_m = max(low - at_m, at_m - high, 0.0)
        away_s = abs((fact.at - when).total_seconds())
        if away_m <= NEAR_M and away_s <= NEAR_S:
            found.append((hypot(away_m / NEAR_M, away_s / NEAR_S), fact.order, fact))
    return [
        {
            "id": fact.id,
            "words": f"{asked.clock(fact.at)} {kind_title(asked, fact.entry.kind)}: "
            f"{words_of(asked, fact.entry)[1]}",
        }
        for _, _, fact in sorted(found, key=lambda one: one[:2])[:MOST]
    ]
