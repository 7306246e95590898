"""Page one: what was paved, where, how much, what needs attention, what is still open."""

from math import fsum
from typing import Any

from matbook.engine.stationing import Stationing
from matbook.records.daily.blocks import (
    Block,
    caution,
    cell,
    column,
    facts,
    item,
    items,
    number,
    numbers,
    paragraph,
    section,
    table,
)
from matbook.records.daily.sheet import Sheet
from matbook.seal.keys import fingerprint
from matbook.shift.calls import Call
from matbook.shift.display import minutes, signed
from matbook.shift.speak import ageless
from matbook.shift.yields import Course, Yield


def front(sheet: Sheet) -> list[dict[str, Any] | None]:
    """The sections of page one."""
    return [
        section("", [_identity(sheet), _leading(sheet), _status(sheet)]),
        section(sheet.say("record.paved"), [_paved(sheet), _equations(sheet)]),
        section(sheet.say("record.attention"), [_attention(sheet)]),
        section(sheet.say("record.open"), [_open(sheet)]),
    ]


def _identity(sheet: Sheet) -> Block:
    job, shift = sheet.plan.job, sheet.view.facts.shift
    people = [
        f"{person.name} ({sheet.say(f'role.{person.role}')})"
        for person in sheet.plan.people.values()
        if person.id in {entry.by for entry in sheet.view.facts.entries() if entry.shift}
    ]
    opened, closed = sheet.view.facts.of("shift-open"), sheet.view.facts.of("shift-close")
    hours = " – ".join(
        [
            *(sheet.time(fact.at) for fact in opened[:1]),
            *([sheet.time(closed[-1].at)] if closed else [sheet.say("record.still-open")]),
        ]
    )
    return facts(
        [
            (sheet.say("record.job"), job.name),
            (sheet.say("record.contract"), job.contract),
            (sheet.say("record.owner"), job.owner),
            (
                sheet.say("record.shift"),
                f"{shift.date}, {sheet.say(f'part.{shift.part}')}, "
                f"{sheet.say('record.crew', crew=shift.crew)}",
            ),
            (sheet.say("record.hours"), hours),
            (
                sheet.say("record.clock"),
                sheet.say("record.clock.changed", before=sheet.offsets[0], after=sheet.offsets[-1])
                if len(sheet.offsets) > 1
                else "",
            ),
            (sheet.say("record.written-by"), ", ".join(people)),
            (sheet.say("record.note"), job.note),
        ]
    )


def _leading(sheet: Sheet) -> Block:
    view, display = sheet.view, sheet.display
    taken = [a for a in view.accounts if a.load.counts]
    turned = [a for a in view.accounts if a.load.decision == "turned away"]
    mass = display.number("mass", _mass(sheet))
    tiles = [
        number(
            sheet.say("record.taken"),
            mass,
            display.unit("mass"),
            sheet.say("record.taken.line", n=len(taken), turned=len(turned)),
        )
    ]
    found = view.shift_yield
    if found is not None:
        tiles.append(
            number(
                sheet.say("record.length"),
                display.number("length", found.total.length_m, 0),
                display.unit("length"),
                sheet.say("record.length.line", area=display.show("area", found.total.area_m2)),
            )
        )
        tiles.append(_yield_tile(sheet, found))
    stops = [stop for line in view.pavers for stop in line.stops]
    tiles.append(
        number(
            sheet.say("record.stops"),
            str(len(stops)),
            "",
            sheet.say("record.stops.line", stood=minutes(view.stood)),
        )
    )
    return numbers(tiles)


def _mass(sheet: Sheet) -> float:
    return fsum(a.load.net_kg or 0.0 for a in sheet.view.accounts if a.load.counts)


def _yield_tile(sheet: Sheet, found: Yield) -> dict[str, str]:
    deviation = found.deviation
    if deviation is None:
        rate = sheet.display.number("spread", found.rate.value)
        return number(sheet.say("record.yield"), rate, sheet.display.unit("spread"), "")
    span = sheet.say(
        "record.range95", low=signed(deviation.low or 0, 2), high=signed(deviation.high or 0, 2)
    )
    return number(
        sheet.say("record.yield"),
        signed(deviation.value, 1),
        "%",
        span,
        "watch" if found.beyond else "fine",
    )


def _status(sheet: Sheet) -> Block:
    """Whether this is sealed: the first thing a reader should know."""
    if sheet.seal is not None:
        return paragraph(
            sheet.say(
                "record.sealed",
                at=str(sheet.seal.body["at"]).replace("T", " "),
                digest=grouped(sheet.seal.hash),
                key=fingerprint(str(sheet.seal.body["key"])),
            )
        )
    if sheet.broken:
        return caution(sheet.say("record.seal-broken"))
    closed = sheet.view.facts.of("shift-close")
    return caution(sheet.say("record.not-sealed" if closed else "record.not-closed"))


def grouped(digest: str) -> str:
    """A digest in groups that eyes can compare."""
    return " ".join(digest[at : at + 8] for at in range(0, len(digest), 8))


def _paved(sheet: Sheet) -> Block:
    rows = [_paved_row(sheet, course, found) for course, found in sheet.view.by_course.items()]
    return table(
        [
            column(sheet.say("head.where"), 2.4),
            column(sheet.say("head.reach"), None),
            column(sheet.say("head.length", unit=sheet.display.unit("length")), 1, "right"),
            column(sheet.say("head.area", unit=sheet.display.unit("area")), 1, "right"),
            column(sheet.say("head.mass", unit=sheet.display.unit("mass")), 1, "right"),
            column(sheet.say("head.spread", unit=sheet.display.unit("spread")), 1.1, "right"),
            column(sheet.say("head.over"), 1.5, "right"),
            column(sheet.say("head.thickness", unit=sheet.display.unit("thickness")), 1, "right"),
        ],
        rows,
        sheet.say("record.paved.caption"),
        sheet.say("record.paved.empty"),
    )


def _equations(sheet: Sheet) -> Block | None:
    """The station equations of the roads: lengths run through them, labels do not."""
    rows = [
        (
            f"{sheet.say('record.equation')}, {road.name}",
            sheet.say(
                "record.equation.line",
                back=back,
                ahead=ahead,
                length=_label_step(sheet, back, ahead),
            ),
        )
        for road in sheet.plan.roads.values()
        for back, ahead in road.stationing.equations
    ]
    return facts(rows) if rows else None


def _label_step(sheet: Sheet, back: str, ahead: str) -> str:
    """By how much the labels jump at an equation."""
    plain = Stationing(next(iter(sheet.plan.roads.values())).stationing.style)
    return sheet.display.show("length", abs(plain.parse(ahead) - plain.parse(back)), 2)


def _paved_row(sheet: Sheet, course: Course, found: Yield) -> list[Any]:
    lane, lift = course
    display, deviation = sheet.display, found.deviation
    own = [piece for piece in sheet.view.pieces if (piece.lane, piece.lift) == course]
    stationing = sheet.view.facts.plan_at(own[0].at).road_of(lane).stationing
    reach = f"{stationing.format(own[0].from_m)} – {stationing.format(own[-1].to_m)}"
    over = f"{signed(deviation.value, 1)} %" if deviation else "—"
    span = (
        f"{signed(deviation.low or 0, 1)} … {signed(deviation.high or 0, 1)}" if deviation else ""
    )
    thickness = found.thickness
    return [
        cell(sheet.lane(lane), small=sheet.lift(lift)),
        reach,
        display.number("length", found.total.length_m),
        display.number("area", found.total.area_m2),
        display.number("mass", found.total.mass_kg),
        display.number("spread", found.rate.value),
        cell(over, small=span, state="watch" if found.beyond else ""),
        display.number("thickness", thickness.value) if thickness else "—",
    ]


def _attention(sheet: Sheet) -> Block:
    """Act and watch that nobody has settled, most urgent first.

    Open notices have their own section below; what was answered and settled stands further back.
    """
    calls = [call for call in sheet.view.calls if needs_somebody(sheet, call)]
    if not calls:
        return paragraph(sheet.say("record.attention.none"))
    return items([said(sheet, call) for call in calls])


def needs_somebody(sheet: Sheet, call: Call) -> bool:
    """Whether a call still waits for somebody."""
    told = sheet.view.told(call)
    settled = told is not None and told.settled
    return call.grade != "note" and not call.code.startswith("notice.") and not settled


def said(sheet: Sheet, call: Call) -> dict[str, str]:
    """A call as a line of a list."""
    words = ageless(call, sheet.plan, sheet.language)  # a record gives the time instead
    told = sheet.view.told(call)
    small = [sheet.day_time(call.at)]
    small += [words.small] if words.small else []
    if told is not None:
        names = ", ".join(sheet.who(person) for person in told.to)
        small.append(sheet.say("record.told", who=names, at=sheet.day_time(told.at)))
        small += [
            sheet.say(
                "record.answered", at=sheet.day_time(reply.at), text=reply.text("text").rstrip(".")
            )
            for reply in told.replies[-1:]
        ]
    state = "note" if told is not None and told.settled else call.grade
    return item(state, f"{words.head}. {words.line}", " · ".join(small))


def _open(sheet: Sheet) -> Block:
    waiting = [matter for matter in sheet.view.matters if not matter.settled]
    if not waiting:
        return paragraph(sheet.say("record.open.none"))
    return items(
        [
            item(
                "watch",
                matter.text,
                sheet.say(
                    "record.open.line",
                    who=", ".join(sheet.who(person) for person in matter.to),
                    at=sheet.dated(matter.at),
                    answer=matter.replies[-1].text("text")
                    if matter.replies
                    else sheet.say("record.no-answer"),
                ),
            )
            for matter in waiting
        ]
    )
