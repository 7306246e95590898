"""The six standing answers of a shift: this load, yield, haul, rolling, density, due next.

An answer whose computation this version does not have says so; it never shows “fine” on
missing data.
"""

from collections.abc import Iterable, Sequence, Set
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Final, Literal

from matbook.desk.placed import depth_lines, last_words, tack_line
from matbook.engine.haul import stop_and_go
from matbook.lots.folded import Lot
from matbook.plan.model import Check
from matbook.shift.calls import Call
from matbook.shift.display import Display, clock, fixed, minutes, sign, signed, written
from matbook.shift.haul import AHEAD_S, ALLOWED, Hauled
from matbook.shift.loads import Load
from matbook.shift.mats import missing
from matbook.shift.places import label
from matbook.shift.speak import amount
from matbook.shift.view import View
from matbook.words import say

State = Literal["fine", "watch", "act", "unknown"]

ROLLING_CALLS: Final = frozenset({"mat.late", "mat.soon", "rolling.behind", "rolling.unlikely"})


@dataclass(frozen=True, slots=True)
class Answer:
    """One standing answer: its question, the number that leads, two lines, and its state."""

    name: str
    number: str
    lines: tuple[str, ...]
    state: State
    figure: str | None = None
    """Name of the figure that the number opens to."""
    entries: tuple[str, ...] = ()
    """Ids of the entries behind it."""
    goes: tuple[str, ...] = ()
    """Where in the app it is done, as the parts of an address."""


@dataclass(frozen=True, slots=True)
class Latest:
    """The lot that was tested last, in a line, and the calls of all lots."""

    line: str
    lot: Lot
    calls: Sequence[Call]


def answers(
    view: View, language: str = "en", latest: Latest | None = None, strip: str = ""
) -> tuple[Answer, ...]:
    """The six answers, in the order in which they stand.

    Args:
        view: The shift.
        language: Of the sentences.
        latest: The lot that was tested last.
        strip: The latest control strip in a line.
    """
    density = _density(view, latest, language)
    if strip:
        density = replace(density, lines=(*density.lines, strip))
    return (
        _this_load(view, language),
        _yield(view, language),
        _paver(view, language),
        _rolling(view, language),
        density,
        _due(view, language),
    )


def _not_yet(name: str, language: str) -> Answer:
    return Answer(name, "—", (say(f"answer.{name}.not-yet", language),), "unknown")


def _gravest(grades: Set[str]) -> State:
    return "act" if "act" in grades else "watch" if "watch" in grades else "fine"


def _this_load(view: View, language: str) -> Answer:
    load = view.last_load
    if load is None:
        return Answer("load", "—", (say("answer.load.none", language),), "unknown")
    temp = load.temp
    age = load.age
    line = say("answer.load.line", language, load=load.label, truck=load.truck or "—")
    if load.net_kg is not None:
        line += f" · {Display(view.plan.job.units).show('load', load.net_kg)}"
    if age is not None:
        line += f" · {say('answer.load.age', language, age=minutes(age))}"
    state = _gravest({call.grade for call in view.calls if load.id in call.entries})
    if state == "fine" and not _probed(load):
        state = "unknown"
    number = written(temp) if temp else say("answer.load.no-temp", language)
    decision = say(f"decision.{load.decision}", language)
    return Answer("load", number, (line, decision), state, None, load.ids)


def _probed(load: Load) -> bool:
    """Whether the temperature can be set against a limit: infrared sees the skin alone."""
    return load.looked_at is not None and load.looked_at.text("temp_how") != "infrared"


def _yield(view: View, language: str) -> Answer:
    found, display = view.shift_yield, Display(view.plan.job.units)
    if found is None:
        lines = [say("answer.yield.none", language), *tack_line(view, language)]
        return Answer("yield", "—", tuple(lines), "unknown")
    if found.deviation is None:
        mass = display.show("mass", found.total.mass_kg)
        line = say("answer.yield.unplanned", language, mass=mass)
        number = display.show("spread", found.rate.value)
        return Answer("yield", number, (line,), "unknown", "yield.shift/rate")
    low, high = found.deviation.low or 0.0, found.deviation.high or 0.0
    lines = [
        say(
            "answer.yield.line",
            language,
            mass=display.show("mass", found.total.mass_kg),
            low=signed(low, 1),
            high=signed(high, 1),
        )
    ]
    for finish in view.finishes:
        if finish.mass is not None and finish.budget_left_kg is not None:
            short = finish.mass.value - finish.budget_left_kg
            code = "answer.yield.short" if short > 0 else "answer.yield.left"
            lift = view.plan.lifts[finish.lift].name
            lines.append(say(code, language, lift=lift, mass=display.show("mass", abs(short))))
    lines += [*depth_lines(view, language), *tack_line(view, language)]
    state = _gravest({call.grade for call in view.calls if call.code.startswith("yield.")})
    number = f"{signed(found.deviation.value, 1)} %"
    return Answer("yield", number, tuple(lines), state, "yield.shift/deviation")


def _paver(view: View, language: str) -> Answer:
    """Where the paver stands or how it moves, and whether trucks will keep it moving."""
    display, pavers = Display(view.plan.job.units), view.plan.pavers
    lines: list[str] = []
    stands: list[str] = []
    moves: list[str] = []
    behind: list[str] = []
    hauled = {one.paver: one for one in view.hauls}
    for line in view.pavers:
        name = pavers[line.paver].name if line.paver in pavers else line.paver
        standing, pace = line.standing, line.pace_m_s
        if standing is not None:
            stands.append(minutes(standing.lasted(view.now)))
            behind.append(standing.id)
            reason = say(f"stop.{standing.reason}", language)
            lines.append(say("answer.haul.stands", language, paver=name, reason=reason))
        elif pace is not None and line.working:
            moves.append(display.show("pace", pace))
            behind += [point.id for point in line.points]
            lines.append(say("answer.haul.pace", language, paver=name, pace=moves[-1]))
        if line.paver in hauled:
            lines += coming(hauled[line.paver], pace, display, language)
    lines += [last_words(view, one, language) for one in view.last_loads if one.near]
    number = next(iter((*stands, *moves)), "—")
    seen = [one for one in hauled.values() if one.outlook is not None]
    figure = f"haul/{seen[0].paver}" if seen else None
    lines = lines or [say("answer.haul.none", language)]
    state: State = "watch" if stands else _kept_moving(hauled.values())
    return Answer("haul", number, tuple(lines), state, figure, tuple(behind))


def _kept_moving(hauled: Iterable[Hauled]) -> State:
    """Fine only where every paver at work has a forecast, and it says so."""
    seen = [one.outlook for one in hauled]
    if any(one is not None and one.stops_by(AHEAD_S).value > ALLOWED for one in seen):
        return "watch"
    return "fine" if seen and None not in seen else "unknown"


def coming(one: Hauled, pace: float | None, display: Display, language: str) -> list[str]:
    """The coming hour of a paver in a few sentences, or why there is none."""
    seen = one.outlook
    if seen is None:
        return [say(one.why, language)]

    def told(code: str, **says: str) -> str:
        return say(f"answer.haul.{code}", language, **says)

    chance = seen.stops_by(AHEAD_S)
    shares = {name: f"{100.0 * share:.0f}" for name, share in chance._asdict().items()}
    waiting = {"early": f"{seen.waiting.early:.0f}", "late": f"{seen.waiting.late:.0f}"}
    lines = [told("chance", **shares)]
    first, stood_s = seen.first_stop(ALLOWED), seen.standing_s.middle
    if first is not None and not seen.stands_now:
        lines.append(told("early", early=f"{first / 60.0:.0f}"))
    alike = waiting["early"] == waiting["late"]
    lines.append(told("waiting-alike" if alike else "waiting", **waiting))
    if pace is not None and one.pace is not None and one.pace.amount < 1.0:
        lines.append(told("slower", pace=display.show("pace", pace * one.pace.amount)))
        if 60.0 <= stood_s < AHEAD_S:
            steady = stop_and_go(pace, AHEAD_S - stood_s, stood_s).steady_m_s
            stood = f"{stood_s / 60.0:.0f}"
            lines.append(told("cost", stood=stood, pace=display.show("pace", steady)))
    return lines


def _rolling(view: View, language: str) -> Answer:
    """How long and how far behind the paver rolling still makes density; never “fine” unchecked."""
    why = missing(view.plan, view.facts)
    if why or not view.behind:
        return Answer("rolling", "—", (say(why or "cooling.nothing", language),), "unknown")
    display, one = Display(view.plan.job.units), view.behind[-1]
    lane = one.strip[0]
    early, late = (f"{end / 60.0:.0f}" for end in (one.left.early, one.left.late))
    lines = [say("answer.rolling.none", language)]
    if one.early.length_m > 0.0:
        metres = display.show("length", one.early.length_m, 0)
        station = label(view.plan, lane, one.early.from_m)
        lines = [say("answer.rolling.left", language, metres=metres, station=station)]
    seen = view.checked
    if seen.agreeing:
        narrower = max(0.0, seen.narrower(one.last))
        said = {"n": seen.agreeing, "pct": f"{100.0 * narrower:.0f}"}
        lines.append(say("answer.rolling.checked", language, **said))
    else:
        lines.append(say("answer.rolling.unchecked", language))
    if one.front is None or not one.fresh(view.now):
        lines.append(say("answer.rolling.no-roller", language))
    lines += _keeping(view, f"{lane}/{one.strip[1]}", language)
    states = {call.grade for call in view.calls if call.code in ROLLING_CALLS}
    known = bool(seen.agreeing) and one.fresh(view.now)
    state = _gravest(states) if states or known else "unknown"
    number = say("answer.rolling.minutes", language, early=early, late=late)
    if one.early.length_m <= 0.0:
        number = minutes(timedelta())
    return Answer("rolling", number, tuple(lines), state, f"cooling/{lane}/{one.strip[1]}")


def _keeping(view: View, strip: str, language: str) -> list[str]:
    """The phase that is the least likely to keep up."""
    phases = [one for one in view.kept.get(strip, ()) if one.chance is not None]
    if not phases:
        return []
    worst = min(phases, key=lambda one: one.chance.value if one.chance else 0.0)
    assert worst.chance is not None
    chance = f"{100.0 * worst.chance.value:.0f}"
    return [say("answer.rolling.keeps", language, phase=worst.work.phase.name, chance=chance)]


def _density(view: View, latest: Latest | None, language: str) -> Answer:
    """The last one as it was written, with all that it needs; and the lot that was tested last."""
    last = view.facts.of("density")[-1:]
    if not last:
        return _of_lot(latest) if latest else _not_yet("density", language)
    fact = last[0]
    number = written(fact.text("percent") or fact.text("density") or "—")
    line = say(
        "answer.density.line",
        language,
        basis=say(f"basis.{fact.text('basis')}", language),
        method=say(f"choice.{fact.text('method')}", language),
        purpose=say(f"choice.{fact.text('purpose')}", language),
        at=clock(view.facts.local(fact.at)),
    )
    if latest is None:
        lines = line, say("answer.density.not-yet", language)
        return Answer("density", number, lines, "unknown", None, (fact.id,))
    of = _of_lot(latest)
    return Answer("density", number, (line, *of.lines), of.state, of.figure, (fact.id,))


def _of_lot(latest: Latest) -> Answer:
    """The lot that was tested last; never “fine” while its percentage may change or is missing."""
    lot = latest.lot
    own = {lot.name, *(one.fact.id for one in lot.results)}
    state = _gravest({call.grade for call in latest.calls if call.subject in own})
    if state == "fine" and (lot.provisional or lot.worth.within is None):
        state = "unknown"
    mean = lot.worth.figures.get("mean")
    number = "—" if mean is None else f"{fixed(mean.value, 1)} {sign(lot.rule.unit)}"
    figure = None if mean is None else f"lot/{lot.name}/mean"
    behind = tuple(one.fact.id for one in lot.counted)
    return Answer("density", number, (latest.line,), state, figure, behind)


def _due(view: View, language: str) -> Answer:
    waiting = [item for item in view.due if item.left is not None]
    if not waiting:
        return Answer("due", "—", (say("answer.due.none", language),), "unknown")
    first = waiting[0]
    display = Display(view.plan.job.units)
    left = max(0.0, first.left or 0.0)
    now = first.left is not None and first.left <= 0
    number = (
        say("answer.due.now", language) if now else amount(display, first.check.per, left, language)
    )
    state: State = "watch" if first.overdue else "fine"
    behind = (first.last.id,) if first.last else ()
    return Answer("due", number, (first.check.name,), state, None, behind, done_at(first.check))


def done_at(check: Check) -> tuple[str, ...]:
    """Where in the app a check is done: on the lists, on the load's own form, on its kind's."""
    alone = {"checklist": "lists", "load": "load"}
    return (alone[check.kind],) if check.kind in alone else ("write", check.kind)
