"""Ticket numbers: repeated, missing, out of order, as each plant numbers its tickets."""

import re
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from matbook.plan.model import Plan
from matbook.shift.loads import Load

_DIGITS = re.compile(r"^(.*?)(\d+)$")


@dataclass(frozen=True, slots=True)
class Numbering:
    """What one plant's ticket numbers show."""

    plant: str
    repeated: tuple[tuple[Load, ...], ...]
    """Loads under one number, where they are not one load."""
    missing: tuple[tuple[int, int, Load], ...]
    """First and last missing number, and the load that came after the gap."""
    backwards: tuple[Load, ...]
    """Loads whose number is below one loaded before them."""
    last: int | None
    """The highest number so far, carried to the next shift."""


def numberings(
    plan: Plan, all_loads: Sequence[Load], before: Mapping[str, int]
) -> tuple[Numbering, ...]:
    """What the numbers of each plant show.

    Args:
        plan: Says how each plant numbers: by job, plant-wide (gaps are then other people's
            loads), or not at all.
        all_loads: The loads of the shift.
        before: The last number of each plant before this shift.
    """
    by_plant: dict[str, list[Load]] = defaultdict(list)
    for load in all_loads:
        if load.number:
            by_plant[load.plant].append(load)
    return tuple(
        _numbering(plant, _style(plan, plant), said, before.get(plant))
        for plant, said in sorted(by_plant.items())
    )


def number_of(load: Load) -> tuple[str, int] | None:
    """A ticket number's prefix and its running number; None if it doesn't end in digits."""
    return _number(load.number)


@lru_cache(maxsize=4096)
def _number(text: str) -> tuple[str, int] | None:
    found = _DIGITS.match(text)
    return (found[1], int(found[2])) if found and len(found[2]) <= 15 else None


def _style(plan: Plan, plant: str) -> str:
    return plan.plants[plant].numbers if plant in plan.plants else "none"


def _numbering(plant: str, style: str, said: Sequence[Load], before: int | None) -> Numbering:
    by_number: dict[str, list[Load]] = defaultdict(list)
    for load in said:
        by_number[load.number.casefold()].append(load)
    repeated = tuple(
        tuple(group)
        for group in (by_number.values() if style != "none" else ())
        if len(group) > 1 and len([load for load in group if load.decision != "void"]) > 1
    )
    read = [(found, load) for load in said if (found := number_of(load))]
    usual = Counter(prefix for (prefix, _), _ in read).most_common(1)
    numbered = [(n, load) for (prefix, n), load in read if usual and prefix == usual[0][0]]
    reached = [number for number, _ in numbered] + ([] if before is None else [before])
    highest = max(reached, default=None)
    if style != "job":
        return Numbering(plant, repeated, (), (), highest)
    return Numbering(plant, repeated, _gaps(numbered, before), _backwards(numbered), highest)


def _gaps(
    numbered: Sequence[tuple[int, Load]], before: int | None
) -> tuple[tuple[int, int, Load], ...]:
    ordered = sorted(numbered, key=lambda pair: pair[0])
    previous = before if before is not None else (ordered[0][0] - 1 if ordered else 0)
    gaps = []
    for number, load in ordered:
        if number > previous + 1:
            gaps.append((previous + 1, number - 1, load))
        previous = max(previous, number)
    return tuple(gaps)


def _backwards(numbered: Sequence[tuple[int, Load]]) -> tuple[Load, ...]:
    in_time = sorted(numbered, key=lambda pair: (pair[1].moment("loaded") or pair[1].at, pair[0]))
    found, highest = [], 0
    for number, load in in_time:
        if number < highest:
            found.append(load)
        highest = max(highest, number)
    return tuple(found)
