"""How the forecasts of cooling did, over all shifts of the job so far."""

from typing import Any

from matbook.desk.asking import Asked
from matbook.shift.display import clock, fixed
from matbook.shift.mat_checks import Checked
from matbook.shift.score import Scored, Tally, scored, tallies


def score(asked: Asked) -> dict[str, Any]:
    """By how it was read: count, share inside what was expected, mean difference; and each reading.

    Readings are those taken by the moment asked about; the shifts are all that have begun.
    """
    seen = _seen(asked)
    every = [(shift, one) for shift, checked in seen for one in scored(checked)]
    states = [one.state for _, checked in seen for one in checked.readings]
    left_out = states.count("unnoted"), states.count("contradicts")
    return {
        "rows": [_row(asked, tally) for tally in tallies([one for _, one in every])],
        "readings": [
            _reading(asked, shift, one)
            for shift, one in every
            if asked.sees(one.compared.fact.entry)
        ],
        "notes": _notes(asked, len(every), *left_out),
    }


def _seen(asked: Asked) -> list[tuple[str, Checked]]:
    """What was read in every shift, beside what was expected."""
    book, now = asked.book, asked.now
    begun = [shift for shift in book.shifts if book.wrote(shift)]
    return [(shift, book.view(shift, now).checked) for shift in begun]


def _notes(asked: Asked, count: int, unnoted: int, contradicting: int) -> list[str]:
    found = [asked.say("score.is" if count else "score.none")]
    if unnoted:
        found.append(asked.say("score.unnoted", n=unnoted))
    if contradicting:
        found.append(asked.say("score.contradicting", n=contradicting))
    return found


def _row(asked: Asked, tally: Tally) -> dict[str, Any]:
    low, high = (fixed(100.0 * end, 0) for end in tally.share_range)
    return {
        "how": asked.say(f"score.by.{tally.how or 'all'}"),
        "readings": tally.count,
        "inside": tally.inside,
        "share": f"{fixed(100.0 * tally.share, 0)} %",
        "range": asked.say("range.to", low=low, high=high),
        "off": asked.display.difference("temperature", tally.off_k),
    }


def _reading(asked: Asked, shift: str, one: Scored) -> dict[str, Any]:
    show, fact = asked.display, one.compared.fact
    ends = (show.number("temperature", end) for end in (one.low_c, one.high_c))
    return {
        "shift": shift,
        "at": clock(fact.at),
        "station": fact.place("station"),
        "how": asked.say(f"score.by.{one.how}"),
        "read": show.show("temperature", one.compared.read_c),
        "expected": f"{' – '.join(ends)} {show.unit('temperature')}",
        "state": asked.say("score.inside" if one.inside else "score.outside"),
        "id": fact.id,
    }
