"""The haul of each paver now: the trucks, the coming hour, what would help, and the last load."""

from collections.abc import Iterator
from typing import Any, Final

from matbook.desk.answers import coming
from matbook.desk.asking import Asked
from matbook.desk.placed import last_words
from matbook.desk.wanted import clock_or_moment
from matbook.engine.trucks import stop_and_go
from matbook.errors import Refused
from matbook.shift.cutoff import Last, closing, last_loads
from matbook.shift.haul import AHEAD_S, ALLOWED, Hauled

Row = dict[str, Any]

EVERY_S: Final = 600.0
LEGS: Final = ("out", "laying", "back")
MOST_COMING: Final = 100


def haul(asked: Asked) -> Row:
    """Every paver at work. Takes closes, the hour by which all is finished, and coming, the number
    of loads on their way, where they are known better than the plan and the tickets have them.
    """
    view = asked.view
    given = asked.text("closes")
    closes = (
        clock_or_moment("closes", given, asked.now) if given else closing(asked.facts, asked.now)
    )
    lasts = last_loads(asked.facts, asked.now, view.carry.restarts, closes, _coming(asked))
    by_paver = {one.paver: one for one in lasts}
    return {
        "title": asked.say("haul.title"),
        "closes": "" if closes is None else asked.clock(closes),
        "pavers": [_paver(asked, one, by_paver.get(one.paver)) for one in view.hauls],
        "none": asked.say("haul.none"),
        "note": asked.say("haul.note"),
    }


def _coming(asked: Asked) -> int | None:
    given = asked.arguments.get("coming")
    if given in (None, ""):
        return None
    text = str(given)
    if not text.isdecimal() or len(text) > 3 or int(text) > MOST_COMING:
        raise Refused("coming", text, f"a number of loads from 0 to {MOST_COMING}")
    return int(text)


def _paver(asked: Asked, one: Hauled, last: Last | None) -> Row:
    plan = asked.plan.pavers
    name = plan[one.paver].name if one.paver in plan else one.paver
    line = next(line for line in asked.view.pavers if line.paver == one.paver)
    pace = None if line.standing else line.pace_m_s
    return {
        "paver": one.paver,
        "name": name,
        "figure": f"haul/{one.paver}" if one.outlook is not None else None,
        "coming": coming(one, pace, asked.display, asked.words),
        "legs": list(_legs(asked, one)),
        "bunched": _bunched(asked, one),
        "minutes": list(_minutes(asked, one)),
        "helps": list(_helps(asked, one, pace)),
        "last": list(_last(asked, last)),
        "last_figure": None if last is None else f"haul.last/{'/'.join(last.strip)}",
    }


def _legs(asked: Asked, one: Hauled) -> Iterator[Row]:
    """What each leg of the round takes, and how it scatters."""
    for name in LEGS if one.haul is not None else ():
        leg = getattr(one.haul, name)
        if leg.count:
            yield {
                "leg": asked.say(f"input.{name}_s"),
                "takes": f"{leg.mean_s / 60.0:.1f} min",
                "scatter": f"± {leg.scatter_s / 60.0:.1f} min",
                "seen": leg.count,
            }


def _bunched(asked: Asked, one: Hauled) -> str:
    """Whether trucks come in bunches, beside what chance alone would do."""
    seen = one.bunched
    if seen is None:
        return asked.say("haul.bunched.unknown")
    words = {
        "together": f"{100.0 * seen.together.value:.0f}",
        "alone": f"{100.0 * seen.by_chance:.0f}",
        "longest": seen.longest,
    }
    return asked.say("haul.bunched" if seen.held_up > 0.0 else "haul.bunched.not", **words)


def _minutes(asked: Asked, one: Hauled) -> Iterator[Row]:
    """The chance that it stands, ten minutes by ten minutes."""
    if one.outlook is None:
        return
    for n, share in enumerate(one.outlook.stands(EVERY_S)):
        value, least, most = (f"{100.0 * part:.0f}" for part in share)
        words = asked.say("haul.stands", value=value, least=least, most=most)
        yield {
            "in": f"{n * EVERY_S / 60.0:.0f} min",
            "words": words,
            "share": round(share.value, 3),
        }


def _helps(asked: Asked, one: Hauled, pace: float | None) -> Iterator[str]:
    """Which pace, or how many trucks more, would keep it moving; and what stop-and-go costs."""
    if one.outlook is None or one.outlook.stops_by(AHEAD_S).value <= ALLOWED:
        return
    if pace is not None and one.pace is not None and one.pace.amount < 1.0:
        slower = asked.display.show("pace", pace * one.pace.amount)
        yield asked.say("haul.help.pace", pace=slower)
    else:
        yield asked.say("haul.help.no-pace")
    more = one.more
    if more is None:
        yield asked.say("haul.help.no-trucks")
    elif more.amount >= 1:
        yield asked.say("haul.help.trucks", n=int(more.amount))
    stood_s = one.outlook.standing_s.middle
    if pace is not None and 60.0 <= stood_s < AHEAD_S:
        instead = stop_and_go(pace, AHEAD_S - stood_s, stood_s)
        yield asked.say(
            "haul.help.cost",
            pace=asked.display.show("pace", pace),
            stood=f"{stood_s / 60.0:.0f}",
            stops=f"{max(1.0, one.outlook.stops.middle):.0f}",
            steady=asked.display.show("pace", instead.steady_m_s),
        )


def _last(asked: Asked, one: Last | None) -> Iterator[str]:
    """The last load: how many more, what they are for, and when the last one leaves the plant."""
    if one is None:
        yield asked.say("haul.last.unknown")
        return
    yield last_words(asked.view, one, asked.words)
    least, likely, most = (f"{count:.0f}" for count in one.coming)
    known = "haul.last.coming" if least == most else "haul.last.coming-about"
    if one.guessed:
        known = "haul.last.coming-unknown"
    yield asked.say(known, n=likely, least=least, most=most)
    over = asked.display.show("load", max(0.0, one.found.over_kg))
    yield asked.say("haul.last.over", over=over)
    if one.leaves_by is not None:
        yield asked.say("haul.last.leaves", at=asked.clock(one.leaves_by))
