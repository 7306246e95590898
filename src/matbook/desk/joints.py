"""Joints, ramps, open edges, and what traffic meets tonight, in words."""

from collections.abc import Iterator
from typing import Any

from matbook.desk.asking import Asked
from matbook.desk.figures import figure_title, figure_value
from matbook.shift.display import clock, minutes, written
from matbook.shift.joints import EVENING, MORNING, STEPS, Joint, joints, open_edges
from matbook.shift.places import label
from matbook.shift.tonight import Item, detail

Row = dict[str, Any]


def state(asked: Asked) -> Row:
    """Every transverse joint step by step, what a ramp takes, edges, and tonight's items."""
    return {
        "title": asked.say("joints.title"),
        "joints": [_joint(asked, one) for one in (*joints(asked.facts), *_waiting(asked))],
        "none": asked.say("joints.none"),
        "needs_title": asked.say("joints.needs"),
        "needs": _needs(asked),
        "goes_on": list(_goes_on(asked)),
        "edges_title": asked.say("joints.edges"),
        "edges": list(_edges(asked)),
        "tonight_title": asked.say("tonight.title"),
        "tonight": [_item(asked, one) for one in asked.view.tonight],
        "tonight_none": asked.say("tonight.none"),
        "note": asked.say("tonight.note"),
    }


def _joint(asked: Asked, joint: Joint) -> Row:
    gaps = [written(edge.text("gap")) for edge in joint.edges]
    place = {"lane": joint.lane, "lift": joint.lift, "station": joint.station}
    return {
        "title": asked.say("joints.at", place=_place(asked, joint.lane, joint.station)),
        "place": {name: said for name, said in place.items() if said},
        "steps": [
            {
                "step": step,
                "title": asked.say(f"step.{step}"),
                "state": joint.state(step),
                "state_words": asked.say(f"choice.{joint.state(step)}"),
                "at": clock(joint.steps[step].at) if step in joint.steps else "",
                "entry": joint.steps[step].id if step in joint.steps else "",
            }
            for step in _steps(asked, joint)
        ],
        "gap": asked.say("joints.gap", gap=", ".join(gaps)) if gaps else "",
        "edges": [edge.id for edge in joint.edges],
    }


def _steps(asked: Asked, joint: Joint) -> list[str]:
    """The steps that are this shift's: of an end the evening's, of a fresh start the morning's."""
    ends = [(end.strip, end.at_m) for end in asked.view.left]
    own = (
        EVENING
        if any(joint.is_at(*strip[:2], at_m, "") for strip, at_m in ends)
        else MORNING
        if any(
            joint.is_at(*strip[:2], at_m, "") for strip, at_m in asked.view.carry.restarts.items()
        )
        else STEPS
    )
    return [step for step in STEPS if step in own or step in joint.steps]


def _waiting(asked: Asked) -> Iterator[Joint]:
    """Where mat of the shift before went on, or of this one ends: joints without a word so far."""
    plan, ends = asked.plan, ((end.strip, end.at_m) for end in asked.view.left)
    places = [*asked.view.carry.restarts.items(), *ends]
    found = list(joints(asked.facts))
    for (lane, lift, _), at_m in places:
        if lane in plan.lanes and not any(one.is_at(lane, lift, at_m, "") for one in found):
            found.append(Joint(lane, lift, at_m, label(plan, lane, at_m)))
            yield found[-1]


def _needs(asked: Asked) -> list[Row]:
    """What ramps and fresh starts take: each number opens."""
    found: list[Row] = [
        {
            "name": name,
            "title": figure_title(asked, name),
            "value": figure_value(asked.display, name, one.value, one.unit),
        }
        for name, one in asked.view.joint_figures()
    ]
    if asked.view.ends and not any(row["name"].endswith("/length") for row in found):
        found.append({"name": "", "title": asked.say("joints.no-ratio"), "value": ""})
    return found


def _goes_on(asked: Asked) -> Iterator[str]:
    """Where the shift before left off, until mat of this one lies there."""
    plan, laid = asked.plan, {piece.strip for piece in asked.view.pieces}
    for strip, at_m in asked.view.carry.restarts.items():
        if strip not in laid and strip[0] in plan.lanes:
            place = _place(asked, strip[0], "")
            yield asked.say("joints.goes-on", station=label(plan, strip[0], at_m), place=place)


def _edges(asked: Asked) -> Iterator[Row]:
    for (lane, _), edge in open_edges(asked.facts, asked.view.carry.open_edges).items():
        height = f", {written(edge.height)}" if edge.height else ""
        age = minutes(asked.now - edge.at)
        place = _place(asked, lane, edge.reach)
        words = asked.say("joints.edge", place=place, age=age, height=height)
        yield {"entry": edge.id, "words": words}


def _item(asked: Asked, item: Item) -> Row:
    return {
        "what": item_words(asked, item),
        "state": item.state,
        "state_words": asked.say(f"choice.{item.state}"),
        "where": item.where,
        "detail": detail(item, asked.words),
        "told": told_words(asked, item),
        "place": _written_at(asked, item),
        "call": _to_tell(asked, item),
        "write": "ramp" if item.what == "tonight.ramp" and not item.entry else "",
        "entry": item.entry,
    }


def _written_at(asked: Asked, item: Item) -> Row | None:
    """Where a word on a marking is written; None for what isn't a marking."""
    if not item.is_marking:
        return None
    fact = next((one for one in asked.facts.of("markings") if one.id == item.entry), None)
    lanes = list(asked.plan.lanes)
    usual = {"lane": lanes[0]} if len(lanes) == 1 else {}
    return dict(fact.entry.place) if fact else usual


def _to_tell(asked: Asked, item: Item) -> str:
    """The call to tell somebody of, where nobody was told of what isn't there."""
    if item.state == "present" or asked.view.told_of(item.call, item.entry):
        return ""
    return item.call if _called(asked, item) else ""


def _called(asked: Asked, item: Item) -> bool:
    return any(call.id == item.call for call in asked.view.calls)


def item_words(asked: Asked, item: Item) -> str:
    """What it is, in words."""
    return asked.say(item.what) if item.is_code else item.what


def told_words(asked: Asked, item: Item) -> str:
    """Who was told of an item that isn't there, and what they answered; empty if it is."""
    if item.state == "present":
        return ""
    matter = asked.view.told_of(item.call, item.entry)
    if matter is None:  # of what nobody could look at yet there is nothing to tell
        return asked.say("tonight.not-told") if item.entry or _called(asked, item) else ""
    answer = "; ".join(reply.text("text") for reply in matter.replies)
    to = ", ".join(asked.person(one) for one in matter.to)
    answer = answer or asked.say("tonight.no-answer")
    return asked.say("tonight.told", to=to, at=clock(matter.at), answer=answer)


def _place(asked: Asked, lane: str, station: str) -> str:
    name = asked.plan.lanes[lane].name if lane in asked.plan.lanes else lane
    return " ".join(part for part in (name, station) if part)
