"""Can we pave? The hours ahead as a table of workable minutes, and what follows from it."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any, Final

from matbook.desk.asking import Asked
from matbook.desk.rolling import order_words
from matbook.desk.wanted import clock_or_moment, wanted
from matbook.plan.model import Plan
from matbook.shift.ahead import Ahead, Cell
from matbook.shift.display import Display, clock, minutes
from matbook.shift.rolling import density_phases, lacking, planned_pace
from matbook.shift.skies import CLOUD, Sky, sky_at
from matbook.shift.speak import limit_words, quantity_words
from matbook.words import say

Row = dict[str, Any]

STATES: Final = ("fine", "watch", "act", "unknown")


def ahead(asked: Asked) -> Row:
    """The hours ahead by the plan in force; see `hours_ahead` for what is asked."""
    at = asked.at or (asked.now if asked.has_shift else None)
    if at is None:
        rows = asked.arguments.get("hours")
        first = rows[0] if isinstance(rows, list) and rows else {}
        at = clock_or_moment("at", first.get("at") if isinstance(first, dict) else "", EPOCH)
    return hours_ahead(asked.plan, asked.arguments, at, asked.words)


EPOCH = datetime.fromisoformat("2000-01-01T00:00:00+00:00")


def hours_ahead(
    plan: Plan,
    given: Mapping[str, Any],
    now: datetime,
    language: str = "en",
    progress: Callable[[int, int], None] = lambda done, of: None,
) -> Row:
    """Workable minutes by hour and thickness, against what the rollers need.

    Args:
        plan: The plan in force, or NO_PLAN.
        given: As `wanted` takes it; and opens, the hour at which the road must open.
        now: Hours without a date are of this day.
        language: Of the words.
        progress: Told how many cells of how many are done.

    Raises:
        Refused: A value that is missing or can't be taken.
    """
    found = wanted(plan, given, now)
    page = Page(found, language)
    opens = given.get("opens")
    return page.made(clock_or_moment("opens", opens, now) if opens else None, progress)


def span(seconds: float) -> timedelta:
    return timedelta(seconds=seconds)


class Page:
    """The answers in words, in the units of the job."""

    def __init__(self, found: Ahead, language: str) -> None:
        self.found = found
        self.language = language
        self.display = Display(found.plan.job.units)

    def say(self, code: str, /, **arguments: object) -> str:
        return say(code, self.language, **arguments)

    def made(self, opens: datetime | None, progress: Callable[[int, int], None]) -> Row:
        found, depth = self.found, self.display
        of = len(found.hours) * (len(found.thicknesses_m) + 1) + 2
        done = 0
        rows = []
        for at in found.hours:
            cells = []
            for thickness in found.thicknesses_m:
                cells.append(self._cell(found.cell(at, thickness)))
                done += 1
                progress(done, of)
            rows.append({**self._hour(at), "cells": cells})
            done += 1
            progress(done, of)
        works, closure = list(self._works()), list(self._closure(opens))
        progress(of, of)
        return {
            "title": self.say("ahead.title"),
            "line": self._line(),
            "columns": [
                {"words": depth.show("thickness", one), "planned": one == found.planned_m}
                for one in found.thicknesses_m
            ],
            "rows": rows,
            "keys": self._keys(rows),
            "needs": list(self._needs()),
            "works": works,
            "closure": closure,
            "orders": [order_words(one, self.display, self.language) for one in found.plan.orders],
            "notes": [self.say(f"ahead.note.{one}") for one in ("read", "advice")],
        }

    def _keys(self, rows: Sequence[Row]) -> list[Row]:
        """Each state that a cell has, with its words, the best first."""
        used = {cell["state"] for row in rows for cell in row["cells"]}
        return [
            {"state": state, "words": self.say(f"ahead.{state}")}
            for state in STATES
            if state in used
        ]

    def _line(self) -> str:
        found = self.found
        words = {
            "mix": found.mix.name if found.mix is not None else self.say("ahead.any-mix"),
            "laid": self.display.show("temperature", found.laid_c),
            "ends": self.display.show("temperature", found.ends_c),
            "thickness": self.display.show("thickness", found.planned_m),
        }
        return self.say("ahead.line", **words)

    # The table

    def _cell(self, cell: Cell) -> Row:
        if cell.left is None:
            short = words = self.say("ahead.hours")
        else:
            early, late = (f"{end / 60.0:.0f}" for end in (cell.left.early, cell.left.late))
            short, words = f"{early}–{late}", self.say("ahead.cell", early=early, late=late)
        return {"words": words, "short": short, "state": cell.state}

    def _hour(self, at: datetime) -> Row:
        sky = sky_at(self.found.skies, at)
        assert sky is not None
        cool = self.found.cool(at)
        return {
            "at": clock(at),
            "weather": self._weather(sky),
            "cool": None if cool is None else clock(at + span(cool.late)),
            "limits": list(self._limits(sky)),
        }

    def _weather(self, sky: Sky) -> str:
        display = self.display
        said = [display.show("temperature", sky.air_c or 0.0)]
        said.append(self.say("ahead.wind", wind=display.show("wind", sky.wind_m_s or 0.0)))
        word = next((name for name, share in CLOUD.items() if share == sky.cloud), None)
        if word is not None:
            said.append(self.say(f"choice.{word}"))
        if sky.base_c is not None:
            said.append(self.say("ahead.base", base=display.show("temperature", sky.base_c)))
        return ", ".join(said)

    def _limits(self, sky: Sky) -> Iterator[Row]:
        for judgement in self.found.judged(sky):
            if not judgement.ok:
                limit = judgement.limit
                words = {
                    "quantity": quantity_words(limit.quantity, self.language),
                    "limit": limit_words(limit, self.language),
                }
                yield {"words": self.say("ahead.limit", **words), "state": limit.grade}

    # What follows

    def _needs(self) -> Iterator[str]:
        found = self.found
        for one, need in zip(found.works, found.needs, strict=False):
            words = {
                "phase": one.phase.name,
                "need": f"{need.value / 60.0:.0f}",
                "ends": self.display.show("temperature", one.phase.ends_c),
                "strip": self.display.show("length", one.strip_m, 0),
            }
            yield self.say("ahead.need", **words)
        if not found.needs:
            yield self._lacking()

    def _lacking(self) -> str:
        plan, mix = self.found.plan, self.found.mix
        phases = density_phases(plan, mix.id if mix is not None else "")
        missing = sorted({name for phase in phases for name in lacking(plan, phase)})
        if not phases:
            return self.say("ahead.no-phases")
        if not missing and planned_pace(plan) is None:
            missing = ["pace"]
        what = ", ".join(self.say(f"rolling.lacks.{name}") for name in missing)
        return self.say("ahead.lacking", what=what)

    def _works(self) -> Iterator[str]:
        """The earliest hour, the thinnest lift and the lowest temperature that work."""
        found, display = self.found, self.display
        if not found.needs:
            return
        depth = display.show("thickness", found.planned_m)
        if found.earliest is None:
            yield self.say("ahead.no-hour", thickness=depth)
        else:
            yield self.say("ahead.earliest", thickness=depth, at=clock(found.earliest))
        at = found.earliest or found.hours[0]
        thin, cold = found.thinnest(at), found.coldest(at)
        if thin is not None:
            thinnest = display.show("thickness", thin)
            yield self.say("ahead.thinnest", thickness=thinnest, at=clock(at))
        if cold is not None:
            coldest = display.show("temperature", cold)
            yield self.say("ahead.coldest", temp=coldest, thickness=depth, at=clock(at))
        elif thin is None:
            yield self.say("ahead.nothing", at=clock(at))

    def _closure(self, opens: datetime | None) -> Iterator[str]:
        found = self.found
        below = found.opens_below_c
        if below is None:
            yield self.say("ahead.no-opening")
            return
        temp = self.display.show("temperature", below)
        first = found.cool(found.hours[0])
        if first is None:
            yield self.say("ahead.long-cool", temp=temp)
        else:
            wait = {"early": minutes(span(first.early)), "late": minutes(span(first.late))}
            yield self.say("ahead.wait", temp=temp, at=clock(found.hours[0]), **wait)
        if opens is None:
            return
        closure = found.closure(opens)
        if closure is None or closure.last_laid is None:
            yield self.say("ahead.too-late", opens=clock(opens), temp=temp)
        else:
            words = {"opens": clock(opens), "temp": temp, "at": clock(closure.last_laid)}
            yield self.say("ahead.last-hour" if closure.is_last_hour else "ahead.last", **words)
