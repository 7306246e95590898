"""Each device's chain within a job: how far it reaches, what is missing, where it forks.

A chain shows change: an entry altered, taken out or put in between no longer fits its
neighbours. It can't show that the newest entries were removed; signed heads and seals do.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from matbook.book.entry import FIRST, Entry


@dataclass(frozen=True, slots=True)
class Chain:
    """One device's chain in one job, as far as it has arrived."""

    device: str
    heads: tuple[tuple[int, str], ...]
    """The last entry of every branch, as (seq, hash); more than one where the chain forks."""
    count: int
    gaps: tuple[tuple[int, int], ...]
    """Runs of numbers that have not arrived, first and last."""
    forks: tuple[int, ...]
    """Numbers used by more than one entry: a cloned or restored device."""
    breaks: tuple[str, ...]
    """Hashes of entries whose entry before is here, but is not the one they name."""

    @property
    def whole(self) -> bool:
        """Whether every number is here once and each entry fits the one before."""
        return not (self.gaps or self.forks or self.breaks)


def chains(entries: Iterable[Entry]) -> dict[str, Chain]:
    """The chain of every device among the entries of one job.

    Example:
        >>> chains([])
        {}
    """
    by_device: dict[str, dict[int, list[Entry]]] = defaultdict(lambda: defaultdict(list))
    for entry in {entry.hash: entry for entry in entries}.values():
        by_device[entry.device][entry.seq].append(entry)
    return {device: _chain(device, by_device[device]) for device in sorted(by_device)}


def _chain(device: str, by_seq: dict[int, list[Entry]]) -> Chain:
    numbers = sorted(by_seq)
    named = {(entry.seq - 1, entry.prev) for here in by_seq.values() for entry in here}
    heads, forks, breaks = [], [], []
    for seq in numbers:
        here = by_seq[seq]
        before = {entry.hash for entry in by_seq.get(seq - 1, ())} or {FIRST}
        if len(here) > 1:
            forks.append(seq)
        for entry in sorted(here, key=lambda entry: entry.hash):
            if entry.prev not in before and (seq == 1 or seq - 1 in by_seq):
                breaks.append(entry.hash)
            if (seq, entry.hash) not in named:
                heads.append((seq, entry.hash))
    return Chain(
        device=device,
        heads=tuple(heads),
        count=len([entry for here in by_seq.values() for entry in here]),
        gaps=tuple(_gaps(numbers)),
        forks=tuple(forks),
        breaks=tuple(breaks),
    )


def _gaps(numbers: list[int]) -> list[tuple[int, int]]:
    expected = [0, *numbers]
    return [
        (before + 1, here - 1)
        for before, here in zip(expected, numbers, strict=False)
        if here > before + 1
    ]
