"""The verifier: whatever is changed, taken out, put in or swapped under a seal is found."""

import hashlib
import json
import random
import subprocess
import sys
import zipfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from matbook.book.entry import Entry, canonical, read_entry
from matbook.book.pen import Pen
from matbook.errors import FileRefused
from matbook.records.bundle import bundle, lines, members, unbundle
from matbook.records.verifier import check, main
from matbook.seal.keys import InstallationKey
from matbook.seal.sealing import sealed_list
from tests.scribe import SHIFT, Scribe
from tests.seal.test_sealing import BAD_BODIES, sealed

PHOTO = b"an invented photo"


def shift() -> tuple[list[Entry], Entry]:
    """Two devices' entries, and the seal over them."""
    ana, ben = Scribe(), Scribe("phone-2", "ben")
    entries = [ana.write("plan", {"toml": "matbook = 1"}, -60)]
    for n in range(8):
        entries.append((ana, ben)[n % 2].write("note", {"text": f"seen {n}"}, n))
    return entries, sealed(entries)


def files() -> dict[str, bytes]:
    entries, seal = shift()
    return members([*entries, seal], SHIFT, seal)


def proven(found: dict[str, bytes]) -> bool:
    findings = list(check(found))  # all of them, so that nothing that follows breaks unseen
    return all(good for good, _ in findings)


def test_an_untouched_bundle_is_proven() -> None:
    findings = list(check(files()))
    assert all(good for good, _ in findings), findings
    assert any("All 9 entries under the seal are here." in says for _, says in findings)


def test_a_late_arrival_and_an_addendum_are_named_and_break_nothing() -> None:
    entries, seal = shift()
    ana = Scribe("phone-3", "cy")
    late, after = ana.write("note", {"text": "late"}, 5), ana.write("note", {"text": "more"}, 900)
    found = list(check(members([*entries, seal, late, after], SHIFT, seal)))
    assert all(good for good, _ in found)
    assert any(
        says.startswith("2 entries are here but not under the seal;") and "twice" not in says
        for _, says in found
    )


def changed(number: int, **change: object) -> dict[str, bytes]:
    """The bundle with one field of one entry's text changed, hash and all."""
    entries, seal = shift()
    text = canonical(json.loads(entries[number].text) | change)
    everything = [*entries[:number], read_entry(text), *entries[number + 1 :], seal]
    return members([*entries, seal], SHIFT, seal) | {"entries.jsonl": lines(everything)}


def test_an_entry_rewritten_with_a_new_hash_is_found() -> None:
    assert not proven(changed(4, body={"text": "never said"}))
    assert not proven(changed(4, at="2026-05-12T07:30:00-03:00"))


def test_an_entry_whose_text_no_longer_has_its_hash_is_found() -> None:
    found = files()
    found["entries.jsonl"] = found["entries.jsonl"].replace(b"seen 3", b"seen 4")
    assert not proven(found)


@pytest.mark.parametrize("at", range(9))
def test_an_entry_taken_out_is_found(at: int) -> None:
    found = files()
    rows = found["entries.jsonl"].splitlines(keepends=True)
    found["entries.jsonl"] = b"".join(rows[:at] + rows[at + 1 :])
    assert not proven(found)


def test_two_entries_that_change_places_in_the_chain_are_found() -> None:
    """Swapping what two entries say needs new hashes, and those are not under the seal."""
    entries, seal = shift()
    ana = Scribe()
    swapped = [ana.write("plan", {"toml": "matbook = 1"}, -60)]
    swapped += [ana.write("note", {"text": f"seen {n}"}, n) for n in (2, 0, 4, 6)]
    others = [entry for entry in entries if entry.device == "phone-2"]
    good = members([*entries, seal], SHIFT, seal)
    assert not proven(good | {"entries.jsonl": lines([*swapped, *others, seal])})


def test_the_order_of_lines_means_nothing() -> None:
    found = files()
    rows = found["entries.jsonl"].splitlines(keepends=True)
    found["entries.jsonl"] = b"".join(reversed(rows))
    assert proven(found)


def test_a_list_shortened_together_with_its_entry_is_found() -> None:
    found = files()
    rows = found["sealed.txt"].splitlines(keepends=True)
    gone = rows.pop(4).split()[2]
    found["sealed.txt"] = b"".join(rows)
    entries = found["entries.jsonl"].splitlines(keepends=True)
    found["entries.jsonl"] = b"".join(row for row in entries if gone not in row)
    assert not proven(found)


def test_a_seal_made_with_another_key_shows_another_key() -> None:
    """It can't be told from the file alone: that is why the key's words are compared."""
    entries, seal = shift()
    other = InstallationKey.create()
    body = dict(seal.body) | {"key": other.public_text}
    forged = Scribe("installation-1", "installation").write("seal", body, 600)
    assert not proven(members([*entries, forged], SHIFT, forged))


def test_nothing_on_the_list_may_be_kept_back() -> None:
    """A list of what was withheld is no reason to miss it."""
    found = files()
    rows = found["entries.jsonl"].splitlines(keepends=True)
    kept_back = json.loads(rows[3])["hash"]
    found["entries.jsonl"] = b"".join(rows[:3] + rows[4:])
    found["withheld.txt"] = f"{kept_back}\n".encode()
    assert (False, "1 entries under the seal are missing.") in list(check(found))


def made(entries: Sequence[Entry], listed: Sequence[Entry]) -> dict[str, bytes]:
    """A bundle put together by hand."""
    return {"entries.jsonl": lines(entries), "sealed.txt": sealed_list(listed).encode()}


@pytest.mark.parametrize(("linked", "at"), [(True, "18:00"), (True, "16:00"), (False, "18:00")])
def test_only_the_list_of_the_latest_seal_will_do(linked: bool, at: str) -> None:
    """Later, or naming the other whatever the clocks say: what came in between can't be dropped."""
    entries, seal = shift()
    later = Scribe("phone-9", "cy").write("note", {"text": "bad news"}, 20)
    last = sealed([*entries, seal, later], seal.hash if linked else "", at=at)
    whole = [*entries, seal, later, last]
    assert proven(members(whole, SHIFT, last))
    for here in (whole, [*entries, seal, last]):
        findings = list(check(made(here, entries)))
        assert any("not the one of the latest seal" in says for good, says in findings if not good)


def test_seals_by_different_keys_are_not_proven() -> None:
    """A genuine seal beside a list by somebody else's key."""
    entries, seal = shift()
    cut = entries[:5]
    other = InstallationKey.create()
    forged = sealed([*cut, seal], seal.hash, key=other, at="18:00")
    findings = list(check(members([*cut, seal, forged], SHIFT, forged)))
    assert any("different keys" in says for good, says in findings if not good)
    assert any(f"latest seal, by key {other.fingerprint}" in says for _, says in findings)


def test_another_shifts_seal_and_list_do_not_cover_this_one() -> None:
    entries, _ = shift()
    elsewhere = "ridge/2026-05-11/a/day"
    others = [Scribe("phone-5").write("note", {"text": "o"}, shift=elsewhere)]
    seal = sealed(others, shift=elsewhere)
    assert proven(made([*others, seal], others))
    findings = list(check(made([*entries, *others, seal], others)))
    assert (False, "Entries of 1 jobs and 2 shifts are mixed here.") in findings
    assert not proven(made([*entries, seal], others))


def branch(after: Entry) -> Entry:
    """What a copy of this entry's device wrote next."""
    ana = Scribe(after.device)
    ana.pen = Pen(after.device, "ana", after.seq, after.hash)
    return ana.write("note", {"text": "backdated"}, 3)


def test_what_is_not_under_the_seal_is_counted_and_so_are_numbers_used_twice() -> None:
    entries, seal = shift()
    found = members([*entries, branch(entries[1]), seal], SHIFT, seal)
    assert proven(found)
    says = [said for _, said in check(found)]
    assert (
        "1 entries are here but not under the seal; nothing shows when they were written. "
        "1 of their numbers are used twice."
    ) in says
    assert "All 9 entries under the seal are here." in says


def test_an_entry_that_follows_another_device_is_found() -> None:
    entries, seal = shift()
    here, other = entries[-2], entries[2]
    assert (here.device, other.device) == ("phone-1", "phone-2")
    ana = Scribe("phone-1")
    ana.pen = Pen("phone-1", "ana", here.seq, other.hash)
    astray = ana.write("note", {"text": "x"}, 900)
    findings = list(check(members([*entries, seal, astray], SHIFT, seal)))
    assert (False, "1 entries do not follow the entry before them on their device.") in findings


@pytest.mark.parametrize("forged", [{"count": 999}, {"heads": {}}, {"heads": {"phone-1": 5}}])
def test_a_list_that_does_not_fit_count_and_runs_is_found(forged: dict[str, Any]) -> None:
    entries, _ = shift()
    findings = list(check(made([*entries, sealed(entries, **forged)], entries)))
    assert [says for good, says in findings if not good] == [
        "The list does not fit the count or the runs that the seal names."
    ]


@pytest.mark.parametrize("body", BAD_BODIES)
def test_a_seal_of_any_body_is_not_proven_and_never_breaks_it(body: dict[str, Any]) -> None:
    entries, seal = shift()
    bad = Scribe("installation-2", "installation").write(
        "seal", (dict(seal.body) | body) if body else {}, 600
    )
    assert not proven(made([*entries, bad], entries))
    assert not proven(made([*entries, seal, bad], entries))


def test_an_attachment_that_is_named_but_not_here_is_told() -> None:
    name = hashlib.sha256(PHOTO).hexdigest()
    photos = [
        Scribe().write("photo", {"file": name, "of": "mat"}),
        Scribe("phone-2").write("photo", {"file": "0" * 64, "of": "mat"}),
    ]
    seal = sealed(photos)
    whole = members([*photos, seal], SHIFT, seal)
    told = "attachments are named but not here."
    assert proven(whole), "a record carries none"
    assert (False, f"1 {told}") in list(check(whole | {f"attachments/{name}": PHOTO}))
    assert (False, f"2 {told}") in list(check(whole | {"missing.txt": b""}))


def test_an_attachment_that_is_not_its_original_is_found() -> None:
    name = f"attachments/{hashlib.sha256(PHOTO).hexdigest()}"
    assert proven(files() | {name: PHOTO})
    assert not proven(files() | {name: PHOTO + b"!"})


def test_a_shift_that_is_not_sealed_is_not_proven() -> None:
    entries, _ = shift()
    findings = list(check(members(entries, SHIFT, None)))
    assert (False, "No seal here covers this list of entries: the shift is not sealed.") in findings


def test_any_byte_changed_under_the_seal_is_found() -> None:
    draw = random.Random(7)
    good = files()
    for _ in range(300):
        name = draw.choice(["entries.jsonl", "sealed.txt"])
        raw = bytearray(good[name])
        at = draw.randrange(len(raw))
        raw[at] ^= 1 << draw.randrange(8)
        found = good | {name: bytes(raw)}
        same = json_lines(found) == json_lines(good) and found["sealed.txt"] == good["sealed.txt"]
        assert same or not proven(found), (name, at)


def json_lines(found: dict[str, bytes]) -> object:
    """What the lines say; a change that says the same (a space, say) is no change."""
    try:
        return [json.loads(row) for row in found["entries.jsonl"].splitlines()]
    except ValueError:
        return None


@pytest.mark.parametrize(
    "rubbish",
    [
        b"",
        b"\xff\xfe",
        b"{}\n",
        b'{"hash":1,"text":2}\n',
        b'{"hash":"a","text":"[]"}\n',
        b"[" * 5000,
    ],
)
def test_rubbish_is_not_proven_and_never_breaks_it(rubbish: bytes) -> None:
    assert not proven({"entries.jsonl": rubbish})
    assert not proven(files() | {"entries.jsonl": rubbish})


def test_the_verifier_stands_on_its_own(tmp_path: Path) -> None:
    """As a reader would run it: unpacked, with no Matbook to be found."""
    raw = bundle(files(), {})
    assert unbundle(raw, "b.zip") == files()
    (tmp_path / "b.zip").write_bytes(raw)
    for name, content in files().items():
        (tmp_path / name).write_bytes(content)
    for where in (".", "b.zip"):
        done = subprocess.run(
            [sys.executable, "-P", "verifier.py", where],
            cwd=tmp_path,
            capture_output=True,
            text=True,
        )
        assert done.returncode == 0, done.stdout + done.stderr
        assert "NOT PROVEN" not in done.stdout
    assert "import matbook" not in (tmp_path / "verifier.py").read_text()
    (tmp_path / "entries.jsonl").write_bytes(b"")
    assert main(str(tmp_path)) == 1


@pytest.mark.parametrize("raw", [b"", b"PK", b"PK\x03\x04" + bytes(40), b"not a zip at all"])
def test_what_is_no_bundle_is_refused(raw: bytes) -> None:
    with pytest.raises(FileRefused, match="can't be read as a bundle"):
        unbundle(raw, "x.zip")


def test_a_zip_of_something_else_is_refused() -> None:
    with pytest.raises(FileRefused, match="not a bundle"):
        unbundle(bundle({"a.txt": b"a"}, {}), "x.zip")


def test_what_cannot_be_read_gets_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """No argument, nothing there, no zip file, a damaged one, one of an unknown packing."""
    (tmp_path / "text").write_text("not a zip at all")
    raw = bytearray(bundle({"entries.jsonl": b"a" * 5000}, {}))
    raw[45:60] = bytes(15)
    (tmp_path / "damaged").write_bytes(raw)
    packing = bytearray(bundle({"entries.jsonl": b"a"}, {}))
    packing[packing.index(b"PK\x01\x02") + 10] = 99
    (tmp_path / "packing").write_bytes(packing)
    for name in ("nothing", "text", "damaged", "packing"):
        assert main(str(tmp_path / name)) == 2, name
        said = capsys.readouterr().out
        assert said.count("\n") == 1
        assert "can't be read as a folder or a zip file" in said
    for given in ((), ("one", "two")):
        assert main(*given) == 2
        assert capsys.readouterr().out.startswith("Name one folder or zip file")


def test_nothing_is_needed_of_a_zip_file_but_to_be_one(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "empty.zip", "w"):
        pass
    assert main(str(tmp_path / "empty.zip")) == 1
