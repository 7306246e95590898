"""Whatever is done to an entry, or to a file to verify: a sentence, and never anything else."""

import json
import random
from collections.abc import Callable, Sequence
from importlib import resources

import pytest

from matbook.book.entry import read_entry
from matbook.book.forms import opened
from matbook.book.pen import ShiftName
from matbook.desk.job import JobBook
from matbook.errors import EntryRefused, FileRefused
from matbook.records.bundle import bundle, unbundle
from matbook.records.lines import from_lines
from matbook.records.reporting import make_record
from matbook.records.verify import verify_bytes
from matbook.seal.keys import InstallationKey
from matbook.shift.facts import Facts
from matbook.shift.view import view
from tests.mutations import mutate
from tests.records.test_verifier import files

RAW = (resources.files("matbook.demo") / "kestrel" / "entries.jsonl").read_bytes()
TEXTS = [text for _, text in from_lines(RAW, "kestrel")[0]]


def spoilt(raw: bytes, rng: random.Random) -> bytes:
    """A copy of a file with a few bytes changed, cut out, doubled or swapped."""
    made = bytearray(raw)
    for _ in range(rng.randint(1, 4)):
        at = rng.randrange(len(made) or 1)
        length = rng.choice((1, 1, 4, 40, 4000))
        way = rng.randrange(4)
        if way == 0 and made:
            made[at] = rng.randrange(256)
        elif way == 1:
            del made[at : at + length]
        elif way == 2:
            made[at:at] = made[at : at + length]
        else:
            made[at:at] = rng.randbytes(length)
    return bytes(made)


def check_entries(count: int, seed: int) -> None:
    """Spoilt texts are refused with a sentence, or are entries that a shift can be made of."""
    rng, kept, reasons = random.Random(seed), [], []
    for number in range(count):
        text = mutate(TEXTS[number % len(TEXTS)], rng)
        try:
            entry = read_entry(text)
        except EntryRefused as refused:
            reasons.append(str(refused))
            continue
        assert isinstance(opened(entry).trouble, str)
        kept.append(entry)
    assert all(reason.endswith((".", "?")) for reason in reasons)
    assert count / 100 < len(kept) < count, "the mutations do too much, or too little"
    whole = [read_entry(text) for text in TEXTS]
    facts = Facts(ShiftName.read(whole[-1].shift), [*whole, *kept[:500]])
    seen = view(facts, whole[-1].written)
    assert seen.calls


def signed_record() -> bytes:
    book = JobBook([read_entry(text) for text in TEXTS])
    shift = book.latest()
    return make_record(book, shift, InstallationKey.create(), book.last_moment(shift)).pdf


def check_files(raw: bytes, count: int, seed: int) -> None:
    """Spoilt files are refused with a sentence, or something in them is not proven."""
    rng, reasons = random.Random(seed), []
    for _ in range(count):
        made = spoilt(raw, rng)
        try:
            verdict = verify_bytes(made, "file")
        except FileRefused as refused:
            reasons.append(str(refused))
            continue
        assert made == raw or not verdict.proven or same_members(made, raw)
        assert all(says for _, says in verdict.findings)
    assert all(reason.endswith((".", "?")) for reason in reasons)


def same_members(made: bytes, raw: bytes) -> bool:
    """Whether a zip file says the same in other bytes: its dates, say, prove nothing."""
    if made[:2] != b"PK":
        return False
    one, other = unbundle(made, "made"), unbundle(raw, "raw")
    names = ("entries.jsonl", "sealed.txt")
    return all(_said(one.get(name, b"")) == _said(other[name]) for name in names)


def _said(raw: bytes) -> object:
    rows = raw.splitlines()
    return [json.loads(row) for row in rows] if raw[:1] == b"{" else rows


def sealed_bundle() -> bytes:
    return bundle(files(), {})


def test_a_spoilt_entry_is_refused_or_still_an_entry() -> None:
    check_entries(400, seed=3)


@pytest.mark.parametrize(("make", "count"), [(sealed_bundle, 300), (signed_record, 25)])
def test_a_spoilt_file_is_refused_or_not_proven(make: Callable[[], bytes], count: int) -> None:
    check_files(make(), count, seed=4)


@pytest.mark.long
def test_ten_thousand_spoilt_entries() -> None:
    check_entries(10_000, seed=5)


LONG: Sequence[tuple[Callable[[], bytes], int]] = [(sealed_bundle, 9_000), (signed_record, 1_000)]


@pytest.mark.long
@pytest.mark.parametrize(("make", "count"), LONG)
def test_ten_thousand_spoilt_files_to_verify(make: Callable[[], bytes], count: int) -> None:
    check_files(make(), count, seed=6)
