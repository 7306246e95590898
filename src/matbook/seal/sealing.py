"""Sealing a shift: every device's chain as it stood at the close, signed by the installation.

A seal names, for each device, the runs of its chain that were here, each run by its last hash;
and the digest of a list with one line for every entry of the shift and of the plan. So a later
change or removal of anything under the seal shows, and what was put in later is not under it.

It proves that nothing was altered since. It does not prove that what was written is true, nor
when it was written: device clocks can be wrong.
"""

import hashlib
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from itertools import chain
from typing import Any

from matbook.book.entry import Entry, canonical
from matbook.book.forms import opened
from matbook.errors import NotProven
from matbook.seal.keys import verify

Runs = dict[str, list[list[Any]]]
"""Device -> runs of its chain: first number, last number, hash of the last."""


def seal_body(
    entries: Sequence[Entry], shift: str, before: str, public_key: str, at: str
) -> dict[str, Any]:
    """The body of a seal over everything here, still without its signature.

    Args:
        entries: Every entry of the job that is here.
        shift: The shift being closed.
        before: Hash of the seal before; empty for the first.
        public_key: Of the installation that will sign.
        at: When, by the installation's clock.
    """
    listed = sealed_list(covered(entries, shift))
    body: dict[str, Any] = {
        "heads": runs(entries),
        "count": len(listed.splitlines()),
        "list": hashlib.sha256(listed.encode()).hexdigest(),
        "key": public_key,
        "at": at,
    }
    return body | ({"before": before} if before else {})


def signed_text(job: str, shift: str, body: Mapping[str, Any]) -> str:
    """What the signature of a seal is over: job, shift, and all of the body but the signature."""
    rest = {name: value for name, value in body.items() if name != "signature"}
    return canonical({"job": job, "shift": shift, "seal": rest})


def covered(entries: Iterable[Entry], shift: str) -> list[Entry]:
    """The entries that a seal of this shift lists: the shift's own, and the plan's."""
    return [
        entry
        for entry in entries
        if (entry.shift == shift or entry.kind == "plan") and entry.kind != "seal"
    ]


def sealed_list(entries: Iterable[Entry]) -> str:
    """One line for each entry: device, number and hash; sorted."""
    lines = sorted({(entry.device, entry.seq, entry.hash) for entry in entries})
    return "".join(f"{device} {seq} {digest}\n" for device, seq, digest in lines)


def runs(entries: Iterable[Entry]) -> Runs:
    """For each device, the unbroken runs of its chain; a fork gives runs that overlap."""
    by_device: dict[str, dict[str, Entry]] = defaultdict(dict)
    for entry in entries:
        by_device[entry.device][entry.hash] = entry
    found: Runs = {}
    for device, here in sorted(by_device.items()):
        followed = {entry.prev for entry in here.values()}
        ends = [entry for entry in here.values() if entry.hash not in followed]
        found[device] = sorted([_first(here, end), end.seq, end.hash] for end in ends)
    return found


def _first(here: Mapping[str, Entry], end: Entry) -> int:
    """The first number of the run that ends here."""
    entry = end
    while entry.prev in here:
        entry = here[entry.prev]
    return entry.seq


def under_seal(seal: Entry, entries: Iterable[Entry]) -> frozenset[str]:
    """Hashes of the entries under a seal, of all shifts: back from the end of each run it names.

    Numbers alone would not do: on a device that was cloned two entries bear the same one, and the
    one that arrived after the seal is not under it.

    Args:
        seal: Its body may be of any form; where it names no run, nothing is under it.
        entries: Every entry of the job that is here.
    """
    here = {entry.hash: entry for entry in entries}
    found: set[str] = set()
    for first, last in _named_runs(seal):
        entry = here.get(last)
        while entry is not None and entry.seq >= first and entry.hash not in found:
            found.add(entry.hash)
            entry = here.get(entry.prev)
    return frozenset(found)


def _named_runs(seal: Entry) -> Iterator[tuple[int, str]]:
    """First number and last hash of each run that a seal names; anything else is passed over."""
    heads = seal.body.get("heads")
    named = heads.values() if isinstance(heads, dict) else ()
    for run in chain.from_iterable(runs for runs in named if isinstance(runs, list)):
        match run:
            case [int(first), int(), str(last)]:
                yield first, last


def is_signed(seal: Entry) -> bool:
    """Whether a seal is of its form, and signed by the key that it names."""
    if opened(seal).trouble:
        return False
    body = seal.body
    try:
        verify(body["key"], signed_text(seal.job, seal.shift, body), body["signature"])
    except NotProven:
        return False
    return True


def holds(seal: Entry, entries: Sequence[Entry]) -> bool:
    """Whether a seal is signed, and all that it lists is here among the entries of the job."""
    listed = listed_under(seal, entries, seal.shift)
    return is_signed(seal) and hashlib.sha256(listed.encode()).hexdigest() == seal.body["list"]


def listed_under(seal: Entry, entries: Sequence[Entry], shift: str) -> str:
    """The list of a seal, as the entries that are here give it."""
    sealed = under_seal(seal, entries)
    return sealed_list(e for e in covered(entries, shift) if e.hash in sealed)


def after_the_seal(seal: Entry, sealed: Set[str], entry: Entry) -> str:
    """“late” if written before the seal but received after it, “addendum” if written after it.

    Empty if the entry lies under the seal, or is expected after it: a seal, or a signature.

    Args:
        seal: The seal of the shift.
        sealed: What `under_seal` finds.
        entry: An entry of the shift.
    """
    if entry.kind == "seal" or entry.hash in sealed:
        return ""
    if entry.written <= seal.written:
        return "late"
    return "" if entry.kind == "signature" else "addendum"
