"""The mat in the record: yield along the road, pavers, depth, slope, temperatures, rolling."""

from collections.abc import Callable
from typing import Any

from matbook.engine.spread import deviation_pct, spread_rate
from matbook.plan.judge import limits_for
from matbook.records.daily import placed
from matbook.records.daily.blocks import Block, Cell, cell, column, facts, paragraph, section, table
from matbook.records.daily.sheet import Sheet
from matbook.shift.charts.frame import Chart
from matbook.shift.charts.picture import chart as picture
from matbook.shift.charts.spread_along import spread_along
from matbook.shift.display import QUANTITIES, minutes, signed, written
from matbook.shift.figure import Read
from matbook.shift.measured import Reading
from matbook.shift.pavers import Stop
from matbook.shift.speak import limit_words
from matbook.shift.yields import Row, Total, Yield


def paving(sheet: Sheet, draw: Callable[[Chart | None], Block | None]) -> list[Any]:
    """The sections about the mat."""
    view = sheet.view
    charts = [draw(spread_along(view, course, sheet.language)) for course in view.by_course]
    pictures = [
        draw(picture(view, lane, lift, 720.0, sheet.language)) for lane, lift in view.by_course
    ]
    return [
        section(sheet.say("record.picture"), pictures),
        section(
            sheet.say("record.yield.title"),
            [
                *charts,
                _cumulative(sheet),
                _finish(sheet),
                _limits(sheet, "yield.load", "yield.last", "yield.lift", "yield.shift"),
            ]
            if view.by_course
            else [],
        ),
        section(sheet.say("record.every-yield"), [_every_yield(sheet)] if view.by_course else []),
        section(sheet.say("record.pavers"), [_stops(sheet)]),
        section(sheet.say("placement.tack"), placed.tack(sheet)),
        section(
            sheet.say("record.depth-slope"),
            [
                *placed.depth(sheet),
                _readings(sheet, "loose-depth"),
                _readings(sheet, "slope"),
                _readings(sheet, "width"),
                _readings(sheet, "overlap"),
                _readings(sheet, "edge"),
                _readings(sheet, "joint-longitudinal"),
            ],
        ),
        section(
            sheet.say("placement.smooth"),
            [*placed.smooth(sheet), _readings(sheet, "straightedge")],
        ),
        section(sheet.say("record.temperatures"), [_temperatures(sheet)]),
    ]


def _cumulative(sheet: Sheet) -> Block | None:
    """Everything laid so far, over all shifts, where there were shifts before."""
    if not sheet.view.carry.totals:
        return None
    rows = [
        [sheet.lane(lane), sheet.lift(lift), *_total(sheet, total)]
        for (lane, lift), total in sheet.view.totals.items()
    ]
    display = sheet.display
    return table(
        [
            column(sheet.say("head.lane"), 2),
            column(sheet.say("head.lift"), 2),
            column(sheet.say("head.area", unit=display.unit("area")), 1.2, "right"),
            column(sheet.say("head.mass", unit=display.unit("mass")), 1.2, "right"),
            column(sheet.say("head.spread", unit=display.unit("spread")), 1.2, "right"),
            column(sheet.say("head.over"), 1, "right"),
        ],
        rows,
        sheet.say("record.cumulative.caption"),
    )


def _total(sheet: Sheet, total: Total) -> list[str]:
    display = sheet.display
    rate = spread_rate(total.mass_kg, total.area_m2) if total.area_m2 else None
    over = None
    if rate is not None and total.planned_kg:
        over = deviation_pct(rate, spread_rate(total.planned_kg, total.area_m2))
    return [
        display.number("area", total.area_m2),
        display.number("mass", total.mass_kg),
        "—" if rate is None else display.number("spread", rate),
        "—" if over is None else f"{signed(over, 1)} %",
    ]


def _finish(sheet: Sheet) -> Block:
    """Mass to the end at the planned spread, and the spread that ends on the budget."""
    display = sheet.display
    rows = []
    for finish in sheet.view.finishes:
        if finish.mass is None or finish.budget_left_kg is None:
            continue
        words = sheet.say(
            "record.finish.line",
            area=display.show("area", finish.area_m2),
            mass=display.show("mass", finish.mass.value),
            budget=display.show("mass", finish.budget_left_kg),
            rate=display.show("spread", finish.rate.value) if finish.rate else "—",
        )
        rows.append((sheet.say("record.finish", lift=sheet.lift(finish.lift)), words))
    return facts(rows)


def _limits(sheet: Sheet, *quantities: str) -> Block | None:
    found = [
        f"{sheet.say(f'quantity.{limit.quantity}')}: {limit_words(limit, sheet.language)}"
        f" – {limit.source}{f' ({limit.standing})' if limit.standing else ''}"
        for quantity in quantities
        for limit in limits_for(sheet.plan, quantity)
    ]
    return paragraph(f"{sheet.say('record.limits')} {'; '.join(found)}.") if found else None


def _every_yield(sheet: Sheet) -> Block:
    display, several = sheet.display, not sheet.course()
    return table(
        [
            column(sheet.say("head.ticket"), None),
            *([column(sheet.say("head.where"), 2.4)] if several else []),
            column(sheet.say("head.reach"), None),
            column(sheet.say("head.length", unit=display.unit("length")), 0.9, "right"),
            column(sheet.say("head.area", unit=display.unit("area")), 0.9, "right"),
            column(sheet.say("head.mass", unit=display.unit("load")), 1, "right"),
            column(sheet.say("head.spread", unit=display.unit("spread")), 1, "right"),
            column(sheet.say("head.over"), 1, "right"),
            column(sheet.say("head.last-five"), 1, "right"),
        ],
        [_yield_row(sheet, row, several) for row in sheet.view.rows],
        f"{sheet.course()}. {sheet.say('record.every-yield.caption')}".removeprefix(". "),
    )


def _yield_row(sheet: Sheet, row: Row, several: bool) -> list[Any]:
    display, piece = sheet.display, row.piece
    stationing = sheet.view.facts.plan_at(piece.at).road_of(piece.lane).stationing
    marks = {"measured": "w", "area": "a"}.get(piece.width_by, "")
    marks += "m" if piece.shared else "s" if piece.inferred else ""
    marks += "e" if stationing.zone_of(piece.from_m) != stationing.zone_of(piece.to_m) else ""
    return [
        piece.part.load.label,
        *([sheet.strip(piece.lane, piece.lift, piece.paver)] if several else []),
        f"{stationing.format(piece.from_m)} – {stationing.format(piece.to_m)}",
        display.number("length", piece.length_m),
        f"{display.number('area', piece.area_m2, 1)} {marks}".strip(),
        display.number("load", piece.mass_kg),
        display.number("spread", row.own.rate.value),
        _over(row.own),
        _over(row.last),
    ]


def _over(found: Yield | None) -> Cell:
    """Percent over plan, marked where it is beyond a limit."""
    if found is None or found.deviation is None:
        return "—"
    state = "watch" if found.beyond else ""
    return cell(f"{signed(found.deviation.value, 1)} %", state=state)


def _stops(sheet: Sheet) -> Block:
    rows: list[list[Cell]] = []
    for line in sheet.view.pavers:
        pace = line.pace_m_s
        name = sheet.plan.pavers[line.paver].name if line.paver in sheet.plan.pavers else line.paver
        moving = sheet.display.show("pace", pace) if pace is not None else "—"
        first, last = line.points[:1], line.points[-1:]
        span = " – ".join(sheet.time(point.at) for point in (*first, *last))
        rows.append([name, span, sheet.say("record.pace", pace=moving), "", ""])
        rows += [
            [
                "",
                sheet.time(stop.started),
                cell(sheet.say(f"stop.{stop.reason}"), small=_stop_note(sheet, stop)),
                stop.station,
                minutes(stop.lasted(sheet.view.now)),
            ]
            for stop in line.stops
        ]
    return table(
        [
            column(sheet.say("head.paver"), 1.6),
            column(sheet.say("head.time"), None),
            column(sheet.say("head.what"), 3),
            column(sheet.say("head.station"), None),
            column(sheet.say("head.stood"), None, "right"),
        ],
        rows,
        sheet.say("record.pavers.caption"),
        sheet.say("record.pavers.empty"),
    )


def _stop_note(sheet: Sheet, stop: Stop) -> str:
    """What was written beside a stop."""
    return next((f.text("note") for f in sheet.view.facts.of("paver") if f.id == stop.id), "")


def _readings(sheet: Sheet, kind: str) -> Block | None:
    found, name = sheet.view.readings(kind), sheet.say(f"kind.{kind}")
    if not found:
        return None
    several = len({reading.quantity for reading in found}) > 1
    return table(
        [
            column(sheet.say("head.time"), None),
            column(sheet.say("head.where"), 3),
            column(sheet.say("head.reading"), 1.1, "right"),
            column(sheet.say("head.planned"), 1.1, "right"),
            column(sheet.say("head.off"), 1.1, "right"),
            column(sheet.say("head.note"), 2.4),
        ],
        [_reading_row(sheet, reading, several) for reading in found],
        " ".join((f"{name.capitalize()}.", _limit_line(sheet, found), _by(sheet, found))),
    )


def _limit_line(sheet: Sheet, found: tuple[Reading, ...]) -> str:
    limits = {(r.quantity, j.limit) for r in found for j in r.judgements}
    several = len({quantity for quantity, _ in limits}) > 1
    words = "; ".join(
        sorted(
            (f"{sheet.say(f'quantity.{quantity}')} " if several else "")
            + limit_words(limit, sheet.language)
            for quantity, limit in limits
        )
    )
    return sheet.say("record.limit-line", limits=words) if words else sheet.say("record.no-limit")


def _by(sheet: Sheet, found: tuple[Reading, ...]) -> str:
    """Who took some readings, and with which instruments."""
    people = sorted({sheet.who(reading.fact.entry.by) for reading in found})
    names = {reading.fact.entry.instrument for reading in found} - {""}
    known = sheet.plan.instruments
    used = sorted(known[name].name if name in known else name for name in names)
    by = sheet.say("record.by", who=", ".join(people))
    return f"{by} {sheet.say('record.with', instrument=', '.join(used))}." if used else f"{by}."


def _reading_row(sheet: Sheet, reading: Reading, several: bool) -> list[Any]:
    fact, display, quantity = reading.fact, sheet.display, reading.quantity
    worst = {judgement.limit.grade for judgement in reading.beyond}
    off = reading.deviation
    what = sheet.say(f"quantity.{quantity}") if several else ""
    note = "; ".join(filter(None, (what, _extra(sheet, reading), fact.text("note"))))
    return [
        sheet.time(fact.at),
        sheet.where(fact),
        _typed(reading) or display.of(quantity, reading.value.value),
        display.of(quantity, reading.target.value) if reading.target else "—",
        cell(
            display.difference(QUANTITIES[quantity], off) if off is not None else "—",
            state="act" if "act" in worst else "watch" if "watch" in worst else "",
        ),
        note,
    ]


def _typed(reading: Reading) -> str:
    """What was typed, where the value is that and nothing else."""
    inputs = [*reading.value.inputs.values()]
    own = reading.value.made_by is None and len(inputs) == 1 and isinstance(inputs[0], Read)
    return written(inputs[0].written) if own and isinstance(inputs[0], Read) else ""


def _extra(sheet: Sheet, reading: Reading) -> str:
    fact = reading.fact
    if fact.entry.kind == "slope" and fact.text("board"):
        return sheet.say(
            "record.board", reading=written(fact.text("reading")), board=written(fact.text("board"))
        )
    if fact.entry.kind == "slope" and fact.text("staff_far") and fact.text("apart"):
        names = ("staff_near", "staff_far", "apart")
        return sheet.say("record.staff", **{name: written(fact.text(name)) for name in names})
    if fact.text("height") and reading.quantity == "overlap":
        return f"{sheet.label('height')} {written(fact.text('height'))}"
    if fact.text("adjusted") not in ("", "no"):
        return sheet.say("record.adjusted", way=sheet.say(f"way.{fact.text('adjusted')}"))
    return sheet.say(reading.note) if reading.note else ""


def _temperatures(sheet: Sheet) -> Block | None:
    found = sheet.view.readings("temperature")
    if not found:
        return None
    rows = []
    for reading in found:
        fact = reading.fact
        conditions = [
            sheet.say(f"reading.{fact.text('how')}") if fact.text("how") else "",
            written(fact.text("depth")),
            sheet.say("reading.steam") if fact.text("water") == "steam" else "",
            sheet.say(reading.note) if reading.note else "",
            fact.text("note"),
        ]
        rows.append(
            [
                sheet.time(fact.at),
                sheet.say(f"quantity.{reading.quantity}"),
                sheet.where(fact),
                cell(
                    written(fact.text("temp")),
                    state="act" if reading.beyond else "",
                ),
                "; ".join(filter(None, conditions)),
            ]
        )
    return table(
        [
            column(sheet.say("head.time"), None),
            column(sheet.say("head.what"), 2.2),
            column(sheet.say("head.where"), 2.6),
            column(sheet.say("head.reading"), 1, "right"),
            column(sheet.say("head.note"), 3),
        ],
        rows,
        f"{_limit_line(sheet, found)} {_by(sheet, found)}",
    )
