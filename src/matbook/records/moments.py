"""Dates and times as ticket files write them, before anybody says what they mean here."""

import re
from collections.abc import Iterable, Mapping
from datetime import date, time
from functools import lru_cache
from typing import Final, NamedTuple

from matbook.errors import FileRefused, Refused
from matbook.records.headings import MONTHS, words_of

ALLOWED: Final = "it must be a date and time, such as 2026-05-12 07:41, or a time, such as 07:41"
LONGEST: Final = 64
FURTHEST_H: Final = 14
"""Hours that a clock anywhere is from UTC, at most; tz database, Line Islands, from memory."""

_TIME = re.compile(
    r"(?:^|[\sT,])([0-9]{1,2})\s?(?:[:hH]\s?([0-9]{2})(?:[:m]([0-9]{2})(?:[.,][0-9]{1,9})?)?"
    r"|\.([0-9]{2}))"
    r"(?:\s?([aApP])\.?\s?[mM]\.?)?\s?(?:Uhr|hrs|h)?\s?(Z|[+-][0-9]{2}:?[0-9]{2})?$"
)
_PLAIN_TIME = re.compile(r"([0-9]{1,2})([0-9]{2})")
_YEAR_FIRST = re.compile(r"([0-9]{4})([-/.]?)([0-9]{1,2})\2([0-9]{1,2})")
_NUMBERS = re.compile(r"([0-9]{1,2})\s?([-/. ])\s?([0-9]{1,2})\s?\2\s?([0-9]{2}|[0-9]{4})")
_NAMED = re.compile(r"[0-9]{1,2}\D{1,14}[0-9]{2,4}|[^\W\d]{3,10}\W{1,3}[0-9]{1,2}\D{1,4}[0-9]{4}")
_WEEKDAY = re.compile(r"[^\W\d]{2,10}[.,]{0,2}\s+(?=[0-9])")
_DIGITS = re.compile(r"[0-9]+")


OpenDate = tuple[int, int, int]
"""Two numbers of which one is the day and one the month, and the year."""


class Written(NamedTuple):
    """A moment as written: perhaps no date, perhaps no time, perhaps its own offset."""

    day: date | OpenDate | None = None
    clock: time | None = None
    offset: str = ""


@lru_cache(maxsize=8192)
def as_written(text: str) -> Written:
    """Read a date, a time, both, or nothing; raises Refused.

    Example:
        >>> as_written("Tue 12.05.2026").day, as_written("12 May 2026").day
        ((12, 5, 2026), datetime.date(2026, 5, 12))
        >>> as_written("7:41 PM").clock, as_written("19h41").clock
        (datetime.time(19, 41), datetime.time(19, 41))
    """
    if not text:
        return Written()
    if len(text) > LONGEST:
        raise Refused("loaded", text, ALLOWED)
    if found := _TIME.search(text):
        day = text[: found.start()].strip(" ,")
        return Written(_date(day) if day else None, _time(text, found), _offset(found[6]))
    if whole := _PLAIN_TIME.fullmatch(text):
        return Written(clock=_clock(text, int(whole[1]), int(whole[2])))
    return Written(_date(text))


def _time(text: str, found: re.Match[str]) -> time:
    hour, minute, second = int(found[1]), int(found[2] or found[4]), int(found[3] or 0)
    if half := (found[5] or "").casefold():
        if not 1 <= hour <= 12:
            raise Refused("loaded", text, ALLOWED)
        hour = hour % 12 + (12 if half == "p" else 0)
    return _clock(text, hour, minute, second)


def _clock(text: str, hour: int, minute: int, second: int = 0) -> time:
    try:
        return time(hour, minute, second)
    except ValueError:
        raise Refused("loaded", text, ALLOWED) from None


def _offset(text: str | None) -> str:
    if not text:
        return ""
    if text == "Z":
        return "+00:00"
    hours, minutes = text[1:3], text[-2:]
    if int(hours) > FURTHEST_H or int(minutes) > 59:
        raise Refused("loaded", text, ALLOWED)
    return f"{text[0]}{hours}:{minutes}"


@lru_cache(maxsize=2048)
def _date(text: str) -> date | OpenDate:
    bare = text if _NAMED.fullmatch(text) else _WEEKDAY.sub("", text, count=1)
    try:
        if found := _YEAR_FIRST.fullmatch(bare):
            return date(int(found[1]), int(found[3]), int(found[4]))
        if found := _NUMBERS.fullmatch(bare):
            return int(found[1]), int(found[3]), _year(found[4])
        if _NAMED.fullmatch(bare):
            return _named(bare)
    except ValueError:
        pass
    raise Refused("loaded", text, ALLOWED)


def _named(text: str) -> date:
    """A date that names its month; raises ValueError."""
    day, year = _DIGITS.findall(text)
    months = {MONTHS[word] for word in words_of(_DIGITS.sub(" ", text)) if word in MONTHS}
    if len(months) != 1:
        raise ValueError
    return date(_year(year), months.pop(), int(day))


def _year(digits: str) -> int:
    return int(digits) + (2000 if len(digits) == 2 else 0)


# Whether the day or the month stands first is one question for the whole file.

ORDERS: Final[Mapping[str, tuple[int, int]]] = {"day/month/year": (1, 0), "month/day/year": (0, 1)}
"""Where the month and the day stand among the two numbers."""


def dated(written: OpenDate, order: str) -> date | None:
    """The date under one order, if there is such a date."""
    month, day = ORDERS[order]
    try:
        return date(written[2], written[month], written[day])
    except ValueError:
        return None


def date_order(written: Iterable[OpenDate], working: date) -> str:
    """The order that a file writes its dates in, from all of them and the working date.

    Args:
        written: The two numbers and the year of every date, in any order.
        working: The shift's working date, which decides where every date reads both ways.

    Returns:
        The order, as in `ORDERS`; nothing if there is no date to ask it of.

    Raises:
        FileRefused: Neither the dates nor the working date decide.
    """
    every = [{order: dated(w, order) for order in ORDERS} for w in written]
    apart = [readings for readings in every if len(set(readings.values())) > 1]
    only = {
        order: [r for r in apart if r[order] and not any(r[o] for o in ORDERS if o != order)]
        for order in ORDERS
    }
    able = [order for order, sure in only.items() if sure]
    if not apart or len(able) == 1:
        return able[0] if able else next(iter(ORDERS)) if every else ""
    near = {
        order: len([r for r in apart if (day := r[order]) and abs((day - working).days) <= 1])
        for order in ORDERS
    }
    first, second = ORDERS
    if near[first] == near[second]:
        shown = " or ".join(str(day) for day in apart[0].values())
        raise FileRefused(
            f"The dates may be {first} or {second} ({shown}), and neither is near the shift's "
            f"working date, {working}. Check that the file is for this shift, or write its dates "
            "as 2026-05-12."
        )
    return max(near, key=lambda order: near[order])
