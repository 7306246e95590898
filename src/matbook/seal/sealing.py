"""Sealing a shift: every device's chain as it stood at the close, signed by the installation.

A seal names, for each device, the runs of its chain that were here, each run by its last hash;
and the digest of a list with one line for every entry of the shift and of the plan. So a later
change, removal or insertion of anything under the seal shows, and an entry that may not be
released can travel as its line alone.

It proves that nothing was altered since. It does not prove that what was written is true, nor
when it was written: device clocks can be wrong.
"""

import hashlib
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from matbook.book.entry import Entry, canonical

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


def under(seal: Entry, entry: Entry) -> bool:
    """Whether an entry lies within the runs that a seal names."""
    heads: Mapping[str, Sequence[Sequence[Any]]] = seal.body["heads"]
    return any(first <= entry.seq <= last for first, last, _ in heads.get(entry.device, ()))


def after_the_seal(seal: Entry, entry: Entry) -> str:
    """“late” if written before the seal but received after it, “addendum” if written after it;
    empty if the entry lies under the seal."""
    if entry.kind == "seal" or under(seal, entry):
        return ""
    return "late" if entry.written <= seal.written else "addendum"
