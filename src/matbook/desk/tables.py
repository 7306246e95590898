"""The shift's tables: yield by lane and lift, pavers, checks due, who was told."""

from datetime import timedelta
from typing import Any

from matbook.desk.asking import Asked
from matbook.desk.notices import times
from matbook.shift.display import minutes, signed
from matbook.shift.speak import done_words, due_words

Rows = list[dict[str, Any]]


def yields(asked: Asked) -> Rows:
    """Yield of this shift by lane and lift."""
    display = asked.display
    rows = []
    for (lane, lift), found in asked.view.by_course.items():
        deviation = found.deviation
        ends = (signed(deviation.low or 0, 1), signed(deviation.high or 0, 1)) if deviation else ()
        rows.append(
            {
                "lane": lane,
                "lift": lift,
                "loads": found.total.loads,
                "mass": display.show("mass", found.total.mass_kg),
                "area": display.show("area", found.total.area_m2),
                "spread": display.show("spread", found.rate.value),
                "over": f"{signed(deviation.value, 1)} %" if deviation else "",
                "range": asked.say("range.to", low=ends[0], high=ends[1]) if ends else "",
            }
        )
    return rows


def pavers(asked: Asked) -> Rows:
    """Every paver: points, pace, stops."""
    now = asked.now
    rows = []
    for line in asked.view.pavers:
        pace = line.pace_m_s
        stops = (
            f"{asked.clock(s.started)} {minutes(s.lasted(now))} {asked.say(f'stop.{s.reason}')}"
            for s in line.stops
        )
        rows.append(
            {
                "paver": line.paver,
                "points": len(line.points),
                "pace": "" if pace is None else asked.display.show("pace", pace),
                "stops": "; ".join(stops),
            }
        )
    return rows


def due(asked: Asked) -> Rows:
    """Every check the plan asks for, the most pressing first."""
    return [
        {
            "check": item.check.name,
            "done": done_words(item, asked.words),
            "left": due_words(item, asked.display, asked.words),
            "state": asked.say("due.overdue") if item.overdue else "",
        }
        for item in asked.view.due
    ]


def told(asked: Asked) -> Rows:
    """Every notice, how soon it was given and answered, and what became of it on its way."""
    return [
        {
            "at": asked.clock(matter.at),
            "after": _took(matter.told_after),
            "to": ", ".join(asked.person(one) for one in matter.to),
            "how": asked.say(f"how.{matter.how}"),
            "text": matter.text,
            "sent": "; ".join(asked.went(matter)),
            "times": times(asked, matter),
            "answered": _took(matter.answered_after),
            "answer": "; ".join(reply.text("text") for reply in matter.replies),
            "state": asked.say("told.settled" if matter.settled else "told.open"),
            "id": matter.id,
        }
        for matter in asked.view.matters
    ]


def _took(time: timedelta | None) -> str:
    return "" if time is None else minutes(time)
