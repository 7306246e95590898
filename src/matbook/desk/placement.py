"""What is placed, by subject: tack, loose depth, width, slope and edges, smoothness; each opens."""

from collections.abc import Iterator
from typing import Any

from matbook.desk.asking import Asked
from matbook.desk.figures import figure_title, figure_value
from matbook.desk.placed import settling_words, smooth_lines, tack_line, trend_words
from matbook.plan.judge import Judgement
from matbook.shift.depths import Depth
from matbook.shift.display import clock, written
from matbook.shift.facts import Fact
from matbook.shift.figure import Figure
from matbook.shift.measured import Reading
from matbook.shift.smooth import Profile, profiles, stations
from matbook.shift.speak import limit_words, quantity_words
from matbook.shift.tack import Sprayed, spreads

Row = dict[str, Any]

SHAPE = ("width", "slope", "overlap", "edge", "joint-longitudinal")


def placement(asked: Asked) -> Row:
    """Each subject with what is said of it, its numbers, and the readings behind them."""
    parts = (("tack", _tack), ("depth", _depth), ("shape", _shape), ("smooth", _smooth))
    return {
        "title": asked.say("placement.title"),
        "parts": [
            {"name": name, "title": asked.say(f"placement.{name}"), **part(asked)}
            for name, part in parts
        ],
        "none": asked.say("placement.none"),
        "note": asked.say("placement.note"),
    }


def _part(lines: list[str], numbers: list[Row], rows: list[Row], limits: list[str]) -> Row:
    return {"lines": lines, "numbers": numbers, "rows": rows, "limits": limits}


def _number(asked: Asked, name: str, one: Figure) -> Row:
    value = figure_value(asked.display, name, one.value, one.unit)
    span = ""
    if one.low is not None and one.high is not None:
        low, high = (
            figure_value(asked.display, name, end, one.unit) for end in (one.low, one.high)
        )
        span = asked.say("placement.range", low=low, high=high)
    return {"name": name, "title": figure_title(asked, name), "value": value, "range": span}


def _numbers(asked: Asked, *families: str) -> list[Row]:
    return [
        _number(asked, name, one)
        for name, one in asked.view.figures()
        if name.partition("/")[0] in families
    ]


def _row(asked: Asked, fact: Fact, value: str, words: str, state: str, figure: str = "") -> Row:
    ends = [fact.place(name) for name in ("station", "from", "to")]
    return {
        "at": clock(asked.local(fact.at)),
        "station": " – ".join(end for end in ends if end),
        "value": value,
        "words": words,
        "state": state,
        "figure": figure,
        "entry": fact.id,
    }


def _limits(asked: Asked, found: list[Reading]) -> list[str]:
    """The limits that these readings were set against, each once."""
    said = {
        f"{quantity_words(one.quantity, asked.words)}: {limit_words(each.limit, asked.words)}"
        for one in found
        for each in one.judgements
    }
    return sorted(said)


def _state(one: Reading) -> str:
    if not one.judgements:
        return "unknown"
    grades = {each.limit.grade for each in one.beyond}
    return "act" if "act" in grades else "watch" if grades else "fine"


# Tack


def _tack(asked: Asked) -> Row:
    readings = {one.fact.id: one for one in asked.view.readings("tack")}
    rows = [_spread(asked, fact, one, readings.get(fact.id)) for fact, one in spreads(asked.facts)]
    numbers = [row for row in _numbers(asked, "tack") if row["name"] == "tack/all/residual"]
    lines = list(tack_line(asked.view, asked.words))
    return _part(lines, numbers, rows, _limits(asked, [*readings.values()]))


def _spread(asked: Asked, fact: Fact, one: Sprayed, reading: Reading | None) -> Row:
    display = asked.display
    if reading is None:
        return _row(asked, fact, "—", asked.say(one.why or "tack.why.readings"), "unknown")
    assert one.applied is not None
    assert one.area is not None
    words = asked.say(
        "placement.tack.row",
        applied=display.show("application", one.applied.value),
        area=display.show("area", one.area.value),
        before=written(fact.text("before")),
        after=written(fact.text("after")),
    )
    if reading.note:
        words = f"{words}; {asked.say(reading.note)}"
    name = f"reading/{fact.id}/tack.rate"
    value = display.of("tack.rate", reading.value.value)
    return _row(asked, fact, value, words, _state(reading), name)


# Loose depth


def _depth(asked: Asked) -> Row:
    lines = [line for one in asked.view.depths for line in _depth_words(asked, one)]
    readings = [*asked.view.readings("loose-depth")]
    rows = [_reading(asked, one) for one in reversed(readings)]
    return _part(lines, _numbers(asked, "depth"), rows, _limits(asked, readings))


def _depth_words(asked: Asked, one: Depth) -> Iterator[str]:
    view, display = asked.view, asked.display
    if one.to_set is None:
        yield asked.say("placed.depth.no-target")
    if one.own is not None and one.own_set is not None:
        yield asked.say(
            "placed.depth.own",
            own=f"{100.0 * one.own.roll_down:.1f}",
            least=f"{100.0 * one.own.least:.1f}",
            most=f"{100.0 * one.own.most:.1f}",
            n=one.own.count,
            depth=display.show("thickness", one.own_set.value),
        )
    if one.trend is None:
        yield asked.say("placed.depth.few")
    else:
        yield trend_words(view, one, asked.words)
    if one.settling is not None:
        if not one.settling.checked:
            yield settling_words(view, one, asked.words)
        if one.settling.early:
            yield asked.say("placed.depth.early", n=len(one.settling.early))


def _reading(asked: Asked, one: Reading) -> Row:
    display = asked.display
    words = ""
    if one.target is not None:
        wanted = display.of(one.quantity, one.target.value)
        words = asked.say("placement.wanted", wanted=wanted)
    name = f"reading/{one.fact.id}/{one.quantity}"
    if one.quantity != "loose-depth":
        said = quantity_words(one.quantity, asked.words)
        words = f"{said}, {words}" if words else said
    return _row(
        asked, one.fact, display.of(one.quantity, one.value.value), words, _state(one), name
    )


# Width, slope, edges


def _shape(asked: Asked) -> Row:
    readings = [one for kind in SHAPE for one in asked.view.readings(kind)]
    latest = sorted(readings, key=lambda one: one.fact.order, reverse=True)
    return _part([], [], [_reading(asked, one) for one in latest], _limits(asked, readings))


# Smoothness


def _smooth(asked: Asked) -> Row:
    readings = [*asked.view.readings("straightedge")]
    rows = [row for one in profiles(asked.facts) for row in _profile(asked, one)]
    rows += [_reading(asked, one) for one in reversed(readings)]
    limits = _limits(asked, readings)
    limits += sorted({limit_words(j.limit, asked.words) for j in _of_profiles(asked)})
    return _part(list(smooth_lines(asked.view, asked.words)), [], rows, limits)


def _of_profiles(asked: Asked) -> Iterator[Judgement]:
    for one in profiles(asked.facts):
        for part in one.sections:
            yield from part.judgements


def _profile(asked: Asked, one: Profile) -> Iterator[Row]:
    """Each section by its stations; why there are none where there are none."""
    if one.whole is None:
        yield _row(asked, one.fact, "—", asked.say("placed.profile.none", why=one.why), "unknown")
    for n, part in enumerate(one.sections):
        grades = {each.limit.grade for each in part.judgements if not each.ok}
        state = "act" if "act" in grades else "watch" if grades else "fine"
        said = stations(asked.facts.plan_at(one.fact.at), one.fact, part)
        value = asked.display.of("iri", part.value.value)
        row = _row(
            asked, one.fact, value, quantity_words("iri", asked.words),
            state if part.judgements else "unknown", f"smooth/{one.fact.id}/{n}",
        )  # fmt: skip
        yield {**row, "station": said}
