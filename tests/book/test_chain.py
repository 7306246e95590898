"""Chains: whole, with gaps, forked by a clone, broken by a change."""

from matbook.book.chain import chains
from matbook.book.entry import Entry
from matbook.book.merge import merged
from matbook.book.pen import Pen
from tests.scribe import Scribe


def some(count: int) -> list[Entry]:
    scribe = Scribe()
    return [scribe.write("note", {"text": f"n{n}"}, n) for n in range(count)]


def test_a_whole_chain() -> None:
    entries = some(4)
    chain = chains(reversed(entries))["phone-1"]
    assert chain.whole
    assert chain.count == 4
    assert chain.heads == ((4, entries[-1].hash),)


def test_a_gap_names_what_has_not_arrived() -> None:
    entries = some(6)
    chain = chains([entries[0], *entries[3:]])["phone-1"]
    assert chain.gaps == ((2, 3),)
    assert not chain.whole
    assert {seq for seq, _ in chain.heads} == {1, 6}


def test_a_cloned_device_forks_and_both_branches_stay() -> None:
    scribe, clone = Scribe(), Scribe()
    first = scribe.write("note", {"text": "first"})
    clone.pen = Pen("phone-1", "ana", 1, first.hash)
    one = scribe.write("note", {"text": "here"}, 1)
    other = clone.write("note", {"text": "there"}, 1)
    chain = chains([first, one, other, one])["phone-1"]
    assert chain.forks == (2,)
    assert chain.count == 3
    assert {digest for _, digest in chain.heads} == {one.hash, other.hash}
    assert not chain.breaks


def test_a_changed_entry_no_longer_fits() -> None:
    entries = some(3)
    forged = Scribe()
    forged.pen = Pen("phone-1", "ana", 1, entries[0].hash)
    swapped = forged.write("note", {"text": "never said"}, 1)
    chain = chains([entries[0], swapped, entries[2]])["phone-1"]
    assert chain.breaks == (entries[2].hash,)


def test_merging_is_set_union_in_reading_order() -> None:
    entries = some(5)
    late = Scribe("phone-2", "ben").write("note", {"text": "late"}, 2.5)
    assert merged(entries[::2], [late], entries[::-1]) == [*entries[:3], late, *entries[3:]]
