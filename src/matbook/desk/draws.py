"""Drawn places in words: what is near, what was told, and whether all of it fits afterwards.

Whoever holds the owner's number hands it in with the question, and only what is near comes back: of
what lies further ahead, how many there are.
"""

from collections.abc import Iterator, Mapping
from typing import Any, Final

from matbook.book.kinds import WRITERS
from matbook.desk.asking import Asked
from matbook.desk.drawing_lots import Draw, draw_of
from matbook.engine.sampling import commit
from matbook.errors import Refused
from matbook.lots.along import Along, whole_of
from matbook.lots.order import refused, troubles
from matbook.lots.places import Sited, near_by
from matbook.lots.work import PLACES, rule_of
from matbook.shift.calls import Call
from matbook.shift.facts import Fact, si
from matbook.shift.places import metres

Row = dict[str, Any]

OFFSET_M: Final = 0.05
"""So far may an offset be from the one drawn: places are marked to the hand's breadth."""
STEPS: Final = ("committed", "contributed", "told", "revealed")


def all_draws(asked: Asked) -> list[Row]:
    """Each lot that was drawn for or will be next, with how far its draw has come."""
    courses: dict[str, Along] = {}
    named = [str(entry.body.get("lot")) for entry in asked.book.of_kind("draw")]
    rows = []
    for rule in asked.plan.lots:
        own = [lot for lot in dict.fromkeys(named) if rule_of(asked.plan, lot) == rule]
        if rule.size is not None:
            along = draw_of(asked, f"{rule.id}-1", "", courses).along
            laid = 0 if along is None else along.total // whole_of(rule)[0]
            own = list(dict.fromkeys([*own, *(f"{rule.id}-{k}" for k in (laid + 1, laid + 2))]))
        rows += [_drawn_row(draw_of(asked, lot, "", courses)) for lot in own]
    return rows


def _drawn_row(draw: Draw) -> Row:
    done = [fact.text("step") for fact in draw.steps]
    step = next((step for step in reversed(STEPS) if step in done), "none")
    return {
        "lot": draw.lot,
        "of": draw.rule.name,
        "state": draw.asked.say(f"draw.state.{step}"),
    }


def one_draw(asked: Asked) -> Row:
    """A lot's draw, opened: rules, steps, what is near or was told, and whether it fits."""
    found = draw_of(asked, asked.text("name"), asked.text("secret"))
    lot, rule = found.lot, found.rule
    if found.secret:
        commit(found.secret)  # refuses what is no such number
    rules = list(_rules(found))
    return {
        "lot": lot,
        "title": asked.say("draw.title", lot=lot, name=rule.name),
        "rules": rules,
        "steps": [{"words": _step(found, fact), "id": fact.id} for fact in found.steps],
        "order": list(_order(found)),
        "can": {step: why_not(found, step) for step in STEPS},
        "commitment": commit(found.secret) if found.secret else "",
        "holds": found.holds,
        "holding": asked.say(f"draw.holds.{found.holds}"),
        "places": list(_places(found)),
        "to_come": _to_come(found),
        "agrees": list(_agrees(found)) if found.revealed else [],
        "fits": _fits(found),
    }


def _rules(draw: Draw) -> Iterator[str]:
    """What is fixed before anything is drawn."""
    asked, rule = draw.asked, draw.rule
    if rule.size is None:
        yield asked.say("draw.rule.by-day")
        return
    _, each = whole_of(rule)
    size = draw.amount(each)
    yield asked.say("draw.rule.sublots", n=rule.sublots, size=size, tests=rule.tests)
    margins = [draw.offset(margin) for margin in (rule.left_margin_m, rule.right_margin_m)]
    yield asked.say("draw.rule.margins", left=margins[0], right=margins[1])
    yield asked.say("draw.rule.blocked", spares=rule.spares)
    yield asked.say(f"draw.rule.short.{rule.short}")
    yield asked.say("draw.rule.near", near=draw.amount(near_by(rule)))


def _step(draw: Draw, fact: Fact) -> str:
    asked, step = draw.asked, fact.text("step")
    words = {
        "who": asked.person(fact.entry.by),
        "at": f"{asked.local(fact.at):%Y-%m-%d %H:%M}",
        "number": fact.text("number"),
    }
    if "blocked" in fact.body:
        return asked.say("draw.step.blocked", why=fact.text("blocked"), **words)
    if step in PLACES:
        station, offset = fact.place("station") or "—", fact.place("offset") or "—"
        return asked.say("draw.step.told", station=station, offset=offset, **words)
    return asked.say(f"lot.draw.{step}", **words)


def _order(draw: Draw) -> Iterator[str]:
    """What was done out of order."""
    asked = draw.asked
    begun = "—" if draw.begun is None else f"{asked.local(draw.begun):%Y-%m-%d %H:%M}"
    for one in troubles(asked.plan, draw.steps, draw.begun):
        at = f"{asked.local(one.fact.at):%Y-%m-%d %H:%M}"
        who = asked.person(one.fact.entry.by)
        yield asked.say(f"draw.order.{one.code}", at=at, who=who, begun=begun)
    for number in draw.told:
        before = _before(number)
        if before and before not in draw.blocked:
            yield asked.say("draw.order.spare", number=number, before=before)


def _before(number: str) -> str:
    """The number that a spare takes the place of; empty for a place itself."""
    first, _, spare = number.rpartition("/")
    if not spare.isdigit() or not first:
        return ""
    return first if spare == "1" else f"{first}/{int(spare) - 1}"


def why_not(draw: Draw, step: str) -> str:
    """Why a step can't be taken now, as a sentence; empty if it can."""
    asked = draw.asked
    code = refused(draw.steps, step, draw.begun, asked.now)
    if not code:
        return ""
    begun = "—" if draw.begun is None else f"{asked.local(draw.begun):%Y-%m-%d %H:%M}"
    at = f"{asked.now:%Y-%m-%d %H:%M}"
    return asked.say(f"draw.order.{code}", at=at, who=asked.say(f"draw.who.{step}"), begun=begun)


def _places(draw: Draw) -> Iterator[Row]:
    """What may be seen of the places: those that were told, and for who holds the number, near."""
    asked = draw.asked
    for number, fact in sorted(draw.told.items(), key=lambda one: one[1].order):
        tested = draw.tested.get(fact.id, "")
        state = "blocked" if number in draw.blocked else "tested" if tested else "untested"
        words = {
            "number": number,
            "at": asked.clock(fact.at),
            "station": fact.place("station") or "—",
            "offset": fact.place("offset") or "—",
            "state": asked.say(f"draw.{state}"),
        }
        yield {
            "number": number,
            "state": state,
            "words": asked.say("draw.place.told", **words),
            "id": fact.id,
            "body": {"step": "told", "lot": draw.lot, "number": number},
            "place": dict(fact.entry.place),
        }
    if draw.revealed:
        return
    for one in draw.due():
        if one.near and one.number not in draw.told:
            yield {
                "number": one.number,
                "state": "near" if one.ahead > 0 else "passed",
                "words": _near_words(draw, one),
                "id": "",
                "body": {"step": "told", "lot": draw.lot, "number": one.number},
                "place": draw.place(one),
            }


def _near_words(draw: Draw, one: Sited) -> str:
    code = "near" if one.ahead > 0 else "passed"
    ahead = draw.amount(abs(one.ahead))
    return draw.asked.say(f"draw.place.{code}", number=one.number, ahead=ahead, **draw.where(one))


def _to_come(draw: Draw) -> str:
    """How many are still to come, without saying where."""
    if draw.revealed or not draw.sited:
        return ""
    far = [one for one in draw.due() if not one.near and one.number not in draw.told]
    return draw.asked.say("draw.to-come", n=len(far)) if far else ""


def _fits(draw: Draw) -> str:
    if not draw.steps:
        return draw.asked.say("draw.none")
    if not draw.revealed:
        return draw.asked.say("lot.draw.waits")
    return draw.asked.say("lot.draw.fits" if draw.seed else "draw.fits.not")


def _agrees(draw: Draw) -> Iterator[str]:
    """Each place worked out again by the revealed number, against what was told."""
    asked, plan = draw.asked, draw.asked.plan
    along = draw.along
    if along is None:
        return
    for one in draw.sited:
        fact = draw.told.get(one.number)
        if fact is None and (one.drawn.spare or one.spot is None):
            continue
        words = {
            "number": one.number,
            "along": draw.amount(one.at - along.start_of(draw.lot)),
            "load": one.spot.load if one.spot is not None and one.spot.load else "—",
            **draw.where(one),
        }
        if fact is None:
            yield asked.say("draw.agrees.untold", **words)
            continue
        told_m = metres(plan, fact)
        words["told"] = ", ".join(
            text for text in (fact.place("station"), fact.place("offset")) if text
        )
        yield asked.say("draw.agrees" if _same(one, fact, told_m) else "draw.agrees.not", **words)
        ahead = one.at - along.laid_by(fact.at)
        if ahead > near_by(draw.rule):
            yield asked.say(
                "draw.order.early",
                number=one.number,
                ahead=draw.amount(ahead),
                near=draw.amount(near_by(draw.rule)),
            )


def _same(one: Sited, fact: Fact, told_m: float | None) -> bool:
    """Whether what was told lies where it was drawn, to within a load's length."""
    if one.spot is None or told_m is None or fact.place("lane") != one.spot.lane:
        return False
    if abs(told_m - one.spot.at_m) > one.spot.length_m:
        return False
    offset = fact.place("offset")
    return not offset or abs(si(offset) - one.offset_m) <= OFFSET_M


# Calls


def draw_calls(asked: Asked) -> list[Call]:
    """What of the draws needs a person: places that are near or told, and what is out of order."""
    if asked.role not in WRITERS or not asked.plan.lots:
        return []
    courses: dict[str, Along] = {}
    return [
        call
        for lot, secret in _lots(asked).items()
        for call in _calls(draw_of(asked, lot, secret, courses))
    ]


def _lots(asked: Asked) -> Mapping[str, str]:
    """Every lot that something was drawn for, with the number that was handed in for it."""
    seeds = asked.mapping("secrets")
    named = [entry.body.get("lot") for entry in asked.book.of_kind("draw")]
    return {
        str(lot): str(seeds.get(str(lot), ""))
        for lot in dict.fromkeys(named)
        if rule_of(asked.plan, str(lot)) is not None
    }


def _calls(draw: Draw) -> Iterator[Call]:
    lot = draw.lot
    if draw.revealed:
        return
    try:
        order = list(_order(draw))
        near = [one for one in draw.due() if one.near]
    except Refused:
        return  # the lot's own page says what can't be taken
    if order:
        says = {"lot": lot, "what": " ".join(order)}
        ids = tuple(fact.id for fact in draw.steps)
        yield Call("draw.order", lot, "watch", draw.steps[-1].at, says, entries=ids)
    for one in near:
        if one.number not in draw.told:
            code = "near" if one.ahead > 0 else "passed"
            says = {"lot": lot, "number": one.number, "ahead": draw.amount(abs(one.ahead))}
            grade = "watch" if one.ahead > 0 else "act"
            says |= draw.where(one)
            yield Call(f"draw.{code}", f"{lot}:{one.number}", grade, draw.asked.now, says)
    for number, fact in draw.told.items():
        if fact.id in draw.tested or number in draw.blocked:
            continue
        says = {"lot": lot, "number": number, "station": fact.place("station") or "—"}
        says["offset"] = fact.place("offset") or "—"
        yield Call("draw.told", f"{lot}:{number}", "watch", fact.at, says, entries=(fact.id,))
