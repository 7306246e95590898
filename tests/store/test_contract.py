"""What every store promises, asked of each kind of store alike."""

import hashlib
import io
import json
import shutil
from collections.abc import Callable, Iterator
from itertools import islice, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from matbook.book.chain import chains
from matbook.book.entry import Entry, canonical, hash_of, read_entry
from matbook.errors import NotFound
from matbook.store.contract import Receipt, Store, Stored
from matbook.store.memory import MemoryStore
from matbook.store.sqlite import open_store
from tests.scribe import SHIFT, Scribe
from tests.store.books import NIGHT, NOW, book, notes, pair, pairs

Maker = Callable[[], Store]

KINDS = ("memory", "sqlite")


@pytest.fixture(scope="module", params=KINDS)
def make(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Maker:
    """Makes empty stores of one kind."""
    if request.param == "memory":
        return MemoryStore
    folder = tmp_path_factory.mktemp("stores")
    empty = folder / "empty"
    open_store(empty).close()

    def copied() -> Store:
        path = folder / f"{len(list(folder.iterdir()))}"
        shutil.copy(empty, path)
        return open_store(path)

    return copied


@pytest.fixture
def store(make: Maker) -> Iterator[Store]:
    with make() as store:
        yield store


def kept(store: Store, job: str) -> list[Entry]:
    return [read_entry(stored.text, stored.hash) for stored in store.entries(job)]


def check_holds(store: Store, entries: list[Entry]) -> None:
    """The store holds exactly these entries, as it should."""
    assert store.jobs() == sorted({entry.job for entry in entries})
    for job in store.jobs():
        mine = [entry for entry in entries if entry.job == job]
        found = list(store.entries(job))
        assert [stored.cursor for stored in found] == list(range(1, len(found) + 1))
        assert sorted((s.hash, s.text) for s in found) == sorted(set(map(pair, mine)))
        expected = {device: chain.heads for device, chain in chains(mine).items()}
        assert store.heads(job) == expected
        assert store.shifts(job) == sorted({entry.shift for entry in mine} - {""})


def test_a_new_store_is_empty(store: Store) -> None:
    assert store.jobs() == []
    assert list(store.entries("ridge")) == []
    assert store.heads("ridge") == {}
    assert store.shifts("ridge") == []
    assert list(store.quarantined()) == []
    assert store.append([], NOW) == []


def test_what_was_handed_in_is_kept_to_the_letter_and_in_order(store: Store) -> None:
    entries = [entry for entry in book() if entry.job == "ridge"]
    receipts = store.append(pairs(entries), NOW)
    assert receipts == [Receipt(e.hash, n, "kept") for n, e in enumerate(entries, 1)]
    assert list(store.entries("ridge")) == [
        Stored(number, entry.hash, entry.text, NOW) for number, entry in enumerate(entries, 1)
    ]


def test_the_same_entry_again_changes_nothing(store: Store) -> None:
    entries = book()
    first = store.append(pairs(entries), NOW)
    before = list(store.entries("ridge"))
    again = store.append(pairs(entries), "later")
    assert [receipt.state for receipt in again] == ["had"] * len(entries)
    assert [receipt.cursor for receipt in again] == [receipt.cursor for receipt in first]
    assert list(store.entries("ridge")) == before


def test_the_same_entry_twice_in_one_call_is_kept_once(store: Store) -> None:
    entry = pair(book()[0])
    states = [(r.cursor, r.state) for r in store.append([entry, entry], NOW)]
    assert states == [(1, "kept"), (1, "had")]


def test_cursors_count_in_each_job_apart(store: Store) -> None:
    entries = book()
    store.append(pairs(entries), NOW)
    check_holds(store, entries)


PIECES = st.lists(st.lists(st.sampled_from(range(len(book()))), max_size=12), max_size=12)


@given(order=st.permutations(range(len(book()))), extra=PIECES, size=st.integers(1, 9))
def test_any_order_split_and_repetition_gives_the_same_set(
    make: Maker, order: list[int], extra: list[list[int]], size: int
) -> None:
    entries = book()
    calls = [order[start : start + size] for start in range(0, len(order), size)]
    with make() as store:
        for number, call in enumerate(calls):
            again = extra[number] if number < len(extra) else []
            store.append([pair(entries[place]) for place in [*call, *again]], NOW)
            if number == len(calls) // 2:
                arrived = {
                    place for done in [*calls[: number + 1], *extra[: number + 1]] for place in done
                }
                check_holds(store, [entries[place] for place in sorted(arrived)])
        check_holds(store, entries)


def test_a_gap_shows_as_a_head_before_it(store: Store) -> None:
    chain = list(islice(notes(), 9))
    store.append([*chain[:3], *chain[5:]], NOW)
    assert store.heads("ridge") == {"phone-1": ((3, chain[2][0]), (9, chain[8][0]))}
    store.append(chain[4:5], NOW)
    assert [head.seq for head in store.heads("ridge")["phone-1"]] == [3, 9]
    store.append(chain[3:4], NOW)
    assert store.heads("ridge") == {"phone-1": ((9, chain[8][0]),)}


def test_an_entry_that_names_another_chain_does_not_hide_its_head(store: Store) -> None:
    ana, bo = Scribe(), Scribe("phone-2", "bo")
    first, second = ana.write("note"), ana.write("note")
    bo.write("note")
    strange = bo.pen.__class__("phone-2", "bo", 1, first.hash)
    other, _ = strange.write(
        second.id, "ridge", "note", {}, at=second.data["at"], written=second.data["written"]
    )
    store.append(pairs([other, first]), NOW)
    assert store.heads("ridge") == {
        "phone-1": ((1, first.hash),),
        "phone-2": ((2, other.hash),),
    }


def test_reading_goes_on_behind_a_cursor(store: Store) -> None:
    store.append(list(islice(notes(), 20)), NOW)
    assert [s.cursor for s in store.entries("ridge", after=17)] == [18, 19, 20]
    assert [s.cursor for s in store.entries("ridge", after=4, limit=3)] == [5, 6, 7]
    assert list(store.entries("ridge", limit=0)) == []
    assert list(store.entries("ridge", after=20)) == []


def test_long_books_are_read_whole(store: Store) -> None:
    store.append(list(islice(notes(), 2500)), NOW)
    assert [s.cursor for s in store.entries("ridge")] == list(range(1, 2501))
    assert [s.cursor for s in store.entries("ridge", after=99, limit=2001)][-1] == 2100


def test_one_shift_is_read_alone(store: Store) -> None:
    entries = [entry for entry in book() if entry.job == "ridge"]
    store.append(pairs(entries), NOW)
    for shift in (SHIFT, NIGHT, ""):
        expected = [entry.hash for entry in entries if entry.shift == shift]
        assert expected
        assert [s.hash for s in store.entries("ridge", shift=shift)] == expected
    assert list(store.entries("ridge", shift="vale/2026-05-12/a/day")) == []


def test_an_entry_is_found_by_its_id_or_hash(store: Store) -> None:
    entries = book()
    store.append(pairs(entries), NOW)
    one = entries[4]
    assert store.entry(one.job, one.id).hash == one.hash
    assert store.entry(one.job, one.hash).text == one.text


@pytest.mark.parametrize("name", ["", "x", "ab", "0" * 64, "00000000-0000-7000-8000-" + "0" * 12])
def test_what_is_not_there_is_not_found(store: Store, name: str) -> None:
    store.append(pairs(book()), NOW)
    with pytest.raises(NotFound, match="no entry"):
        store.entry("ridge", name)
    with pytest.raises(NotFound):
        store.entry("vale", book()[0].id)


def test_an_id_that_two_entries_carry_gives_the_first_to_arrive(store: Store) -> None:
    ana, twin = Scribe(), Scribe()
    first, second = ana.write("note", {"text": "1"}), twin.write("note", {"text": "2"})
    assert first.id == second.id
    store.append(pairs([second, first]), NOW)
    assert store.entry("ridge", first.id).hash == second.hash
    check_holds(store, [first, second])


# Refusals


ENTRY = book()[1]
REFUSED = {
    "changed": (ENTRY.hash, ENTRY.text.replace("ana", "eve"), "ridge", "was changed"),
    "other form": (hash_of(ENTRY.text + " "), ENTRY.text + " ", "ridge", "isn't in its one form"),
    "not JSON": (hash_of("{"), "{", "", "not the JSON"),
    "no object": (hash_of("[]"), "[]", "", "not a JSON object"),
    "no job": (hash_of("{}"), "{}", "", "missing"),
    "bad job": (hash_of('{"job":"../x"}'), '{"job":"../x"}', "", "missing"),
    "deep": (hash_of("[" * 99_999), "[" * 99_999, "", "not the JSON"),
    "half a character": ("0" * 64, '{"job":"ridge","x":"\ud800"}', "ridge", "half a character"),
    "half a character as key": (
        hash_of('{"\\ud800":1}'),
        '{"\\ud800":1}',
        "",
        "keys must be ASCII",
    ),
    "zero byte": (hash_of("\0"), "\0", "", "not the JSON"),
    "strange hash": ("\ud800", ENTRY.text, "ridge", "was changed"),
    "too long": ("0" * 64, "é" * 140_000, "", "at most"),
    "missing field": (
        hash_of(canonical({**ENTRY.data, "seq": 0})),
        canonical({**ENTRY.data, "seq": 0}),
        "ridge",
        "whole number from 1",
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_a_refused_entry_is_kept_aside_with_the_reason(store: Store, name: str) -> None:
    hash_, text, job, reason = REFUSED[name]
    good = pair(ENTRY)
    receipts = store.append([(hash_, text), good], NOW)
    assert receipts[0][:3] == (hash_, 0, "refused")
    assert reason in receipts[0].reason
    assert json.loads(json.dumps(receipts[0].reason).encode()) == receipts[0].reason
    assert receipts[1].state == "kept"
    [aside] = store.quarantined()
    assert aside == (job, hash_, text, receipts[0].reason, NOW)
    assert list(store.quarantined(job)) == [aside]
    assert list(store.quarantined("elsewhere")) == []


def test_what_is_refused_twice_is_kept_aside_once(store: Store) -> None:
    bad = [REFUSED["not JSON"][:2], REFUSED["no job"][:2]]
    first = store.append(bad, "1")
    assert store.append(bad, "2") == first
    assert [aside.received for aside in store.quarantined()] == ["1", "1"]


# Very many


def test_many_entries_go_in_like_few(store: Store) -> None:
    entries = book()
    bad = REFUSED["not JSON"][:2]
    tally = store.append_all(iter([*pairs(entries), bad, pair(entries[0])]), NOW)
    assert (tally.kept, tally.had) == (len(entries), 1)
    assert [(receipt.hash, receipt.state) for receipt in tally.refused] == [(bad[0], "refused")]
    check_holds(store, entries)


def test_progress_is_told_and_grows(store: Store) -> None:
    told: list[int] = []
    store.append_all(islice(notes(), 4001), NOW, told.append)
    assert told[-1] == 4001
    assert all(before < after for before, after in pairwise(told))


def test_many_is_all_or_nothing(store: Store) -> None:
    def torn() -> Iterator[tuple[str, str]]:
        yield from islice(notes(), 3000)
        raise EOFError

    with pytest.raises(EOFError):
        store.append_all(torn(), NOW)
    assert store.jobs() == []
    assert store.append_all(islice(notes(), 10), NOW).kept == 10


# Epoch and attachments


def test_every_store_has_its_own_epoch(make: Maker) -> None:
    with MemoryStore() as one, MemoryStore() as other:
        assert one.epoch() != other.epoch()
    with make() as store:
        assert store.epoch() == store.epoch()
        assert len(store.epoch()) == 32


def test_an_attachment_is_named_by_its_bytes(store: Store) -> None:
    photo = bytes(range(256)) * 9000
    name = store.attach(photo)
    assert name == hashlib.sha256(photo).hexdigest()
    assert store.attach(io.BytesIO(photo)) == name
    assert store.attach(b"") == hashlib.sha256(b"").hexdigest()
    assert store.attachment(name) == photo


@pytest.mark.parametrize("name", ["", "0" * 64, "../" + "0" * 61, "A" * 64, "x"])
def test_an_attachment_that_is_not_there_is_not_found(store: Store, name: str) -> None:
    store.attach(b"something")
    with pytest.raises(NotFound, match="no attachment"):
        store.attachment(name)
