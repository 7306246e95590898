"""Harrow: checklists ticked at the start, after stops and at the end, on both days.

The lists of the first morning and evening are in the day itself; whatever else the plan's lists
ask for is here.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Final

from tools.demo.harrow_day_one import BEFORE
from tools.demo.harrow_day_one import SHIFT as FIRST
from tools.demo.harrow_day_two import SHIFT as SECOND
from tools.demo.harrow_loads import day_one, day_two
from tools.demo.harrow_site import lane
from tools.demo.notebook import Notebook

Lines = Sequence[tuple[str, str, str]]
"""Item, state, and a note."""
POINT: Final = "Surface and tack looked at before the first load"
FIRST_LOAD: Final[Lines] = (
    ("Somebody guides backing trucks", "done", "Dump man at the hopper, eye contact first."),
    ("Loads covered, beds clean", "done", ""),
    ("Screed hot before the first mix", "done", ""),
    ("Roller pattern agreed: passes, order, temperatures", "done", "As the plan has it."),
)
STOOD: Final[tuple[Lines, ...]] = (
    (
        ("Mat where the paver stood looked at, warm or cold", "done", "Surface 128 °C, rolled."),
        ("Straightedge where the screed stood", "done", "2 mm under 3 m."),
    ),
    (
        ("Mat where the paver stood looked at, warm or cold", "done", "Stiff lumps taken out."),
        ("Straightedge where the screed stood", "done", "3 mm under 3 m."),
    ),
)
EDGE: Final = (
    "The edge along the middle of the road stays open tonight, 60 mm high, 2+150 to the ramp. "
    "Asked: which signs stand along it, and when the next lane closes it."
)
STOP_LINE: Final = (
    "Stop line at Quillmoor Cross: not looked at, the pilot car's queue stood on it. "
    "Asked: who looks at it before dark."
)
DRIVE_BY: Final = "I drive home that way and look at it at seven."
SAME_AGAIN: Final = {
    "Ticket numbering agreed with the plant": ("does not apply", "Agreed yesterday."),
    "Probe thermometer checked in ice and in boiling water": ("done", ""),
    "Sampling places drawn": ("done", ""),
}
"""What the second morning says otherwise than the first."""


def write(notes: Notebook, from_m: float) -> None:
    """The start and the stops of the first day, and the whole second morning.

    Args:
        notes: With the pavers of both days already written.
        from_m: Where the second day begins [m].
    """
    notes.shift = FIRST
    began, *stood = _starts(notes)
    _tick(notes, "first load", FIRST_LOAD, began + timedelta(minutes=4))
    for at, lines in zip(stood, STOOD, strict=True):
        _tick(notes, "after a stop", lines, at + timedelta(minutes=5))
    _tonight(notes)
    notes.shift = SECOND
    again = [(item, *SAME_AGAIN.get(item, (state, note))) for item, state, note in BEFORE]
    _tick(notes, "before the shift", again, day_two("05:57"))
    for by, hour, said in (
        ("ines", "06:38", {"state": "reached"}),
        ("greta", "06:44", {"state": "released", "released_by": "Greta Ollenshaw"}),
    ):
        notes.write(by, "hold-point", {"point": POINT, **said}, day_two(hour), place=lane(from_m))
    _tick(notes, "first load", FIRST_LOAD, day_two("06:50"))


def _tonight(notes: Notebook) -> None:
    """Of what traffic meets: what isn't there or wasn't looked at is told, and answered."""
    own = [draft for draft in notes.drafts if draft.envelope["shift"] == FIRST]
    edge = next(one for one in own if one.body.get("edge") == "open")
    line = next(one for one in own if one.body.get("state") == "not looked at")
    for who, hour, later, about, call, text, answer in (
        ("dale", "17:40", 3, edge.id, "", EDGE, "Signs are up. The other lane on Thursday."),
        ("greta", "18:12", 4, line.id, f"markings.not-present:{line.id}", STOP_LINE, DRIVE_BY),
    ):
        body = {"to": [who], "how": "spoken", "text": text, "about": [about]}
        body |= {"call": call} if call else {}
        told = notes.write("ines", "notice", body, day_one(hour))
        answered = day_one(hour) + timedelta(minutes=later)
        reply = {"notice": told, "from": who, "text": answer, "settles": "yes"}
        notes.write(who, "reply", reply, answered)


def rest(notes: Notebook) -> None:
    """The stops of the rest of the second day."""
    notes.shift = SECOND
    for at, lines in zip(_starts(notes)[1:], STOOD, strict=True):
        _tick(notes, "after a stop", lines, at + timedelta(minutes=3))


def _starts(notes: Notebook) -> list[datetime]:
    """When the paver started, and went on after each stop, in the shift that is written in."""
    return sorted(
        draft.at
        for draft in notes.drafts
        if draft.kind == "paver"
        and draft.body["event"] == "start"
        and draft.envelope["shift"] == notes.shift
    )


def _tick(notes: Notebook, name: str, lines: Lines, begins: datetime) -> None:
    """One line after the other, twenty seconds apart."""
    for place, (item, state, note) in enumerate(lines):
        body = {"list": name, "item": item, "state": state} | ({"note": note} if note else {})
        notes.write("ines", "checklist", body, begins + timedelta(seconds=20 * place))
