"""Seals: runs of chains, the list under a seal, what came after it."""

from matbook.book.entry import Entry
from matbook.book.pen import Pen
from matbook.seal.keys import InstallationKey
from matbook.seal.sealing import (
    after_the_seal,
    covered,
    runs,
    seal_body,
    sealed_list,
    signed_text,
    under,
)
from tests.scribe import SHIFT, Scribe

KEY = InstallationKey.create()


def some(scribe: Scribe, count: int, start: int = 0) -> list[Entry]:
    return [scribe.write("note", {"text": f"{n}"}, start + n) for n in range(count)]


def sealed(entries: list[Entry], before: str = "") -> Entry:
    """A seal as the installation makes it."""
    body = seal_body(entries, SHIFT, before, KEY.public_text, "2026-05-12T17:00:00-03:00")
    body["signature"] = KEY.sign(signed_text("ridge", SHIFT, body))
    scribe = Scribe("installation-1", "installation")
    own = [e.seq for e in entries if e.device == "installation-1"]
    last = max(
        (e for e in entries if e.device == "installation-1"), key=lambda e: e.seq, default=None
    )
    if last is not None:
        scribe.pen = Pen("installation-1", "installation", max(own), last.hash)
    return scribe.write("seal", body, 600)


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
    seal = sealed(early)
    assert [after_the_seal(seal, e) for e in (*early, late, addendum, seal)] == [
        "",
        "",
        "",
        "late",
        "addendum",
        "",
    ]
    assert under(seal, early[0])
    assert not under(seal, late)


def test_a_seal_names_the_one_before() -> None:
    entries = some(Scribe(), 2)
    first = sealed(entries)
    assert "before" not in first.body
    assert sealed([*entries, first], first.hash).body["before"] == first.hash
