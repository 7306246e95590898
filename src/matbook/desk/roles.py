"""Who may write what, see which entries, and ask which questions: three tables.

Two rules stand above the tables. A place that was drawn stays with the supervisor until it is told,
because it is near, and then with the owner's people; the contractor sees it once its lot is
revealed. And acceptance and verification results stay from the contractor until the contractor's
own results for that lot are in, whatever the plan releases; without a lot, they stay for good. The
custody of a core or sample stays as long as it does.
"""

from collections.abc import Mapping
from typing import Final

from matbook.book.entry import Entry
from matbook.book.kinds import WRITERS, kinds
from matbook.desk.job import JobBook
from matbook.lots.work import PLACES
from matbook.plan.changes import Plans

ROLES: Final = ("inspector", "technician", "supervisor", "contractor", "plant")

EVERYTHING: Final = "*"

SEES: Final[Mapping[str, frozenset[str]]] = {
    "supervisor": frozenset({EVERYTHING}),
    "inspector": frozenset({EVERYTHING}),
    "technician": frozenset({EVERYTHING}),
    "contractor": frozenset(
        {
            *("shift-open", "shift-close", "seal", "draw"),
            *("notice", "reply", "instruction", "disagreement"),
        }
    ),
    "plant": frozenset(
        {
            *("shift-open", "shift-close", "seal"),
            *("notice", "reply", "instruction", "disagreement"),
            *("load", "placed", "weigh-back", "tie-out", "temperature", "plant-change"),
        }
    ),
}
"""Kinds of entry that each role sees as they were written; the plan may release more.

The plan as it was imported holds the phones of the owner's people: others read it in words.
"""

RESERVED: Final = ("draw", "test-result", "density", "sample", "core", "custody")
"""Kinds that may be secret for a time."""
DRAWING: Final = (*WRITERS, "contractor")
"""Both sides of a draw: each sees the numbers that the other gave, and afterwards everything."""
SECRET_PURPOSES: Final = ("acceptance", "verification")

_ALL: Final = frozenset(
    {
        *("now", "calls", "mat", "mat_at", "entries", "entry", "loads", "last_load", "next_load"),
        *("judge", "kinds", "plan", "ahead", "figures", "figure", "close", "handover"),
        *("day_sheet", "tell", "yield", "pavers", "due", "told", "score", "lots", "lot"),
        *("guide", "joints", "lists", "strip", "gauges", "cores", "placement", "haul", "trucks"),
        *("schedules", "schedule", "risk", "draws", "draw"),
    }
)
_VIEWS: Final = frozenset(
    {
        *("now", "calls", "mat", "mat_at", "entries", "entry", "loads", "judge", "kinds", "plan"),
        *("ahead", "figures", "figure", "yield", "pavers", "due", "told", "score", "lots", "lot"),
        *("guide", "joints", "lists", "strip", "gauges", "cores", "placement", "haul", "trucks"),
        *("schedules", "schedule", "risk", "draws", "draw"),
    }
)
VIEWS: Final[Mapping[str, frozenset[str]]] = {
    "supervisor": _ALL,
    "inspector": _ALL,
    "technician": _ALL,
    "contractor": _VIEWS,
    "plant": _VIEWS,
}
"""Questions that each role may ask."""


def may_write(role: str, kind: str) -> bool:
    """Whether a role may write a kind; of a kind unknown here, those who write most kinds."""
    form = kinds().get(kind)
    return role in (form.writers if form else WRITERS)


def views_for(role: str) -> frozenset[str]:
    """The questions that a role may ask; none for a role that isn't one."""
    return VIEWS.get(role, frozenset())


def may_see(role: str, entry: Entry, book: JobBook) -> bool:
    """Whether a role sees an entry as it was written."""
    if role not in SEES or is_secret(role, entry, book):
        return False
    seen = SEES[role]
    if EVERYTHING in seen or entry.kind in seen:
        return True
    plans = book.plans
    if entry.kind in plans.latest.release:
        return True
    return _role_of(plans, entry) == role


def is_secret(role: str, entry: Entry, book: JobBook) -> bool:
    """Whether an entry is kept from a role for now, in its own words and in every figure."""
    if role == "supervisor" or entry.kind not in RESERVED:
        return False
    own = _role_of(book.plans, entry) == role
    if entry.kind == "draw":
        return not own if role not in DRAWING else _is_undrawn(role, entry, book)
    if role in WRITERS or own:
        return False
    if entry.kind == "custody":
        return _of_secret(role, entry, book)
    secret = entry.body.get("purpose") in SECRET_PURPOSES or (
        entry.kind == "sample" and "draw" in entry.body
    )
    return secret and not _own_results(role, lot_of(entry, book), book)


def _of_secret(role: str, custody: Entry, book: JobBook) -> bool:
    """Whether custody is of a core or sample that is kept from a role for now."""
    return any(
        one.body.get(kind) == custody.body.get("sample") and is_secret(role, one, book)
        for kind in ("core", "sample")
        for one in book.of_kind(kind)
    )


def secrets(role: str, book: JobBook) -> frozenset[str]:
    """Hashes of every entry that is kept from a role for now."""
    reserved = (entry for kind in RESERVED for entry in book.of_kind(kind))
    return frozenset(entry.hash for entry in reserved if is_secret(role, entry, book))


def lot_of(entry: Entry, book: JobBook) -> str:
    """The lot that a result belongs to: as it says, or by the draw of its place; else empty."""
    if entry.body.get("lot"):
        return str(entry.body["lot"])
    drawn = str(entry.body.get("draw", ""))
    lots = (draw.body.get("lot") for draw in book.of_kind("draw") if draw.id == drawn)
    return str(next(lots, None) or "")


def _is_undrawn(role: str, entry: Entry, book: JobBook) -> bool:
    """Whether it says where a place is that this role mustn't know of yet."""
    step = entry.body.get("step")
    told = step == "told" and role in WRITERS
    return step in PLACES and not told and not _revealed(entry, book)


def _revealed(entry: Entry, book: JobBook) -> bool:
    lot = entry.body.get("lot")
    return any(
        draw.body.get("step") == "revealed" and draw.body.get("lot") == lot
        for draw in book.of_kind("draw")
    )


def _own_results(role: str, lot: str, book: JobBook) -> bool:
    """Whether a role's own results for a lot are in."""
    plans = book.plans
    return bool(lot) and any(
        _role_of(plans, result) == role and lot_of(result, book) == lot
        for result in book.of_kind("test-result")
    )


def _role_of(plans: Plans, entry: Entry) -> str:
    """The role, by the plan, of who wrote an entry."""
    person = plans.latest.people.get(entry.by)
    return person.role if person else ""
