"""Seals: runs of chains, the list under a seal, what came after it."""

from typing import Any

import pytest

from matbook.book.entry import Entry
from matbook.book.pen import Pen
from matbook.seal.keys import InstallationKey
from matbook.seal.sealing import (
    after_the_seal,
    covered,
    holds,
    is_signed,
    runs,
    seal_body,
    sealed_list,
    signed_text,
    under_seal,
)
from tests.scribe import SHIFT, Scribe

KEY = InstallationKey.create()


def some(scribe: Scribe, count: int, start: int = 0) -> list[Entry]:
    return [scribe.write("note", {"text": f"{n}"}, start + n) for n in range(count)]


def sealed(
    entries: list[Entry],
    before: str = "",
    key: InstallationKey = KEY,
    shift: str = SHIFT,
    at: str = "17:00",
    **forged: Any,
) -> Entry:
    """A seal as the installation makes it, or with something else in its body."""
    body = seal_body(entries, shift, before, key.public_text, f"2026-05-12T{at}:00-03:00") | forged
    body["signature"] = key.sign(signed_text("ridge", shift, body))
    scribe = Scribe("installation-1", "installation")
    own = [e for e in entries if e.device == "installation-1"]
    if own:
        last = max(own, key=lambda e: e.seq)
        scribe.pen = Pen("installation-1", "installation", last.seq, last.hash)
    return scribe.write("seal", body, 600 + len(own), shift=shift)


def test_runs_name_each_unbroken_stretch_by_its_last_hash() -> None:
    entries = some(Scribe(), 6)
    whole = runs(entries)
    assert whole == {"phone-1": [[1, 6, entries[-1].hash]]}
    gap = runs([*entries[:2], *entries[4:]])
    assert gap == {"phone-1": [[1, 2, entries[1].hash], [5, 6, entries[5].hash]]}


def test_a_fork_gives_runs_that_overlap() -> None:
    scribe = Scribe()
    first, second = some(scribe, 2)
    clone = Scribe()
    clone.pen = Pen("phone-1", "ana", 1, first.hash)
    other = clone.write("note", {"text": "there"}, 5)
    assert [run[:2] for run in runs([first, second, other])["phone-1"]] == [[1, 2], [1, 2]]


def test_a_seal_lists_its_shift_and_the_plan_only() -> None:
    scribe = Scribe()
    plan = scribe.write("plan", {"toml": "matbook = 1"}, -60)
    note = scribe.write("note", {"text": "here"}, 1)
    scribe.write("note", {"text": "elsewhere"}, 1, shift="ridge/2026-05-13/a/day")
    seal = sealed([plan, note])
    assert covered([plan, note, seal], SHIFT) == [plan, note]
    assert sealed_list([note, plan]).splitlines() == [
        f"phone-1 1 {plan.hash}",
        f"phone-1 2 {note.hash}",
    ]


def test_late_arrivals_and_addenda_are_told_apart() -> None:
    scribe = Scribe()
    early = some(scribe, 3)
    late = scribe.write("note", {"text": "sent late"}, 4)
    addendum = scribe.write("note", {"text": "after"}, 700)
    signing = scribe.write("signature", {"of": "daily record", "name": "A. Invented"}, 710)
    seal = sealed(early)
    everything = [*early, late, addendum, signing, seal]
    under = under_seal(seal, everything)
    said = [after_the_seal(seal, under, entry) for entry in everything]
    assert said == ["", "", "", "late", "addendum", "", ""]
    assert under == {entry.hash for entry in early}


def clone(first: Entry, minute: float) -> Entry:
    """What a copy of the same device wrote under the number after this entry's."""
    scribe = Scribe()
    scribe.pen = Pen("phone-1", "ana", first.seq, first.hash)
    return scribe.write("note", {"text": "there"}, minute)


def test_a_late_branch_of_a_fork_is_not_under_the_seal_though_its_number_is() -> None:
    entries = some(Scribe(), 3)
    seal, late = sealed(entries), clone(entries[0], 5)
    everything = [*entries, late, seal]
    assert under_seal(seal, everything) == {entry.hash for entry in entries}
    assert after_the_seal(seal, under_seal(seal, everything), late) == "late"
    assert holds(seal, everything)


def test_a_fork_that_was_sealed_is_under_the_seal_on_both_branches() -> None:
    entries = some(Scribe(), 3)
    everything = [*entries, clone(entries[0], 5)]
    seal = sealed(everything)
    assert under_seal(seal, everything) == {entry.hash for entry in everything}
    assert holds(seal, [*everything, seal])


def test_what_fills_a_gap_after_the_seal_is_not_under_it() -> None:
    entries = some(Scribe(), 6)
    before = [*entries[:2], *entries[4:]]
    seal = sealed(before)
    assert under_seal(seal, entries) == {entry.hash for entry in before}
    assert holds(seal, entries)


@pytest.mark.parametrize("at", range(4))
def test_a_seal_does_not_hold_once_anything_under_it_is_gone(at: int) -> None:
    entries = some(Scribe(), 4)
    seal = sealed(entries)
    assert holds(seal, [*entries, seal])
    assert not holds(seal, [*entries[:at], *entries[at + 1 :], seal])


BAD_BODIES: list[dict[str, Any]] = [
    {},
    {"signature": "AA"},
    {"signature": 5},
    {"key": 5},
    {"key": "é"},
    {"heads": []},
    {"heads": {"phone-1": 5}},
    {"heads": {"phone-1": [1, [1], ["1", 4, 5], [1, 4, 5]]}},
    {"list": "0" * 64},
    {"at": "yesterday"},
]


@pytest.mark.parametrize("change", BAD_BODIES)
def test_a_seal_of_any_body_is_judged_and_never_breaks_anything(change: dict[str, Any]) -> None:
    entries = some(Scribe(), 4)
    body = (dict(sealed(entries).body) | change) if change else {}
    bad = Scribe("installation-2", "installation").write("seal", body, 600)
    assert not holds(bad, [*entries, bad])


def test_runs_that_are_signed_but_are_none_hold_nothing() -> None:
    """Whoever has a key can sign anything."""
    entries = some(Scribe(), 4)
    for heads in ({}, {"phone-1": 5}, {"phone-1": [1, [1], ["1", 4, 5], [1, 4, 5]]}):
        bad = sealed(entries, heads=heads)
        assert is_signed(bad)
        assert under_seal(bad, entries) == frozenset()
        assert not holds(bad, entries)


def test_a_seal_names_the_one_before() -> None:
    entries = some(Scribe(), 2)
    first = sealed(entries)
    assert "before" not in first.body
    assert sealed([*entries, first], first.hash).body["before"] == first.hash
