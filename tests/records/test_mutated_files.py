"""Whatever is done to an entry, or to a file to verify: a sentence, and never anything else."""

import io
import json
import random
from collections.abc import Callable, Sequence
from importlib import resources
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from matbook.book.entry import Entry, read_entry
from matbook.book.forms import opened
from matbook.book.pen import Pen, ShiftName
from matbook.desk.job import JobBook
from matbook.errors import EntryRefused, FileRefused
from matbook.records.bundle import bundle, unbundle
from matbook.records.lines import from_lines
from matbook.records.reporting import make_bundle, make_record
from matbook.records.verifier import check
from matbook.records.verify import verify_bytes
from matbook.seal.keys import InstallationKey
from matbook.seal.sealing import seal_body, signed_text
from matbook.shift.facts import Facts
from matbook.shift.view import view
from matbook.store.sqlite import open_store
from tests.mutations import mutate
from tests.records.test_verifier import files
from tests.scribe import Scribe

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


def kestrel(*more: Entry, without: int | None = None) -> JobBook:
    """The demo's book with some entries more, or one of its notes less."""
    entries = [read_entry(text) for text in TEXTS]
    if without is not None:
        del entries[without]
    return JobBook([*entries, *more])


def seal_over(book: JobBook, key: InstallationKey, **other: Any) -> Entry:
    """A seal of the demo's shift, or with something else in its body."""
    shift = book.latest()
    body = seal_body(book.entries, shift, "", key.public_text, "2026-11-01T07:00:00-07:00")
    body["signature"] = key.sign(signed_text("kestrel", shift, body))
    office = Scribe("installation-1", "installation", "kestrel")
    return office.write("seal", body | other, shift=shift)


def page_one(book: JobBook, key: InstallationKey) -> tuple[bytes, str]:
    """A record of the demo's shift, and what its first page says."""
    shift = book.latest()
    pdf = make_record(book, shift, key, book.last_moment(shift)).pdf
    return pdf, " ".join(PdfReader(io.BytesIO(pdf)).pages[0].extract_text().split())


BROKEN = "A seal of this shift does not hold"


def test_a_record_and_the_seal_inside_are_by_one_key() -> None:
    key, other = InstallationKey.create(), InstallationKey.create()
    book = kestrel(seal_over(kestrel(), key))
    pdf, said = page_one(book, key)
    assert f"sealed 2026-11-01 07:00:00-07:00 by the key {key.fingerprint}" in said
    verdict = verify_bytes(pdf, "file")
    assert verdict.proven, verdict.findings
    pdf, said = page_one(book, other)
    assert f"by the key {key.fingerprint}" in said, (
        "a seal of another installation is shown as it is"
    )
    told = f"The file was signed by the key {other.fingerprint}, the seal inside by another."
    assert (False, told) in verify_bytes(pdf, "file").findings


def test_a_record_says_that_its_seal_does_not_hold() -> None:
    """An entry is gone; the body is not of its form; its signature is none; there are two keys."""
    key = InstallationKey.create()
    good = seal_over(kestrel(), key)
    for book in (
        kestrel(good, without=-1),
        kestrel(seal_over(kestrel(), key, heads=[])),
        kestrel(seal_over(kestrel(), key, signature="AA")),
        kestrel(good, seal_over(kestrel(good), InstallationKey.create())),
    ):
        pdf, said = page_one(book, key)
        assert BROKEN in said
        assert "by the key" not in said
        assert not verify_bytes(pdf, "file").proven
    assert BROKEN not in page_one(kestrel(), key)[1]


def test_a_late_branch_of_a_fork_leaves_a_sealed_record_sealed() -> None:
    key = InstallationKey.create()
    first = next(e for e in kestrel().entries if e.seq > 1 and e.shift)
    clone = Scribe(first.device, first.by, "kestrel")
    clone.pen = Pen(first.device, first.by, first.seq - 1, first.prev)
    seal = seal_over(kestrel(), key)
    late = clone.write("note", {"text": "from the copy"}, shift=first.shift)
    pdf, said = page_one(kestrel(seal, late), key)
    assert "by the key" in said
    assert verify_bytes(pdf, "file").proven


def test_a_bundle_goes_out_without_the_attachments_that_are_not_there(tmp_path: Path) -> None:
    key = InstallationKey.create()
    with open_store(tmp_path / "books.sqlite") as store:
        kept = store.attach(b"an invented photo")
        phone, shift = Scribe("phone-9", "cy", "kestrel"), kestrel().latest()
        names = (kept, "0" * 64, "../books.sqlite")
        photos = [phone.write("photo", {"file": name}, shift=shift) for name in names]
        book = kestrel(*photos)
        found = unbundle(make_bundle(kestrel(*photos, seal_over(book, key)), shift, store), "b")
    assert found["missing.txt"] == b"../books.sqlite\n" + b"0" * 64 + b"\n"
    assert found[f"attachments/{kept}"] == b"an invented photo"
    wrong = [says for good, says in check(found) if not good]
    assert wrong == ["2 attachments are named but not here."]


def spoilt_inside(raw: bytes, rng: random.Random) -> bytes:
    """A sound zip file with one of its members spoilt, as somebody would who means it."""
    members = unbundle(raw, "raw")
    name = rng.choice(("entries.jsonl", "entries.jsonl", "sealed.txt"))
    return bundle({**members, name: spoilt(members[name], rng)}, {})


def check_files(
    raw: bytes, count: int, seed: int, spoil: Callable[[bytes, random.Random], bytes] = spoilt
) -> list[str]:
    """Spoilt files are refused with a sentence, or something in them is not proven."""
    rng, reasons = random.Random(seed), []
    for _ in range(count):
        made = spoil(raw, rng)
        try:
            verdict = verify_bytes(made, "file")
        except FileRefused as refused:
            reasons.append(str(refused))
            continue
        assert made == raw or not verdict.proven or same_members(made, raw)
        assert all(says for _, says in verdict.findings)
    assert all(reason.endswith((".", "?")) for reason in reasons)
    return reasons


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


def test_a_bundle_spoilt_inside_is_not_proven() -> None:
    refused = check_files(sealed_bundle(), 300, 4, spoilt_inside)
    assert len(refused) < 100, "most must get as far as the checks"


@pytest.mark.long
def test_ten_thousand_spoilt_entries() -> None:
    check_entries(10_000, seed=5)


@pytest.mark.long
def test_thousands_of_bundles_spoilt_inside() -> None:
    assert len(check_files(sealed_bundle(), 5_000, 6, spoilt_inside)) < 1_700


LONG: Sequence[tuple[Callable[[], bytes], int]] = [(sealed_bundle, 4_000), (signed_record, 1_000)]


@pytest.mark.long
@pytest.mark.parametrize(("make", "count"), LONG)
def test_ten_thousand_spoilt_files_to_verify(make: Callable[[], bytes], count: int) -> None:
    check_files(make(), count, seed=6)
