"""The end of a shift: what is still open, and the words for a colleague."""

from collections import defaultdict
from collections.abc import Iterator, Set
from typing import Any

from matbook.book.chain import chains
from matbook.book.entry import Entry
from matbook.desk.asking import Asked
from matbook.desk.lots import found, lot_calls, open_lines, standing_lines
from matbook.desk.now import heading
from matbook.shift.places import label
from matbook.shift.speak import amount, spoken

Row = dict[str, Any]


def close(asked: Asked) -> Row:
    """What closing the shift would leave open, and which devices were heard from."""
    own: dict[str, list[Entry]] = defaultdict(list)
    for entry in asked.facts.entries():
        if entry.shift == asked.shift:
            own[entry.device].append(entry)
    chain = chains(asked.book.entries)
    return {
        "open": list(_open(asked)),
        "devices": [
            {
                "device": device,
                "by": ", ".join(asked.person(name) for name in dict.fromkeys(e.by for e in said)),
                "last_at": asked.clock(max(entry.written for entry in said)),
                "entries": len(said),
            }
            for device, said in sorted(own.items())
        ],
        "missing": [
            {"device": device, "numbers": ", ".join(_run(*gap) for gap in chain[device].gaps)}
            for device in sorted(own)
            if chain[device].gaps
        ],
        "silent": _silent(asked, own.keys()),
        "opened": bool(asked.facts.of("shift-open")),
        "closed": asked.closed,
        "sealed": asked.sealed,
    }


def _silent(asked: Asked, heard: Set[str]) -> list[str]:
    """Who wrote in the shift before, and on which device: of it nothing has arrived in this one."""
    shifts = asked.book.shifts
    earlier = reversed(shifts[: shifts.index(asked.shift)])
    before = next((one for one in earlier if asked.book.holds(one)), "")
    wrote = {e.device: e.by for e in asked.book.entries if before and e.shift == before}
    return [
        f"{asked.person(by)} ({device})"
        for device, by in sorted(wrote.items())
        if device not in heard
    ]


def _run(first: int, last: int) -> str:
    return str(first) if first == last else f"{first}–{last}"


def _open(asked: Asked) -> Iterator[str]:
    """Everything that is still open, in words."""
    seen = asked.view
    left = [a for a in seen.accounts if a.state in ("not placed", "over-placed")]
    if left:
        yield asked.say("close.loads", n=len(left))
    for call in (*seen.calls, *lot_calls(asked, found(asked))):
        if call.grade == "act" and seen.told(call) is None:
            words = spoken(call, asked.plan, asked.now, asked.words)
            yield asked.say("close.act", head=words.head, line=words.line)
    for lot in open_lines(asked):
        yield asked.say("close.lot", line=lot)
    for matter in seen.matters:
        if not matter.settled:
            to = ", ".join(asked.person(one) for one in matter.to)
            yield asked.say("close.matter", to=to, at=asked.clock(matter.at), text=matter.text)
    for item in seen.due:
        if item.lines and item.left is not None:
            yield asked.say("close.list", list=item.check.name, n=item.lines - item.done)
        elif item.overdue:
            yield asked.say("close.due", check=item.check.name)
    for call in seen.calls:
        if call.code == "list.held":
            words = spoken(call, asked.plan, asked.now, asked.words)
            yield asked.say("close.act", head=words.head, line=words.line)
    for line in seen.pavers:
        held = asked.plan.pavers.get(line.paver)
        name = held.name if held else line.paver
        if line.standing is not None:
            yield asked.say("close.standing", paver=name)
        elif line.working:
            yield asked.say("close.not-ended", paver=name)


def handover(asked: Asked) -> Row:
    """What a colleague who takes over has to know, and the open matters to read and accept."""
    waiting = [matter for matter in asked.view.matters if not matter.settled]
    matters = [
        {
            "id": matter.id,
            "at": asked.clock(matter.at),
            "to": [asked.person(one) for one in matter.to],
            "text": matter.text,
            "answer": "; ".join(reply.text("text") for reply in matter.replies),
        }
        for matter in waiting
    ]
    return {"text": "\n".join(_handed(asked, len(waiting))), "matters": matters}


def _handed(asked: Asked, waiting: int) -> Iterator[str]:
    seen, plan = asked.view, asked.plan
    head = heading(asked)
    yield asked.say(
        "handover.title", job=head["title"], line=head["line"], at=asked.clock(asked.now)
    )
    taken = [load for load in seen.loads if load.counts]
    mass = asked.display.show("mass", seen.taken_kg)
    yield asked.say("handover.laid", count=len(taken), mass=mass)
    for (lane, lift, paver), at_m in seen.ends.items():
        if lane in plan.lanes and lift in plan.lifts:
            name = plan.pavers[paver].name if paver in plan.pavers else paver
            said = {"paver": name, "lane": plan.lanes[lane].name, "lift": plan.lifts[lift].name}
            yield asked.say("handover.reached", **said, station=label(plan, lane, at_m))
    for numbering in seen.numberings:
        if numbering.last is not None:
            held = plan.plants.get(numbering.plant)
            name = held.name if held else numbering.plant
            yield asked.say("handover.ticket", plant=name, number=numbering.last)
    for item in seen.due[:3]:
        if item.left is not None:
            left = amount(asked.display, item.check.per, item.left, asked.words)
            code = "handover.due" if item.left > 0 else "handover.due.now"
            yield asked.say(code, check=item.check.name, left=left)
    yield from standing_lines(asked)
    yield asked.say("handover.open", n=waiting)
