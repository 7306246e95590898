"""What traffic meets tonight: each item present, missing, or not looked at.

It never says more than that: whether a road may open is for those whom law and contract charge.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final

from matbook.plan.model import Plan
from matbook.shift.calls import Call, of_roles
from matbook.shift.display import written
from matbook.shift.facts import Fact, Facts
from matbook.shift.joints import Edge, End
from matbook.shift.places import label
from matbook.words import say

LAYOUT: Final = {"up": "present", "checked": "present", "corrected": "present"}
"""What a state of the traffic layout says of it; deficient is missing, down isn't there."""


@dataclass(frozen=True, slots=True)
class Item:
    """One thing that traffic meets."""

    what: str
    """In the writer's or the plan's words; or the code of a sentence where `is_code`."""
    state: str
    """present, missing, not looked at; open for an edge."""
    where: str = ""
    entry: str = ""
    call: str = ""
    """Id of the call about it, so that whoever was told can be said."""
    note: str = ""
    step: str = ""
    length: str = ""
    """Of a ramp, as written."""
    is_code: bool = False
    is_marking: bool = False
    """Whether it is written down, and listed in the plan, as one of the markings."""


def tonight(
    facts: Facts,
    plan: Plan,
    ends: tuple[End, ...],
    edges: Mapping[tuple[str, str], Edge],
) -> tuple[Item, ...]:
    """Ramps where mat ends, edges that stand open, what the plan lists, markings, the layout."""
    return (
        *_ramps(plan, ends),
        *_edges(plan, edges),
        *_markings(facts, plan),
        *_layouts(facts),
    )


def calls(facts: Facts, plan: Plan, ends: tuple[End, ...]) -> Iterator[Call]:
    """What the plan lists and nobody looked at, once a paver has gone."""
    unseen = [one for one in _markings(facts, plan) if not one.entry] if ends else []
    if unseen:
        says = {"items": "; ".join(one.what for one in unseen)}
        tell = of_roles(plan, "contractor", "supervisor")
        at = max(end.at for end in ends)
        yield Call("tonight.unseen", str(facts.shift), "watch", at, says, None, tell)


def detail(item: Item, language: str = "en") -> str:
    """What is known of an item beside its state: how high, how long, what was noted."""
    sizes = {"step": item.step, "length": item.length}
    known = {name: written(size) for name, size in sizes.items() if size}
    said = (say(f"tonight.{name}", language, size=size) for name, size in known.items())
    return ", ".join([*said, *filter(None, (item.note,))])


def _ramps(plan: Plan, ends: tuple[End, ...]) -> Iterator[Item]:
    for end in ends:
        where = f"{plan.lanes[end.strip[0]].name} {label(plan, end.strip[0], end.at_m)}"
        if end.ramp is None:
            call = f"joint.no-ramp:{end.id}"
            yield Item("tonight.ramp", "not looked at", where, "", call, is_code=True)
        else:
            step, length = (end.ramp.text(name) for name in ("step", "length"))
            ramp = Item("tonight.ramp", "present", where, end.ramp.id, is_code=True)
            yield replace(ramp, step=step, length=length)


def _edges(plan: Plan, edges: Mapping[tuple[str, str], Edge]) -> Iterator[Item]:
    for (lane, _), edge in edges.items():
        name = plan.lanes[lane].name if lane in plan.lanes else lane
        where = f"{name} {edge.reach}".rstrip()
        call = f"joint.edge-open:{edge.id}"
        yield Item("tonight.edge", "open", where, edge.id, call, step=edge.height, is_code=True)


def _markings(facts: Facts, plan: Plan) -> Iterator[Item]:
    """What the plan lists, then whatever else somebody looked at; the latest word on each."""
    latest: dict[str, Fact] = {}
    for fact in facts.of("markings"):
        latest[fact.text("item").casefold()] = fact
    listed = {one.casefold(): one for one in plan.tonight}
    written = {key: fact.text("item") for key, fact in latest.items()}
    for key, name in {**listed, **written, **listed}.items():
        seen = latest.get(key)
        if seen is None:
            call = f"tonight.unseen:{facts.shift}"
            yield Item(name, "not looked at", call=call, is_marking=True)
        else:
            where = seen.place("station") or "–".join(
                end for end in (seen.place("from"), seen.place("to")) if end
            )
            call = f"markings.not-present:{seen.id}"
            note = seen.text("note")
            yield Item(name, seen.text("state"), where, seen.id, call, note, is_marking=True)


def _layouts(facts: Facts) -> Iterator[Item]:
    latest = {fact.text("layout"): fact for fact in facts.of("traffic-control")}
    for layout, fact in latest.items():
        if fact.text("state") != "down":
            state = LAYOUT.get(fact.text("state"), "missing")
            yield Item(layout, state, fact.place("station"), fact.id, "", fact.text("note"))
