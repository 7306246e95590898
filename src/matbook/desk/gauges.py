"""Gauges in words: standard counts, readings to take again, who may use them, cores beside them."""

from collections.abc import Iterator
from typing import Any, Final

from matbook.desk.asking import Asked
from matbook.desk.forms import cautions
from matbook.desk.testing import (
    Row,
    cell,
    density,
    line,
    opens,
    part,
    range_words,
    shown,
    table,
    tested,
    when,
)
from matbook.lots.gauges import CORRECTED, Correction, Count, Gauge, Operator, Reading
from matbook.shift.display import fixed, signed

LATEST: Final = 12
"""Readings in the table; all of them are in the book."""
OPERATED: Final = {"held": "fine", "over": "act", "unknown": "unknown"}


def gauges(asked: Asked) -> dict[str, Any]:
    """Every gauge that was checked or read with."""
    found = [_gauge(asked, one) for one in tested(asked).gauges]
    return {
        "title": asked.say("gauge.title"),
        "none": "" if found else asked.say("gauge.none-yet"),
        "parts": found,
        "notes": [asked.say(f"gauge.note.{name}") for name in ("count", "cores", "written")],
        "cautions": [asked.say("gauge.caution"), *cautions(asked, "gauge-check")],
    }


def _gauge(asked: Asked, gauge: Gauge) -> Row:
    figures, start = gauge.figures(), f"gauge/{gauge.id or '-'}"
    counts = [
        [
            when(asked, one.fact),
            cell(one.fact.text("density_count") or "—"),
            cell("—" if one.found is None else fixed(one.found.mean, 0)),
            opens(asked, f"{start}/drift/{one.fact.id}", figures),
            cell(_count_state(asked, one)),
        ]
        for one in gauge.counts
    ]
    readings = [
        [
            when(asked, one.fact),
            cell(one.fact.place("station") or "—"),
            opens(asked, f"{start}/turned/{one.fact.id}", figures),
            cell(_reading_state(asked, one)),
        ]
        for one in gauge.readings[-LATEST:]
    ]
    tables = []
    if counts:
        columns = ("at", "count", "before", "drift", "state")
        tables.append(table(asked, "gauge.table.counts", columns, counts))
    tables += [_pairs(asked, one) for one in gauge.corrections]
    if readings:
        read = ("at", "station", "turned", "state")
        tables.append(table(asked, "gauge.table.readings", read, readings))
    return part(
        gauge.name or asked.say("gauge.unnamed"), lines=list(_lines(asked, gauge)), tables=tables
    )


def _lines(asked: Asked, gauge: Gauge) -> Iterator[Row]:
    own = gauge.instrument
    if own is not None:
        said = {"serial": own.serial or "—", "due": own.due or "—"}
        over = bool(own.due) and own.due < f"{asked.facts.shift.date}"
        yield line(asked.say("gauge.instrument", **said), state="watch" if over else "fine")
    if gauge.counts:
        last = gauge.counts[-1]
        name = f"gauge/{gauge.id or '-'}/drift/{last.fact.id}"
        state = "act" if last.fails else "fine" if last.found else "unknown"
        yield line(_count_line(asked, last), name if last.figure else None, state)
    else:
        yield line(asked.say("gauge.no-count"), state="unknown")
    for one in gauge.operators:
        yield line(_operator(asked, one), state=OPERATED[one.state])
    for each in gauge.corrections:
        yield _correction(asked, gauge, each)
    again = [one for one in gauge.readings if one.turned is not None and one.turned.repeat]
    if again:
        most = density(asked, asked.plan.gauge.turned_kg_m3)
        said = {"n": str(len(again)), "of": str(len(gauge.readings)), "most": most}
        yield line(asked.say("gauge.again", **said), state="watch")
    near = [one for one in gauge.readings if one.near]
    if near:
        yield line(asked.say("gauge.too-near", n=len(near)), state="watch")


def _count_line(asked: Asked, count: Count) -> str:
    said = {"count": count.fact.text("density_count") or "—", "at": asked.clock(count.fact.at)}
    if count.found is None:
        return asked.say("gauge.count.first", **said)
    return asked.say(
        "gauge.count",
        **said,
        drift=signed(count.found.drift_pct, 2),
        most=asked.plan.gauge.drift,
        chance=fixed(count.found.chance_pct, 2),
        verdict=_count_state(asked, count),
    )


def _count_state(asked: Asked, count: Count) -> str:
    if count.found is None:
        return asked.say("gauge.count.nothing-before")
    if count.found.holds:
        return asked.say("gauge.count.holds")
    return asked.say("gauge.count.again" if count.fails == 1 else "gauge.count.out")


def _reading_state(asked: Asked, reading: Reading) -> str:
    """What is wrong with a reading; that nothing is, where nothing is known to be."""
    said = []
    if reading.turned is not None and reading.turned.repeat:
        said.append(asked.say("gauge.reading.again"))
    for thing in reading.near:
        code = "gauge.reading.correct" if thing in CORRECTED else "gauge.reading.near"
        said.append(asked.say(code, thing=asked.say(f"gauge.near.{thing}")))
    if said:
        return "; ".join(said)
    return asked.say("gauge.reading.agree" if reading.turned else "gauge.reading.single")


def _operator(asked: Asked, one: Operator) -> str:
    said = {"who": asked.person(one.person), "certificate": one.certificate or "—", "due": one.due}
    return asked.say(f"gauge.operator.{one.state}", **said)


def _correction(asked: Asked, gauge: Gauge, one: Correction) -> Row:
    mix = asked.plan.mixes[one.mix].name if one.mix in asked.plan.mixes else "—"
    if one.found is None or one.figure is None:
        said = {"mix": mix, "n": len(one.pairs), "why": one.why}
        return line(asked.say("gauge.correction.none", **said), state="unknown")
    name = f"gauge/{gauge.id or '-'}/{one.mix or '-'}/{one.how}"
    spread = one.found.sd
    text = asked.say(
        f"gauge.correction.{one.how}",
        mix=mix,
        value=shown(asked, name, one.figure),
        range=range_words(asked, name, one.figure),
        sd=density(asked, spread) if one.how == "offset" else fixed(spread, 3),
        n=len(one.found.kept),
        dropped=len(one.found.dropped),
    )
    if not one.found.holds:
        text = f"{text} {asked.say('gauge.correction.spread')}"
    return line(f"{text} {one.why}".rstrip(), name, "fine" if one.found.holds else "watch")


def _pairs(asked: Asked, one: Correction) -> Row:
    rows = [
        [
            cell(pair.core),
            cell(density(asked, pair.core_kg_m3.value)),
            cell(density(asked, pair.gauge_kg_m3), entry=pair.reading.id),
            cell(asked.display.difference("density", pair.core_kg_m3.value - pair.gauge_kg_m3)),
            cell(asked.say(f"gauge.pair.{pair.state}")),
        ]
        for pair in one.pairs
    ]
    columns = ("core", "core-density", "gauge-density", "difference", "state")
    return table(asked, "gauge.table.pairs", columns, rows)
