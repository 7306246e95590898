"""Corrections name only what changes; moments and files are typed the short way."""

import hashlib
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from matbook.book.entry import read_entry
from matbook.bootstrap import open_installation
from matbook.cli.shared import moment_of
from matbook.errors import NotFound
from tests.cli.conftest import LOAD, Site, load

AT = "2026-05-12T07:30:00-03:00"
NEXT_DAY = "2026-05-13T06:30:00-03:00"


def written(site: Site, id_: str) -> dict[str, Any]:
    """An entry's own data, whichever shift it belongs to."""
    with open_installation(site.folder / "home").store as store:
        kept = store.entry("ridge", id_)
        return dict(read_entry(kept.text, kept.hash).data)


def correct(site: Site, struck: str, *said: str, kind: str = "load") -> dict[str, Any]:
    options = ("--by", "ana", "--strikes", struck, "--why", "misread")
    return written(site, site.json("add", kind, *said, *options)["id"])


def test_a_correction_names_only_what_changes(open_shift: Site) -> None:
    first = load(open_shift, 101, "3+043", "from=3+000", at=AT, instrument="probe-1")
    before = written(open_shift, first)
    open_shift.add("shift-open", shift="2026-05-13/a/day", at=NEXT_DAY)
    after = correct(open_shift, first, "net=22.60 t")
    assert after["strikes"] == first
    assert after["body"] == {**before["body"], "net": "22.60 t"}
    for same in ("shift", "at", "place", "instrument"):
        assert after[same] == before[same]
    loads = open_shift.json("show", "loads", "--shift", "2026-05-12/a/day")
    assert [row["net"] for row in loads] == ["22.60 t"]


def test_a_correction_changes_place_time_and_takes_fields_away(open_shift: Site) -> None:
    first = load(open_shift, 101, "3+043", "from=3+000", at=AT)
    after = correct(open_shift, first, "to=3+050", "temp=", "from=", "--at", "07:25")
    assert after["place"]["to"] == "3+050"
    assert "from" not in after["place"]
    assert "temp" not in after["body"]
    assert after["at"] == "2026-05-12T07:25:00-03:00"
    assert after["place"]["lane"] == "E"


def test_the_beginning_of_an_id_is_enough(open_shift: Site) -> None:
    first = load(open_shift, 101, "3+043", at=AT)
    assert correct(open_shift, first[:-2].upper(), "net=21.00 t")["strikes"] == first


def test_a_withdrawal_takes_shift_and_moment_alone(open_shift: Site) -> None:
    first = load(open_shift, 101, "3+043", at=AT)
    open_shift.add("shift-open", shift="2026-05-13/a/day", at=NEXT_DAY)
    note = correct(open_shift, first, "text=entered twice", kind="note")
    assert (note["shift"], note["at"]) == ("ridge/2026-05-12/a/day", AT)
    assert note["body"] == {"text": "entered twice"}
    assert "place" not in note
    assert open_shift.json("show", "loads", "--shift", "2026-05-12/a/day") == []


def test_what_cannot_be_struck_says_so(open_shift: Site) -> None:
    first = load(open_shift, 101, "3+043", at=AT)
    load(open_shift, 102, "3+086", at=AT)
    open_shift.add("shift-open", shift="2026-05-13/a/day", at=NEXT_DAY)
    why = ("--by", "ana", "--why", "x")
    for strikes, says in (
        (first[:7], "8 or more characters"),
        ("ffffffff-0000", "There is no entry “ffffffff-0000”"),
        (first[:8], "ids begin like this"),
    ):
        done = open_shift.run("add", "load", "net=1 t", "--strikes", strikes, *why, code=2)
        assert says in done.output
    other = ("--strikes", first, "--shift", "2026-05-13/a/day")
    assert "leave --shift out" in open_shift.run("add", "load", *other, *why, code=2).output
    assert "go together" in open_shift.run("add", "note", "text=x", *why, code=2).output


NOW = datetime.fromisoformat("2026-05-13T00:10:30-03:00")


@pytest.mark.parametrize(
    ("typed", "means"),
    [
        ("23:50", "2026-05-12T23:50:00-03:00"),
        ("00:05", "2026-05-13T00:05:00-03:00"),
        ("00:20", "2026-05-13T00:20:00-03:00"),
        ("00:21", "2026-05-12T00:21:00-03:00"),
        ("2026-05-13T14:00", "2026-05-13T14:00:00-03:00"),
    ],
)
def test_a_time_of_day_is_the_latest_such_moment(typed: str, means: str) -> None:
    assert moment_of(typed, NOW, "--at") == datetime.fromisoformat(means)


def test_just_before_midnight_a_few_minutes_ahead_is_tomorrow() -> None:
    late = NOW.replace(hour=23, minute=58)
    assert moment_of("00:03", late, "--at") == datetime.fromisoformat("2026-05-14T00:03:00-03:00")


def test_in_a_correction_a_time_of_day_is_the_nearest() -> None:
    half = timedelta(hours=12)
    assert moment_of("23:50", NOW, "--at", half) == NOW.replace(
        day=12, hour=23, minute=50, second=0
    )
    assert moment_of("09:00", NOW, "--at", half) == NOW.replace(hour=9, minute=0, second=0)


def test_a_file_named_by_its_path_is_kept_with_the_book(open_shift: Site, tmp_path: Path) -> None:
    raw = b"a photo, as it were"
    sha256 = hashlib.sha256(raw).hexdigest()
    photo = tmp_path / "ticket.jpg"
    photo.write_bytes(raw)
    cases: tuple[tuple[str, tuple[str, ...]], ...] = (
        ("photo", ()),
        ("signature", ("of=tie-out", "name=Ana")),
        ("load", (*LOAD, "ticket=9")),
    )
    for kind, more in cases:
        assert (
            written(open_shift, open_shift.add(kind, f"file={photo}", *more))["body"]["file"]
            == sha256
        )
    with open_installation(open_shift.folder / "home").store as store:
        assert store.attachment(sha256) == raw
        with pytest.raises(NotFound):
            store.attachment("0" * 64)
    as_hash = open_shift.add("photo", f"file={'ab' * 32}")
    assert written(open_shift, as_hash)["body"]["file"] == "ab" * 32
    for wrong in (tmp_path / "no.jpg", tmp_path, "a\0b"):
        done = open_shift.run("add", "photo", f"file={wrong}", "--by", "ana", code=2)
        assert "must be a file that is there" in done.output
