"""The plan as people read it, what was changed in it, and what changes during a shift."""

from collections.abc import Iterator, Mapping
from typing import Any, Final

from matbook.book.kinds import WRITERS
from matbook.desk.asking import Asked
from matbook.engine.units import Quantity, parse
from matbook.plan.changes import Change
from matbook.plan.model import Limit
from matbook.plan.paths import text_at
from matbook.plan.usual import usual_at
from matbook.shift.display import sign, written
from matbook.shift.speak import limit_words, quantity_words

Row = dict[str, Any]

CHANGEABLE: Final = (
    # table, its fields that change during a shift
    ("lifts", ("spread", "budget")),
    ("limits", ("number",)),
    ("instruments", ("calibrated", "due")),
    ("people", ("name", "role", "phone")),
)


def plan(asked: Asked) -> Row:
    """Everything that was agreed, and the changes since."""
    held, ours = asked.plan, asked.role in WRITERS
    changeable = list(_changeable(asked)) if asked.plans.plans else []
    titles = {row["path"]: row["title"] for row in changeable}
    return {
        "toml": _imported(asked) if ours else "",
        "job": {
            "id": held.job.id,
            "name": held.job.name,
            "owner": held.job.owner,
            "contract": held.job.contract,
            "units": held.job.units,
            "time_zone": held.job.time_zone,
            "note": held.job.note,
        },
        "people": [
            {
                "id": person.id,
                "name": person.name,
                "role": person.role,
                "role_words": asked.say(f"role.{person.role}"),
                "firm": person.firm,
                "phone": person.phone if ours else "",
            }
            for person in held.people.values()
        ],
        "instruments": [
            {
                "id": one.id,
                "name": one.name,
                "kind": one.kind,
                "serial": one.serial,
                "calibrated": one.calibrated,
                "due": one.due,
            }
            for one in held.instruments.values()
        ],
        **_names(asked),
        "limits": [_limit(asked, limit) for limit in held.limits],
        "changes": [_change(asked, one, titles) for one in asked.plans.changes],
        "troubles": [why for _, why in asked.plans.troubles],
        "changeable": changeable if ours else [],
    }


def _imported(asked: Asked) -> str:
    """The latest plan as it was imported: the whole text, phones of the owner's people included."""
    plans = sorted(asked.book.of_kind("plan"), key=lambda entry: entry.order, reverse=True)
    return next((e.body["toml"] for e in plans if isinstance(e.body.get("toml"), str)), "")


def _names(asked: Asked) -> Row:
    """Roads, lanes, lifts, mixes, plants, machines and trucks, by id and name."""
    held = asked.plan
    tables: dict[str, Any] = {
        "roads": held.roads,
        "lanes": held.lanes,
        "lifts": held.lifts,
        "mixes": held.mixes,
        "plants": held.plants,
        "pavers": held.pavers,
        "rollers": held.rollers,
        "trucks": held.trucks,
    }
    return {
        table: [{"id": one, "name": found.name or one} for one, found in rows.items()]
        for table, rows in tables.items()
    }


def _limit(asked: Asked, limit: Limit) -> Row:
    scope = " ".join(one for one in (limit.mix, limit.lift, limit.lane) if one)
    words = f"{quantity_words(limit.quantity, asked.words)}: {limit_words(limit, asked.words)}"
    return {
        "path": f"limits/{limit.id}",
        "words": f"{words} [{scope}]" if scope else words,
        "number": limit.number,
        "unit": sign(limit.unit),
        "grade": limit.grade,
        "clause": limit.clause,
        "source": limit.source,
    }


def _change(asked: Asked, change: Change, titles: Mapping[str, str]) -> Row:
    return {
        "at": f"{asked.local(change.entry.at).date()} {asked.clock(change.entry.at)}",
        "path": change.path,
        "title": titles.get(change.path, change.path),
        "old": change.old,
        "new": change.new,
        "was": _shown(asked, change.path, change.old),
        "is": _shown(asked, change.path, change.new),
        "why": change.entry.why,
        "agreed": asked.person(change.agreed),
        "by": asked.person(change.entry.by),
        "id": change.entry.id,
    }


def _changeable(asked: Asked) -> Iterator[Row]:
    """Each value that may change during a shift: its path, its title, and what it is now."""
    document = asked.plan.document
    for table, fields in CHANGEABLE:
        for row in document.get(table, ()):
            name = _named(asked, table, row)
            for field in fields:
                path = f"{table}/{row['id']}/{field}"
                yield _value(asked, path, f"change.{table}.{field}", name=name)
    for mix in document.get("mixes", ()):
        for row in mix.get("temperatures", ()):
            stage = asked.say(f"choice.{row['stage']}")
            for field in ("low", "high"):
                if field in row:
                    path = f"mixes/{mix['id']}/temperatures/{row['stage']}/{field}"
                    title = f"change.temperatures.{field}"
                    yield _value(asked, path, title, name=mix["name"], stage=stage)


def _named(asked: Asked, table: str, row: Row) -> str:
    if table == "limits":
        return quantity_words(row["quantity"], asked.words)
    return str(row.get("name", row["id"]))


def _value(asked: Asked, path: str, title: str, /, **arguments: str) -> Row:
    value = text_at(asked.plan.document, path) or ""
    amount = _amount(asked, path, value)
    return {
        "path": path,
        "title": asked.say(title, **arguments),
        "value": value,
        "shown": _shown(asked, path, value),
        "sign": sign(amount.unit) if amount else "",
    }


def _amount(asked: Asked, path: str, value: str) -> Quantity | None:
    """A value of the plan with its unit; None where it is none."""
    usual = usual_at(asked.plan, path) if value else None
    return parse(value, usual.unit) if usual else None


def _shown(asked: Asked, path: str, value: str) -> str:
    """A value of the plan as people write it."""
    amount = _amount(asked, path, value)
    return written(str(amount)) if amount else value
