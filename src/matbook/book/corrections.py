"""Corrections: what stands, what was struck, and what is contested.

A correction strikes, and both stay readable. An entry that has been struck never stands again
by itself: to take a strike back, the observation is written once more. So what stands doesn't
depend on the order in which entries arrive, and nobody can hide an entry in a ring of strikes.

- The writer of an entry, or a supervisor, may strike it. A strike by anybody else counts as a
  disagreement: it is kept and shown, and neither strikes nor stands.
- A note that strikes something else than a note withdraws it; nothing takes its place.
- Two corrections of one entry are a contest. Until one of them is struck in its turn, the
  first in reading order counts, provisionally; the others are shown beside it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from matbook.book.entry import Entry


@dataclass(frozen=True, slots=True)
class Settled:
    """How one observation ends after all its corrections."""

    standing: Entry | None
    """What counts now; None if withdrawn."""
    struck: tuple[Entry, ...]
    """What no longer counts, oldest first."""
    contenders: tuple[Entry, ...] = ()
    """What would count instead if the contest went the other way."""


Strikers = Mapping[str, Sequence[Entry]]
"""Entry id -> the entries that may strike it and do, in reading order."""


def settle(root: Entry, strikers: Strikers) -> Settled:
    """Follow every correction of one observation to its end.

    Args:
        root: An entry that strikes nothing, or nothing that has arrived.
        strikers: Who strikes whom; see `Strikers`.
    """
    struck: list[Entry] = []
    tips: list[Entry] = []
    seen: set[str] = set()

    def follow(entry: Entry) -> None:
        if entry.hash in seen:
            return
        seen.add(entry.hash)
        if entry.id in strikers:
            struck.append(entry)
            for striker in strikers[entry.id]:
                follow(striker)
        else:
            tips.append(entry)

    follow(root)
    named = {entry.id: entry for entry in struck}
    ends = sorted(
        (tip for tip in tips if not _settles(tip, named, root)), key=lambda entry: entry.order
    )
    if not ends:
        ends = sorted(tips, key=lambda entry: entry.order)[:1]
    return Settled(
        standing=ends[0] if ends and not withdraws(ends[0], named) else None,
        struck=tuple(sorted(struck, key=lambda entry: entry.order)),
        contenders=tuple(ends[1:]),
    )


def withdraws(entry: Entry, struck: Mapping[str, Entry]) -> bool:
    """Whether an entry only withdraws what it strikes, putting nothing in its place."""
    target = struck.get(entry.strikes)
    return entry.kind == "note" and target is not None and target.kind != "note"


def _settles(tip: Entry, struck: Mapping[str, Entry], root: Entry) -> bool:
    """Whether a withdrawal ends one side of a contest rather than the observation itself."""
    return withdraws(tip, struck) and tip.strikes != root.id
