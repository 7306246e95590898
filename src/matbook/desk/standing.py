"""How a shift stands: what is up, the six answers, the plan, the mat, and what closing needs."""

from collections.abc import Iterator, Mapping
from typing import Any

from matbook.book.kinds import kinds
from matbook.desk.answers import answers
from matbook.desk.entered import value_words
from matbook.desk.seen import Seen, in_short, kind_words
from matbook.shift.calls import Call
from matbook.shift.display import clock
from matbook.shift.facts import Fact
from matbook.shift.places import label, metres
from matbook.shift.speak import limit_words, quantity_words, spoken
from matbook.words import say


def now(seen: Seen) -> dict[str, Any]:
    """What needs the person, most urgent first, and the six standing answers."""
    view, shift = seen.view, str(seen.view.facts.shift)
    return {
        "shift": shift,
        "job": view.plan.job.name,
        "units": view.plan.job.units,
        "at": view.now.isoformat(),
        "heading": {"title": view.plan.job.name, "line": " · ".join(_heading(seen))},
        "calls": [_call(seen, call) for call in view.calls],
        "answers": _answers(seen),
        "closed": bool(view.facts.of("shift-close")),
        "sealed": seen.book.seal_of(shift) is not None,
    }


def _heading(seen: Seen) -> Iterator[str]:
    view = seen.view
    for piece in view.pieces[-1:]:
        yield view.plan.lifts[piece.lift].name
        yield f"{piece.lane} {label(view.plan, piece.lane, piece.to_m)}"
    yield clock(view.now)


def _call(seen: Seen, call: Call) -> dict[str, Any]:
    view = seen.view
    words = spoken(call, view.plan, view.now, seen.language)
    told = view.told(call)
    limit = limit_words(call.limit, seen.language) if call.limit else ""
    code = "notice.draft.limit" if limit else "notice.draft"
    return {
        "id": call.id,
        "code": call.code,
        "grade": call.grade,
        "head": words.head,
        "line": words.line,
        "small": words.small,
        "tell": [
            {"id": one, "name": seen.person(one), "role": view.plan.people[one].role}
            for one in call.tell
        ],
        "told": told
        and {
            "id": told.id,
            "at": clock(told.at),
            "to": [seen.person(one) for one in told.to],
            "settled": told.settled,
        },
        "entries": list(call.entries),
        "figure": _behind(seen, call),
        "draft": say(code, seen.language, head=words.head, line=words.line, limit=limit),
    }


def _behind(seen: Seen, call: Call) -> str | None:
    """The figure that a call speaks of, by its name."""
    if call.code in ("yield.shift", "yield.lift"):
        place = "" if call.subject == "shift" else f"/{call.subject}"
        return f"{call.code}{place}/deviation"
    if call.code in ("yield.load", "yield.last"):
        for row in seen.view.rows:
            piece = row.piece
            if piece.part.fact.id in call.entries:
                return f"{call.code}/{piece.lane}/{piece.lift}/{piece.part.load.label}/deviation"
    return None


def _answers(seen: Seen) -> list[dict[str, Any]]:
    last, laid = seen.view.last_load, seen.view.shift_yield
    opens = {"yield": laid and ("yield.shift/deviation" if laid.deviation else "yield.shift/rate")}
    return [
        {
            "name": one.name,
            "title": say(f"answer.{one.name}", seen.language),
            "number": one.number,
            "lines": list(one.lines),
            "state": one.state,
            "figure": opens.get(one.name),
            "entries": [last.id] if one.name == "load" and last is not None else [],
        }
        for one in answers(seen.view, seen.language)
    ]


def plan(seen: Seen) -> dict[str, Any]:
    """The plan in force, as people read it, and how it came to be so."""
    found = seen.view.plan
    return {
        "job": {"id": found.job.id, "name": found.job.name, "units": found.job.units},
        "people": [
            {"id": one.id, "name": one.name, "role": one.role} for one in found.people.values()
        ],
        **{
            name: [_named(id_, one) for id_, one in items.items()]
            for name, items in _lists(seen).items()
        },
        "limits": [
            {
                "path": f"limits.{limit.id}",
                "words": f"{quantity_words(limit.quantity, seen.language)}: "
                f"{limit_words(limit, seen.language)}",
                "number": limit.number,
                "unit": limit.unit,
                "grade": limit.grade,
                "clause": limit.clause,
                "source": limit.source,
            }
            for limit in found.limits
        ],
        "changes": [
            {
                "at": clock(change.entry.at),
                "path": change.path,
                "old": change.old,
                "new": change.new,
                "why": change.entry.why,
                "agreed": str(change.entry.body.get("agreed", "")),
                "by": seen.person(change.entry.by),
            }
            for change in seen.view.facts.plans.changes
        ],
    }


def _lists(seen: Seen) -> dict[str, Mapping[str, Any]]:
    found = seen.view.plan
    return {
        "lanes": found.lanes,
        "lifts": found.lifts,
        "mixes": found.mixes,
        "plants": found.plants,
        "pavers": found.pavers,
        "trucks": found.trucks,
        "instruments": found.instruments,
    }


def _named(id_: str, one: Any) -> dict[str, str]:
    return {"id": id_, "name": str(getattr(one, "name", "") or id_)}


def mat(seen: Seen) -> dict[str, Any]:
    """Each lane's observations in the order of their stations."""
    rows: dict[tuple[str, str], list[tuple[float, dict[str, Any]]]] = {}
    view = seen.view
    urgent = {entry: call.grade for call in reversed(view.calls) for entry in call.entries}
    for fact in (fact for kind in kinds() for fact in view.facts.of(kind)):
        lane, found = fact.place("lane"), _station(seen, fact)
        if lane in view.plan.lanes and found is not None:
            row = {
                "station": label(view.plan, lane, found),
                "at": clock(fact.at),
                "kind": fact.entry.kind,
                "words": f"{kind_words(fact.entry.kind, seen.language)} {_said(fact)}".rstrip(),
                "state": urgent.get(fact.id, "note"),
                "id": fact.id,
            }
            rows.setdefault((lane, fact.place("lift")), []).append((found, row))
    return {
        "lanes": [
            {
                "lane": seen.view.plan.lanes[lane].name,
                "lift": lift,
                "rows": [row for _, row in sorted(found, key=lambda pair: pair[0])],
            }
            for (lane, lift), found in sorted(rows.items())
        ],
        "picture": None,
    }


def _said(fact: Fact) -> str:
    """What an observation says, without its station, which stands beside it."""
    said = in_short(fact.entry)
    first = next(iter(fact.body.values()), "")
    return value_words(first) if said in fact.entry.place.values() else said


def _station(seen: Seen, fact: Fact) -> float | None:
    """Where an observation was, in metres along its road: its station, or where it ended."""
    stations = (metres(seen.view.plan, fact, name) for name in ("station", "to", "from"))
    return next((at for at in stations if at is not None), None)


def close(seen: Seen) -> dict[str, Any]:
    """What is still open, and which devices this book has heard from."""
    facts = seen.view.facts
    chains = facts.chains()
    return {
        "open": [
            f"{words.head}: {words.line}"
            for call in seen.view.calls
            if call.grade != "note"
            for words in (spoken(call, seen.view.plan, seen.view.now, seen.language),)
        ],
        "devices": [{"device": device, "entries": chain.count} for device, chain in chains.items()],
        "opened": bool(facts.of("shift-open")),
        "closed": bool(facts.of("shift-close")),
        "sealed": seen.book.seal_of(str(facts.shift)) is not None,
    }
