"""What the mat, the paver and the checks need said."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from itertools import groupby
from math import fsum

from matbook.book.entry import Entry
from matbook.plan.judge import judge, limits_for, people_to_tell
from matbook.plan.model import Plan
from matbook.shift.calls import Call, beyond, of_roles
from matbook.shift.display import clock
from matbook.shift.due import Due
from matbook.shift.facts import Facts
from matbook.shift.gathered import Order
from matbook.shift.laid import Piece, Strip
from matbook.shift.measured import MEASURES, impossible
from matbook.shift.measured import beyond as readings_beyond
from matbook.shift.pavers import Leg, Stop, lines
from matbook.shift.places import label, unreadable
from matbook.shift.yields import Row, Yield, by_course, of_shift, rows


def calls(
    facts: Facts, now: datetime, restarts: Mapping[Strip, float], checks: Sequence[Due]
) -> Iterator[Call]:
    """Every call about yield, readings, pavers and checks due."""
    yield from _yields(facts, restarts)
    yield from _readings(facts)
    for line in lines(facts):
        for stop in line.stops:
            yield from _stop(facts, stop, now)
        for leg in line.impossible:
            yield _too_fast(facts.plan_at(leg.to.at), line.paver, leg)
    yield from _due(checks, now)
    yield from _markings(facts)
    yield from facts.watched("stations", lambda entry: tuple(_stations(facts, entry)))


def _yields(facts: Facts, restarts: Mapping[Strip, float]) -> Iterator[Call]:
    """Per load and running windows speak for the latest piece only; totals for all."""
    yield from _was_beyond(facts, rows(facts, restarts))
    yield from _laid_twice(facts, rows(facts, restarts))
    for row in _latest(rows(facts, restarts)):
        for one in (row.own, row.last):
            if one is not None:
                place = f"{row.piece.lane}/{row.piece.lift}/{row.piece.paver}"
                yield from _yield(facts, one, place, row.piece.at, row)
    latest = {(r.piece.lane, r.piece.lift): r.piece.at for r in rows(facts, restarts)}
    for (lane, lift), total in by_course(facts, restarts).items():
        yield from _yield(facts, total, f"{lane}/{lift}", latest[lane, lift], None)
    whole = of_shift(facts, restarts)
    if whole is not None:
        yield from _yield(facts, whole, "shift", rows(facts, restarts)[-1].piece.at, None)


def _was_beyond(facts: Facts, all_rows: tuple[Row, ...]) -> Iterator[Call]:
    """Stretches where the last five loads stood beyond a limit, and do no longer."""
    latest = {row.piece.part.fact.id for row in _latest(all_rows)}
    by_run = sorted(all_rows, key=lambda row: row.piece.run)  # pavers side by side come in turn
    for _, group in groupby(by_run, key=lambda r: (r.piece.run, bool(r.last and r.last.beyond))):
        stretch = list(group)
        first, last = stretch[0], stretch[-1]
        if not (first.last and first.last.beyond) or last.piece.part.fact.id in latest:
            continue
        found = [row.last.deviation.value for row in stretch if row.last and row.last.deviation]
        worst = max(found, key=abs)
        lane, lift, _ = first.piece.strip
        says = {
            "pct": worst,
            "from": label(facts.plan_at(first.piece.at), lane, first.piece.from_m),
            "to_station": label(facts.plan_at(last.piece.at), lane, last.piece.to_m),
            "until": clock(facts.local(last.piece.at)),
        }
        yield beyond(
            first.last.beyond[0],
            facts.plan_at(first.piece.at),
            "yield.was",
            "watch",
            f"{lane}/{lift}/{first.piece.part.load.id}",
            first.piece.at,
            tuple(row.piece.part.fact.id for row in stretch),
            **says,
        )


def _latest(all_rows: tuple[Row, ...]) -> list[Row]:
    return list({row.piece.paver: row for row in all_rows}.values())


def _yield(facts: Facts, one: Yield, place: str, at: datetime, row: Row | None) -> Iterator[Call]:
    deviation = one.deviation
    for judgement in one.beyond:
        assert deviation is not None
        yield beyond(
            judgement,
            facts.plan_at(at),
            one.quantity,
            None,
            place,
            at,
            (row.piece.part.fact.id,) if row else (),
            pct=deviation.value,
            low=deviation.low,
            high=deviation.high,
            place=place,
            thickness_m=one.thickness.value if one.thickness else None,
            loads=one.total.loads,
        )


def _readings(facts: Facts) -> Iterator[Call]:
    for kind in MEASURES:
        for fact in impossible(facts, kind):
            says: dict[str, object] = {"kind": kind, "station": fact.place("station")}
            ids = (fact.id,)
            yield Call("reading.impossible", fact.id, "watch", fact.at, says, entries=ids)
        for reading in readings_beyond(facts, kind):
            for judgement in reading.beyond:
                fact = reading.fact
                yield beyond(
                    judgement,
                    facts.plan_at(fact.at),
                    "reading.beyond",
                    None,
                    f"{fact.id}/{judgement.limit.id}",
                    fact.at,
                    (fact.id,),
                    quantity=reading.quantity,
                    value=reading.value.value,
                    unit=reading.value.unit,
                    target=reading.target.value if reading.target else None,
                    station=fact.place("station") or fact.place("from"),
                    by=judgement.by,
                )


def _stop(facts: Facts, stop: Stop, now: datetime) -> Iterator[Call]:
    plan = facts.plan_at(stop.started)
    minutes = stop.lasted(now).total_seconds() / 60
    says = {"paver": stop.paver, "minutes": minutes, "reason": stop.reason, "station": stop.station}
    for limit in limits_for(plan, "stop", lane=stop.lane):
        judgement = judge(limit, minutes, "min", plan.job.rounding)
        if not judgement.ok:
            code = "paver.standing" if stop.ended is None else "paver.stood"
            tell = tuple(person.id for person in people_to_tell(plan, limit))
            grade = limit.grade if stop.ended is None else "note"
            yield Call(code, stop.id, grade, stop.started, says, limit, tell, (stop.id,))


def _too_fast(plan: Plan, paver: str, leg: Leg) -> Call:
    says: dict[str, object] = {
        "paver": paver,
        "length_m": leg.length_m,
        "minutes": max(0.0, leg.moving_s / 60),
        "station": label(plan, leg.to.lane, leg.to.station_m),
    }
    entries = (leg.since.id, leg.to.id)
    return Call("paver.impossible", leg.to.id, "watch", leg.to.at, says, entries=entries)


def _markings(facts: Facts) -> Iterator[Call]:
    """What traffic should meet and, by the last look at each item, does not."""
    latest = {fact.text("item"): fact for fact in facts.of("markings")}
    for item, fact in latest.items():
        if fact.text("state") != "present":
            says = {"item": item, "state": fact.text("state")}
            tell = of_roles(facts.plan_at(fact.at), "contractor", "supervisor")
            entries = (fact.id,)
            yield Call("markings.not-present", fact.id, "watch", fact.at, says, None, tell, entries)


def _laid_twice(facts: Facts, all_rows: tuple[Row, ...]) -> Iterator[Call]:
    """Pieces of one lane and lift that lie over one another: a station or a time was misread."""
    over: dict[str, list[tuple[Piece, float]]] = defaultdict(list)
    held: dict[str, Piece] = {}
    furthest: dict[tuple[str, str], Piece] = {}
    for other in sorted((row.piece for row in all_rows), key=_by_place):
        low, high = sorted((other.from_m, other.to_m))
        one = furthest.get((other.lane, other.lift), other)
        reached = max(one.from_m, one.to_m)
        if one is not other and min(reached, high) - low > TWICE_M:
            held[one.part.fact.id] = one
            over[one.part.fact.id].append((other, min(reached, high) - low))
        if one is other or high > reached:
            furthest[other.lane, other.lift] = other
    for name, found in over.items():
        yield _over(facts, held[name], found)


def _over(facts: Facts, one: Piece, found: Sequence[tuple[Piece, float]]) -> Call:
    """Which load was written wrong can't be known, so all are named: of two the later one first."""
    low_m = min(found[0][0].from_m, found[0][0].to_m)
    ids = (one.part.fact.id, *(other.part.fact.id for other, _ in found))
    others = [other for other, _ in found]
    if len(others) == 1 and others[0].part.fact.order > one.part.fact.order:
        one, others = others[0], [one]
    shown = [_load_at(facts, other) for other in others[:NAMED]]
    says = {
        "load": _load_at(facts, one),
        "n": len(others),
        "others": ", ".join([*shown, "…"] if len(others) > NAMED else shown),
        "length_m": fsum(length for _, length in found),
        "station": label(facts.plan_at(one.at), one.lane, low_m),
    }
    return Call("yield.twice", one.part.fact.id, "watch", one.at, says, entries=ids)


def _load_at(facts: Facts, piece: Piece) -> str:
    return f"{piece.part.load.label} ({clock(facts.local(piece.at))})"


NAMED = 6
"""So many loads are named that lie under another; more say nothing more."""


def _by_place(piece: Piece) -> tuple[str, str, float, Order]:
    return piece.lane, piece.lift, min(piece.from_m, piece.to_m), piece.part.fact.order


TWICE_M = 2.0
"""Stations are read to a metre or so; mats that overlap further are one place named twice."""


def _unknown(facts: Facts, entry: Entry) -> Iterator[Call]:
    """Names in an entry that the plan does not have."""
    plan = facts.plan_at(entry.at)
    known: dict[str, tuple[str, object, str]] = {
        "lane": (str(entry.place.get("lane", "")), plan.lanes, "watch"),
        "lift": (str(entry.place.get("lift", "")), plan.lifts, "watch"),
        "paver": (str(entry.place.get("paver", "")), plan.pavers, "watch"),
        "instrument": (entry.instrument, plan.instruments, "note"),
        "plant": (str(entry.body.get("plant", "")), plan.plants, "watch"),
        "truck": (str(entry.body.get("truck", "")), plan.trucks, "note"),
    }
    for what, (name, names, grade) in known.items():
        if name and names and name not in names:  # type: ignore[operator]
            says = {"kind": entry.kind, "what": what, "name": name}
            subject = f"{what}/{name}"
            yield Call("plan.name-unknown", subject, grade, entry.at, says, entries=(entry.id,))


def _stations(facts: Facts, entry: Entry) -> Iterator[Call]:
    if facts.state(entry) == "stands":
        yield from _unknown(facts, entry)
        for written, why in unreadable(facts.plan_at(entry.at), entry):
            says = {"station": written, "kind": entry.kind, "why": why}
            yield Call(
                "station.unreadable", entry.id, "watch", entry.at, says, None, (), (entry.id,)
            )


def _due(checks: Sequence[Due], now: datetime) -> Iterator[Call]:
    for item in checks:
        if item.left is None or item.left > 0 or item.lines is not None:
            continue  # what is due of a checklist is said line by line: lists.calls
        code = "check.overdue" if item.overdue else "check.due"
        if item.overdue and item.check.at:
            code = "check.missed"  # not so much too late, but passed over so often
        says: dict[str, object] = {"check": item.check.name}
        says |= (
            {"times": -item.left} if item.check.at else {"per": item.check.per, "by": -item.left}
        )
        grade = "watch" if item.overdue else "note"
        yield Call(code, item.check.id, grade, item.last.at if item.last else now, says)
