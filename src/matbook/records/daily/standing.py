"""What lets the record stand up later: who was told, corrections, chains, signatures."""

from typing import Any

from matbook.book.entry import Entry
from matbook.book.kinds import kinds
from matbook.plan.model import Check
from matbook.records.daily.blocks import (
    Block,
    cell,
    column,
    facts,
    item,
    items,
    paragraph,
    section,
    table,
)
from matbook.records.daily.front import needs_somebody, said
from matbook.records.daily.sheet import Sheet
from matbook.records.daily.told import told
from matbook.seal.sealing import after_the_seal
from matbook.shift.book_calls import written_later
from matbook.shift.display import minutes
from matbook.shift.due import Due
from matbook.shift.facts import Fact
from matbook.shift.speak import at_events, done_words


def standing(sheet: Sheet) -> list[Any]:
    """The sections at the end of the record."""
    return [
        section(sheet.say("record.told-title"), told(sheet)),
        section(sheet.say("record.due-title"), [_due(sheet)]),
        section(sheet.say("record.corrections"), [_corrections(sheet), _later(sheet)]),
        section(sheet.say("record.noted"), [_noted(sheet)]),
        section(sheet.say("record.plan"), [_plan(sheet), _instruments(sheet)]),
        section(sheet.say("record.devices"), [_devices(sheet)]),
        section(
            sheet.say("record.trust"),
            [
                *(paragraph(sheet.say(f"record.trust.{n}")) for n in (1, 2, 3, 4)),
                paragraph(sheet.say("record.trust.before", shift=sheet.view.carry.shift))
                if sheet.view.carry.shift
                else None,
            ],
        ),
        section(sheet.say("record.signatures"), [_signatures(sheet)]),
    ]


def _due(sheet: Sheet) -> Block | None:
    rows = [
        [
            found.check.name,
            _asked(sheet, found.check),
            done_words(found, sheet.language),
            cell(sheet.say(_stands(found)), state="watch" if _waits(found) else ""),
            found.check.clause,
        ]
        for found in sheet.view.due
    ]
    if not rows:
        return None
    return table(
        [
            column(sheet.say("head.check"), 3.4),
            column(sheet.say("head.asked"), 2.4),
            column(sheet.say("head.done"), None, "right"),
            column(sheet.say("head.state"), 1.6),
            column(sheet.say("head.clause"), 1),
        ],
        rows,
        sheet.say("record.due.caption"),
    )


def _stands(found: Due) -> str:
    """The code of how a check stands at the end."""
    if found.overdue:
        return "record.missed" if found.check.at else "record.overdue"
    if _waits(found):
        return "record.not-all-seen" if found.lines else "record.due-still"
    return "record.kept-up" if found.done else "record.not-yet-due"


def _waits(found: Due) -> bool:
    """Overdue; or of what is due at events, due and not done since."""
    return found.overdue or (bool(found.check.at) and found.left is not None)


def _asked(sheet: Sheet, check: Check) -> str:
    """What the plan asks for, in words."""
    if check.at:
        return at_events(check, sheet.language)
    amounts = {
        "loads": lambda every: sheet.say("count.loads", n=f"{every:g}"),
        "mass": lambda every: sheet.display.show("mass", every, 0),
        "distance": lambda every: sheet.display.show("length", every, 0),
        "time": lambda every: f"{every / 60:g} min",
    }
    asked = [sheet.say("record.first", n=check.first)] if check.first else []
    if check.every is not None:
        asked.append(sheet.say("record.every", amount=amounts[check.per](check.every)))
    return ", ".join(asked)


def _corrections(sheet: Sheet) -> Block:
    """What stood before, what stands now, who, when, why."""
    rows = []
    for entry in sheet.view.facts.entries():
        if not entry.strikes:
            continue
        target = sheet.view.facts.find(entry.strikes)
        rows.append(
            [
                sheet.time(entry.written),
                sheet.say(f"kind.{(target or entry).kind}"),
                cell(
                    _whole(sheet, target, entry) if target else entry.strikes,
                    struck=target is not None,
                ),
                cell(_now(sheet, entry, target), small=_state(sheet, entry)),
                cell(entry.why, small=sheet.who(entry.by)),
            ]
        )
    if not rows:
        return paragraph(sheet.say("record.corrections.none"))
    return table(
        [
            column(sheet.say("head.written"), None),
            column(sheet.say("head.kind"), 1.3),
            column(sheet.say("head.before"), 3.2),
            column(sheet.say("head.now"), 3.2),
            column(sheet.say("head.why"), 2.2),
        ],
        rows,
        sheet.say("record.corrections.caption"),
    )


def _whole(sheet: Sheet, entry: Entry, other: Entry | None) -> str:
    """An entry in one line; beside another of its kind, only what the two say differently."""
    fact = Fact(entry, entry.body)
    if other is None or other.kind != entry.kind or entry.kind not in kinds():
        where = sheet.where(fact)
        return f"{sheet.described(fact)}{f' — {where}' if where else ''}"
    same = [name for name, value in entry.body.items() if other.body.get(name) == value]
    said = sheet.described(fact, *same)
    where = sheet.where(fact) if entry.place != other.place else ""
    named = sheet.named(fact)
    return ": ".join(filter(None, (named, "; ".join(filter(None, (said, where))))))


def _now(sheet: Sheet, entry: Entry, target: Entry | None) -> str:
    if sheet.view.facts.state(entry) == "withdrawal":
        return sheet.say("record.withdrawn")
    return _whole(sheet, entry, target)


def _state(sheet: Sheet, entry: Entry) -> str:
    state = sheet.view.facts.state(entry)
    return sheet.say(f"state.{state}") if state not in ("stands", "withdrawal") else ""


def _later(sheet: Sheet) -> Block | None:
    """Written later than it happened, late arrivals and addenda."""
    found = []
    for entry in sheet.view.facts.entries():
        later = written_later(entry)
        after = after_the_seal(sheet.seal, sheet.sealed, entry) if sheet.seal else ""
        if later is None and not after:
            continue
        words = sheet.say(
            f"record.{after}" if after else "record.later",
            kind=sheet.say(f"kind.{entry.kind}"),
            who=sheet.who(entry.by),
            at=sheet.time(entry.at),
            written=sheet.dated(entry.written),
            later=minutes(later) if later else "",
        )
        found.append(item("note", words))
    return items(found) if found else None


def _noted(sheet: Sheet) -> Block | None:
    waiting = ("notice.",)
    calls = [
        call
        for call in sheet.view.calls
        if not needs_somebody(sheet, call) and not call.code.startswith(waiting)
    ]
    return items([said(sheet, call) for call in calls]) if calls else None


def _plan(sheet: Sheet) -> Block:
    first = sheet.view.facts.plans.changes
    rows = [
        (
            sheet.dated(change.entry.at),
            sheet.say(
                "record.plan.change",
                path=change.path,
                old=change.old,
                new=change.new,
                why=change.entry.why,
                agreed=sheet.who(change.agreed),
            ),
        )
        for change in first
    ]
    imported = [
        (
            sheet.say("record.plan.imported"),
            f"{sheet.dated(entry.at)}, {sheet.who(entry.by)}, {entry.hash[:16]}",
        )
        for entry in sheet.view.facts.entries()
        if entry.kind == "plan" and "toml" in entry.body
    ]
    return facts([*imported, *rows])


def _instruments(sheet: Sheet) -> Block | None:
    date = sheet.view.facts.shift.date
    used = {entry.instrument for entry in sheet.view.facts.entries() if entry.instrument}
    rows = []
    for instrument in sheet.plan.instruments.values():
        over = bool(instrument.due) and instrument.due < date
        rows.append(
            [
                instrument.name,
                instrument.serial,
                instrument.calibrated or "—",
                cell(instrument.due or "—", state="watch" if over else ""),
                sheet.say("record.used" if instrument.id in used else "record.not-used"),
            ]
        )
    if not rows:
        return None
    return table(
        [
            column(sheet.say("head.instrument"), 3),
            column(sheet.say("head.serial"), 1.5),
            column(sheet.say("head.calibrated"), 1.5),
            column(sheet.say("head.calibration-due"), 1.5),
            column(sheet.say("head.this-shift"), 1.5),
        ],
        rows,
        sheet.say("record.instruments.caption"),
    )


def _devices(sheet: Sheet) -> Block:
    """Every device's part of this record, and whether its chain is whole."""
    own = [entry for entry in sheet.view.facts.entries() if entry.shift]
    rows = []
    for device, chain in sheet.view.facts.chains().items():
        here = [entry for entry in own if entry.device == device]
        if not here:
            continue
        people = ", ".join(sorted({sheet.who(entry.by) for entry in here}))
        good = not chain.forks and not chain.breaks
        rows.append(
            [
                device,
                people,
                str(len(here)),
                f"{min(e.seq for e in here)}–{max(e.seq for e in here)}",
                cell(
                    sheet.say("record.chain-whole" if good else "record.chain-broken"),
                    state="" if good else "act",
                ),
            ]
        )
    return table(
        [
            column(sheet.say("head.device"), 2.5),
            column(sheet.say("head.by"), 2.5),
            column(sheet.say("head.entries"), 1, "right"),
            column(sheet.say("head.numbers"), 1.2),
            column(sheet.say("head.chain"), 2.5),
        ],
        rows,
        sheet.say("record.devices.caption"),
    )


def _signatures(sheet: Sheet) -> Block:
    lines = [
        {
            "name": fact.text("name"),
            "role": sheet.say(f"signs.{fact.text('of')}"),
            "signed": sheet.say(
                "record.signed",
                at=sheet.dated(fact.at),
                device=fact.entry.device,
                words=fact.text("words") or sheet.say(f"signs.{fact.text('of')}"),
            ),
        }
        for fact in sheet.view.facts.of("signature")
    ]
    have = {fact.entry.by for fact in sheet.view.facts.of("signature")}
    lines += [
        {"name": person.name, "role": sheet.say(f"role.{person.role}"), "signed": ""}
        for person in sheet.plan.people.values()
        if person.role in ("inspector", "supervisor") and person.id not in have
    ]
    block: Block = {"kind": "sign", "lines": lines}
    return block
