"""Kestrel: checklists ticked through the night, and the sign that was down at its end."""

from datetime import timedelta
from typing import Final

from tools.demo.kestrel_loads import night
from tools.demo.kestrel_site import Night

LISTS: Final = (
    ("first load", "Loads covered, beds clean", "20:36", ""),
    ("first load", "Both screeds hot before the first mix", "20:37", ""),
    ("after the shift", "Tickets of the night tied out with the plant", "04:07", ""),
    ("after the shift", "Ramps and signs driven through in the dark", "04:31", "At 35 mph."),
    ("after the shift", "Light towers down and off the shoulder", "04:40", ""),
)
STOOD: Final = (
    ("Mat where the paver stood looked at, warm or cold", "Cold streak, marked with paint."),
    ("Straightedge where the screed stood", "0.12 in under 10 ft."),
)


def write(site: Night) -> None:
    """What the plan's lists ask for and the night itself doesn't write."""
    for name, item, hour, note in LISTS:
        at = night(hour)
        body = {"list": name, "item": item, "state": "done"} | ({"note": note} if note else {})
        site.notes.write(site.inspector(at), "checklist", body, at)
    ((_, until),) = site.lines.surface["P2"].stood()
    for place, (item, note) in enumerate(STOOD):
        body = {"list": "after a stop", "item": item, "state": "done", "note": note}
        site.notes.write("june", "checklist", body, until + timedelta(minutes=4 + place))
    _sign(site)
    _markers(site)


def _sign(site: Night) -> None:
    """The one item that traffic would have missed: told, answered, and there in time."""
    down = next(draft for draft in site.notes.drafts if draft.body.get("state") == "missing")
    told = site.notice(
        down.at + timedelta(minutes=1),
        ("roy",),
        "spoken",
        "The low shoulder sign at 131+00 is down; signs along the open edge before the lanes open "
        "(S-7.4). Asked: when it stands again.",
        about=[down.id],
        call=f"markings.not-present:{down.id}",
    )
    answer = "On its way with another stand; before the cones come in."
    site.reply("roy", down.at + timedelta(minutes=3), told, answer)


def _markers(site: Night) -> None:
    """What nobody could look at, told to whom it falls to then."""
    unseen = next(one for one in site.notes.drafts if one.body.get("state") == "not looked at")
    told = site.notice(
        unseen.at + timedelta(minutes=5),
        ("hal",),
        "message",
        "Raised markers at Ferrin Ford lie behind the other closure: not looked at. "
        "Asked: who looks at them before the lanes open.",
        about=[unseen.id],
        call=f"markings.not-present:{unseen.id}",
    )
    site.reply("hal", unseen.at + timedelta(minutes=9), told, "I am there now: they all sit tight.")
