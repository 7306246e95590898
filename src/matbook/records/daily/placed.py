"""Tack coat in the record, and what the loose depths and the straightedge say together."""

from typing import Any

from matbook.desk.placed import settling_words, smooth_lines, tack_line, trend_words
from matbook.records.daily.blocks import Block, cell, column, paragraph, table
from matbook.records.daily.sheet import Sheet
from matbook.shift.facts import Fact
from matbook.shift.figure import Figure
from matbook.shift.measured import Reading
from matbook.shift.smooth import profiles, stations
from matbook.shift.speak import limit_words
from matbook.shift.tack import Sprayed, spreads


def tack(sheet: Sheet) -> list[Block | None]:
    """Every spread with its rates, and the day's mean."""
    view, display = sheet.view, sheet.display
    found = spreads(view.facts)
    if not found:
        return []
    readings = {one.fact.id: one for one in view.readings("tack")}
    rows = [_spread(sheet, fact, one, readings.get(fact.id)) for fact, one in found]
    limits = {limit_words(j.limit, sheet.language) for r in readings.values() for j in r.judgements}
    caption = sheet.say("record.tack.caption")
    if limits:
        caption += f" {sheet.say('record.limit-line', limits='; '.join(sorted(limits)))}"
    return [
        *(paragraph(f"{line}.") for line in tack_line(view, sheet.language)),
        table(
            [
                column(sheet.say("head.time"), None),
                column(sheet.say("head.where"), 2.2),
                column(sheet.say("head.tank"), 1.8),
                column(sheet.say("head.area", unit=display.unit("area")), 1.1, "right"),
                column(sheet.say("head.applied", unit=display.unit("application")), 1, "right"),
                column(sheet.say("head.residual", unit=display.unit("application")), 1.3, "right"),
                column(sheet.say("head.note"), 2.4),
            ],
            rows,
            caption,
        ),
    ]


def _spread(sheet: Sheet, fact: Fact, one: Sprayed, reading: Reading | None) -> list[Any]:
    display = sheet.display
    grades = {judgement.limit.grade for judgement in reading.beyond} if reading else set()
    state = "act" if "act" in grades else "watch" if grades else ""
    why = reading.note if reading else one.why
    said = sheet.described(fact, "before", "after", "area")
    area = "—" if one.area is None else display.number("area", one.area.value)
    applied = "—" if one.applied is None else display.number("application", one.applied.value)
    return [
        sheet.time(fact.at),
        sheet.where(fact),
        " – ".join(sheet.value(None, fact.text(name)) for name in ("before", "after")),
        area,
        applied,
        cell(_rate(sheet, one.residual), state=state, small=_ends(sheet, one.residual)),
        "; ".join(filter(None, (sheet.say(why) if why else "", said))),
    ]


def _rate(sheet: Sheet, rate: Figure | None) -> str:
    return "—" if rate is None else sheet.display.number("application", rate.value)


def _ends(sheet: Sheet, rate: Figure | None) -> str:
    if rate is None or rate.low is None or rate.high is None:
        return ""
    low, high = (sheet.display.number("application", end) for end in (rate.low, rate.high))
    return sheet.say("placement.range", low=low, high=high)


def depth(sheet: Sheet) -> list[Block | None]:
    """What the loose depths of every strip say together, at the end of the shift."""
    said = []
    for one in sheet.view.depths:
        if one.trend is not None:
            said.append(trend_words(sheet.view, one, sheet.language))
        if one.settling is not None and not one.settling.checked:
            said.append(settling_words(sheet.view, one, sheet.language))
    return [paragraph(f"{line}.") for line in said]


def smooth(sheet: Sheet) -> list[Block | None]:
    """What the straightedge and the profiles say, and every section of a profile."""
    lines = [paragraph(f"{line}.") for line in smooth_lines(sheet.view, sheet.language)]
    rows: list[list[Any]] = []
    for one in profiles(sheet.view.facts):
        plan = sheet.view.facts.plan_at(one.fact.at)
        if one.whole is None:
            said = sheet.say("placed.profile.none", why=one.why)
            rows.append([sheet.time(one.fact.at), sheet.where(one.fact), "—", said])
        for part in one.sections:
            grades = {each.limit.grade for each in part.judgements if not each.ok}
            state = "act" if "act" in grades else "watch" if grades else ""
            limits = "; ".join(limit_words(each.limit, sheet.language) for each in part.judgements)
            value = cell(sheet.display.of("iri", part.value.value), state=state)
            where = stations(plan, one.fact, part)
            rows.append([sheet.time(one.fact.at), where, value, limits])
    heads = [
        column(sheet.say("head.time"), None),
        column(sheet.say("head.where"), 3),
        column(sheet.say("head.reading"), 1.2, "right"),
        column(sheet.say("head.note"), 3),
    ]
    return [*lines, table(heads, rows, f"{sheet.say('quantity.iri')}.") if rows else None]
