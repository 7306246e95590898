"""Control strips in words: the pattern that they give, the target, every place, later sections."""

from collections.abc import Iterator
from typing import Any, Final

from matbook.desk.asking import Asked
from matbook.desk.entries import choice_words
from matbook.desk.testing import (
    Row,
    cell,
    density,
    ends,
    line,
    opens,
    part,
    range_words,
    table,
    tested,
    when,
)
from matbook.lots.control_strip import ControlStrip, Section, Spot
from matbook.lots.testing import Testing
from matbook.plan.rules import StripRule
from matbook.shift.charts.growth import Line, Size, Top, growth_chart
from matbook.shift.display import written
from matbook.shift.facts import Fact
from matbook.shift.figure import plain

SHAPES: Final = {"rising": "unknown", "top": "fine", "cold": "watch", "falling": "watch"}
"""State of a growth -> the shape that it is shown with; too few readings tell nothing."""


def strips(asked: Asked) -> dict[str, Any]:
    """Every control strip of the job, the latest first."""
    found = [_strip(asked, one) for one in reversed(tested(asked).strips)]
    return {
        "title": asked.say("strip.title"),
        "none": "" if found else asked.say("strip.none-yet"),
        "parts": found,
        "notes": [asked.say(f"strip.note.{name}") for name in ("state", "temp", "gauge", "owner")],
        "cautions": [],
    }


def _strip(asked: Asked, strip: ControlStrip) -> Row:
    growths = [
        [
            cell(str(spot.number)),
            cell(fact.text("passes")),
            cell(written(fact.text("density")) or "—"),
            cell(written(fact.text("temp")) or "—"),
            when(asked, fact),
        ]
        for spot in strip.spots
        for fact in spot.facts
    ]
    aimed = [
        [cell(fact.place("station")), cell(written(fact.text("density"))), when(asked, fact)]
        for fact in strip.aimed
    ]
    tables = [
        table(asked, "strip.table.growth", ("place", "passes", "density", "temp", "at"), growths)
    ]
    if aimed:
        tables.append(table(asked, "strip.table.aimed", ("station", "density", "at"), aimed))
    if strip.sections:
        rows = [_section(asked, strip, one) for one in strip.sections]
        columns = ("section", "readings", "mean", "range", "least", "state")
        tables.append(table(asked, "strip.table.sections", columns, rows))
    mix = strip.mix.name if strip.mix else "—"
    return part(
        asked.say("strip.of", strip=strip.name, mix=mix),
        lines=list(_lines(asked, strip)),
        chart=_chart(asked, strip),
        tables=tables,
        notes=[_repeats(asked), *(_rules(asked, strip.rule) if strip.rule else ())],
    )


def _lines(asked: Asked, strip: ControlStrip) -> Iterator[Row]:
    start = f"strip/{strip.name}"
    yield _pattern(asked, strip)
    yield _target(asked, strip)
    if strip.rolled:
        did = "; ".join(_roller(asked, fact) for fact in strip.rolled)
        yield line(asked.say("strip.rolled", rollers=did))
    for spot in strip.spots:
        yield _spot(asked, spot, f"{start}/spot-{spot.number}/highest")
    untold = len([spot for spot in strip.spots if spot.untold])
    if untold:
        left_out = str(max(spot.untold for spot in strip.spots))
        yield line(asked.say("strip.untold", n=left_out), state="unknown")
    named = {fact.entry.instrument for fact in strip.facts} - {""}
    if len(named) > 1:
        known = asked.plan.instruments
        names = ", ".join(known[one].name if one in known else one for one in sorted(named))
        yield line(asked.say("strip.gauges", gauges=names), state="watch")
    least = strip.rule.length_m if strip.rule else None
    if strip.length_m is not None and least is not None and strip.length_m < least:
        show = asked.display
        reach = {"length": show.show("length", strip.length_m, 0)}
        reach["least"] = show.show("length", least, 0)
        yield line(asked.say("strip.short", **reach), state="watch")
    if strip.laid is not None and strip.rule is not None and strip.rule.every_kg is not None:
        show = asked.display
        said = {"laid": show.show("mass", strip.laid.value, 0)}
        said["every"] = show.show("mass", strip.rule.every_kg, 0)
        code = "strip.due" if strip.due else "strip.since"
        yield line(asked.say(code, **said), f"{start}/laid", "watch" if strip.due else "fine")


def _pattern(asked: Asked, strip: ControlStrip) -> Row:
    """The passes that the strip says to roll with, or why it says none."""
    best = strip.best
    start = f"strip/{strip.name}"
    if best is None:
        return line(asked.say("strip.pattern.none", why=strip.why), state="unknown")
    apart = density(asked, best.mean.told_apart_kg_m3)
    if best.passes is not None:
        said = asked.say("strip.pattern", passes=best.passes, apart=apart)
        return line(said, f"{start}/passes", "fine")
    state = best.mean.state
    cold = "cold" if state in ("top", "falling") else state
    said = asked.say(f"strip.pattern.{cold}", passes=best.mean.passes, apart=apart)
    return line(said, f"{start}/highest", SHAPES.get(state, "unknown"))


def _target(asked: Asked, strip: ControlStrip) -> Row:
    of = (strip.rule or StripRule()).readings
    if strip.target is None:
        return line(asked.say("strip.target.none", of=of), state="unknown")
    name = f"strip/{strip.name}/target"
    said = {"target": density(asked, strip.target.value), "n": len(strip.aimed), "of": of}
    said["range"] = range_words(asked, name, strip.target)
    code = "strip.target" if strip.complete else "strip.target.part"
    return line(asked.say(code, **said), name, "fine" if strip.complete else "unknown")


def _roller(asked: Asked, fact: Fact) -> str:
    """What a roller did: its name, phase, mode, passes and speed, as far as they are written."""
    name = fact.text("roller")
    known = asked.plan.rollers.get(name)
    said = [known.name if known else name]
    for field in ("phase", "mode"):
        if fact.text(field):
            said.append(choice_words(asked, "roller", field, fact.text(field)))
    said.append(asked.say("strip.passes", n=fact.text("passes")))
    if fact.text("speed"):
        said.append(written(fact.text("speed")))
    return ", ".join(said)


def strip_line(asked: Asked, found: Testing) -> str:
    """The latest strip in a line, for Now: passes and target; empty without a strip."""
    if not found.strips:
        return ""
    strip = found.strips[-1]
    said = {"strip": strip.name, "passes": "—", "target": "—"}
    if strip.best is not None and strip.best.passes is not None:
        said["passes"] = str(strip.best.passes)
    if strip.target is not None and strip.complete:
        said["target"] = density(asked, strip.target.value)
    return asked.say("strip.line", **said)


def _spot(asked: Asked, spot: Spot, figure: str) -> Row:
    where = ", ".join(text for text in (spot.where[2], spot.where[3]) if text) or "—"
    found = spot.growth
    if found is None:
        said = {"number": spot.number, "where": where, "why": spot.why}
        return line(asked.say("strip.spot.none", **said), state="unknown")
    said = {
        "number": spot.number,
        "where": where,
        "state": asked.say(f"strip.state.{found.state}"),
        "highest": density(asked, found.highest_kg_m3),
        "passes": found.passes,
        "drop": density(asked, found.drop_kg_m3),
        "temp": asked.display.show("temperature", found.temp_c),
    }
    code = "strip.spot.falling" if found.state == "falling" else "strip.spot"
    return line(asked.say(code, **said), figure, SHAPES.get(found.state, "unknown"))


def _section(asked: Asked, strip: ControlStrip, section: Section) -> list[Row]:
    figures, start = strip.figures(), f"strip/{strip.name}/section-{section.number}"
    reach = ends(asked, f"{start}/mean", section.mean)
    verdict = {True: "meets", False: "fails", None: "open"}[section.meets]
    if strip.rule is None or not (strip.rule.mean or strip.rule.single):
        verdict = "unlimited"
    return [
        cell(str(section.number)),
        cell(str(len(section.facts))),
        opens(asked, f"{start}/mean", figures),
        cell("—" if reach is None else asked.say("testing.to", low=reach[0], high=reach[1])),
        opens(asked, f"{start}/least", figures),
        cell(asked.say(f"strip.section.{verdict}"), entry=section.facts[-1].id),
    ]


def _chart(asked: Asked, strip: ControlStrip) -> Row | None:
    lines = [
        Line(
            spot.number,
            spot.readings,
            asked.say(f"strip.state.{spot.growth.state}") if spot.growth else "—",
        )
        for spot in strip.spots
    ]
    best = strip.best
    if best is None:
        return None
    mean = best.mean
    top = Top(best.passes, mean.highest_kg_m3, mean.told_apart_kg_m3, plain(strip.cessation))
    system = asked.plan.job.units
    size: Size = "print" if asked.text("size") == "print" else "phone"
    made = growth_chart(strip.name, lines, top, system, asked.words, size)
    return {"svg": made.svg, "alt": made.alt, "caption": made.caption}


def _repeats(asked: Asked) -> str:
    """By how much the gauge is taken to repeat itself, and who says so."""
    plan = asked.plan
    code = "strip.repeats" if "repeats" in plan.document.get("gauge", {}) else "strip.repeats.usual"
    return asked.say(code, s=density(asked, plan.gauge.repeats_kg_m3))


def _rules(asked: Asked, rule: StripRule) -> Iterator[str]:
    """What the owner asks of strips, in words."""
    show = asked.display
    yield asked.say("strip.rule.target", n=rule.readings)
    if rule.length_m is not None:
        yield asked.say("strip.rule.length", length=show.show("length", rule.length_m, 0))
    if rule.mean or rule.single:
        yield asked.say(
            "strip.rule.section",
            n=rule.section,
            mean=rule.mean or "—",
            single=rule.single or "—",
        )
    if rule.every_kg is not None:
        yield asked.say("strip.rule.every", every=show.show("mass", rule.every_kg, 0))
    if rule.clause or rule.source:
        source = " · ".join(text for text in (rule.clause, rule.source) if text)
        yield asked.say("lot.rule.source", source=source)
