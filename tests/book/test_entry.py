"""The one text of an entry, its hash, and every way in which an envelope isn't intact."""

import hashlib
import json
from typing import Any

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from matbook.book.entry import (
    DEEPEST,
    LARGEST_TEXT,
    canonical,
    envelope,
    hash_of,
    moment,
    read_entry,
)
from matbook.errors import EntryRefused

DATA: dict[str, Any] = {
    "at": "2026-05-12T09:41:00-04:00",
    "body": {"net": {"unit": "t", "value": "22.40"}},
    "by": "ana",
    "device": "phone-1",
    "id": "0199c82c-c000-7000-8000-000000000000",
    "job": "ridge",
    "kind": "load",
    "prev": "0" * 64,
    "seq": 2,
    "v": 1,
    "written": "2026-05-12T09:41:07.25-04:00",
}
TEXT = canonical(DATA)


# The text


KEYS = st.text(st.characters(max_codepoint=127), max_size=5)
VALUES = st.recursive(
    st.text() | st.integers(1 - 2**53, 2**53 - 1),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS, inner, max_size=4),
    max_leaves=DEEPEST,
)


def depth(value: object) -> int:
    inner = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    return max((1 + depth(item) for item in inner), default=0)


@given(st.dictionaries(KEYS, VALUES, max_size=5).filter(lambda value: depth(value) <= DEEPEST))
def test_the_text_is_the_one_that_rfc_8785_gives(value: dict[str, Any]) -> None:
    assert canonical(value).encode() == rfc8785.dumps(value)


@given(body=st.dictionaries(KEYS, VALUES, max_size=5).filter(lambda body: depth(body) < DEEPEST))
def test_an_entry_reads_back_as_it_was_written(body: dict[str, Any]) -> None:
    entry = read_entry(canonical({**DATA, "body": body}))
    assert entry.body == body
    assert entry.hash == hashlib.sha256(rfc8785.dumps({**DATA, "body": body})).hexdigest()


OUTSIDE = [place for place in range(len(TEXT) + 1) if TEXT[:place].count('"') % 2 == 0]


@given(place=st.sampled_from(OUTSIDE), space=st.sampled_from(" \t\n\r"))
def test_a_space_between_is_refused(place: int, space: str) -> None:
    other = TEXT[:place] + space + TEXT[place:]
    assert json.loads(other) == DATA
    with pytest.raises(EntryRefused):
        envelope(other)


@pytest.mark.parametrize(
    "other",
    [
        json.dumps(DATA, sort_keys=True),
        json.dumps(DATA, separators=(",", ":"))[:-1] + ',"a":1}',
        TEXT.replace('"by":"ana"', '"by":"ana","by":"ana"'),
        TEXT.replace("ana", "\\u0061na"),
        TEXT.replace("ana", "a\\/na"),
        TEXT.replace("ana", "\\ud83d\\ude00"),
        TEXT.replace("ana", "\\ud83d"),
        TEXT.replace('"seq":2', '"seq":-0'),
        TEXT + "\n",
        TEXT + "x",
        TEXT + TEXT,
    ],
)
def test_only_the_one_form_is_taken(other: str) -> None:
    with pytest.raises(EntryRefused, match="one form"):
        envelope(other)


def test_strings_are_escaped_as_rfc_8785_shows() -> None:
    """RFC 8785 (2020), section 3.2.2: the string of its sample object, from memory."""
    value = json.loads('{"string":"\\u20ac$\\u000F\\u000aA\'\\u0042\\u0022\\u005c\\\\\\"\\/"}')
    assert canonical(value) == '{"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'


def test_the_hash_is_sha_256() -> None:
    """FIPS 180-4 example (one block, “abc”), from memory."""
    expected = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert hash_of("abc") == expected
    assert hash_of("é") == hashlib.sha256(b"\xc3\xa9").hexdigest()


# What isn't an intact envelope


def changed(**fields: object) -> dict[str, Any]:
    return {name: value for name, value in {**DATA, **fields}.items() if value is not None}


def nested(levels: int) -> dict[str, Any]:
    return {"x": nested(levels - 1)} if levels else {}


@pytest.mark.parametrize("name", ["at", "by", "device", "id", "job", "kind", "prev", "written"])
def test_a_field_that_is_missing_or_no_text_is_refused(name: str) -> None:
    for value in (None, 7, ["x"], {"x": "y"}):
        with pytest.raises(EntryRefused, match=f"“{name}” is missing or isn't text"):
            envelope(canonical(changed(**{name: value})))


@pytest.mark.parametrize("name", ["seq", "v"])
@pytest.mark.parametrize("value", [None, 0, -1, "1", [1]])
def test_a_number_that_counts_must_be_whole_from_one(name: str, value: object) -> None:
    with pytest.raises(EntryRefused, match=f"“{name}” must be a whole number from 1"):
        envelope(canonical(changed(**{name: value})))


@pytest.mark.parametrize("name", ["instrument", "shift", "strikes", "why"])
def test_a_field_that_may_be_missing_is_text(name: str) -> None:
    assert envelope(canonical(changed(**{name: "x\ny"})))[name] == "x\ny"
    with pytest.raises(EntryRefused, match=f"“{name}” isn't text"):
        envelope(canonical(changed(**{name: 1})))


@pytest.mark.parametrize("name", ["body", "place", "saw"])
def test_a_field_with_parts_is_an_object(name: str) -> None:
    assert envelope(canonical(changed(**{name: {}})))[name] == {}
    for value in ("x", 1, ["x"]):
        with pytest.raises(EntryRefused, match=f"“{name}” isn't an object"):
            envelope(canonical(changed(**{name: value})))


@pytest.mark.parametrize("name", ["job", "kind", "device"])
def test_names_are_plain(name: str) -> None:
    for good in ("a", "9", "a-", "north-2", "x" * 64):
        assert envelope(canonical(changed(**{name: good})))[name] == good
    for bad in ("", "-a", "A", "a b", "a_b", "ä", "a\n", "x" * 65, "../a"):
        with pytest.raises(EntryRefused, match=f"“{name}” is “(?s:.*)lower-case"):
            envelope(canonical(changed(**{name: bad})))


@pytest.mark.parametrize(
    "bad",
    [
        "",
        "0199c82cc00070008000000000000000",
        "0199C82C-C000-7000-8000-000000000000",
        "0199c82c-c000-4000-8000-000000000000",
        "0199c82c-c000-7000-c000-000000000000",
        "0199c82c-c000-7000-8000-000000000000\n",
    ],
)
def test_an_id_is_a_uuid_of_version_7(bad: str) -> None:
    with pytest.raises(EntryRefused, match="UUID, version 7"):
        envelope(canonical(changed(id=bad)))


@pytest.mark.parametrize("bad", ["x", "0" * 63, "A" * 64, "0" * 64 + "\n"])
def test_the_entry_before_is_named_by_its_hash(bad: str) -> None:
    with pytest.raises(EntryRefused, match="“prev” must be the hash"):
        envelope(canonical(changed(prev=bad)))


def test_only_the_first_entry_has_none_before_it() -> None:
    assert envelope(canonical(changed(seq=1, prev="")))["prev"] == ""
    for wrong in (changed(seq=1), changed(prev="")):
        with pytest.raises(EntryRefused, match="Only a device's first entry"):
            envelope(canonical(wrong))


@pytest.mark.parametrize(
    "good",
    [
        "2026-05-12T09:41:00-04:00",
        "2024-02-29T23:59:59.999999+14:00",
        "2026-05-12T00:00:00.5+00:00",
        "0001-01-01T00:00:00-00:00",
    ],
)
def test_a_moment_has_its_offset(good: str) -> None:
    assert moment(good).utcoffset() is not None
    assert envelope(canonical(changed(at=good)))["at"] == good


@pytest.mark.parametrize(
    "bad",
    [
        "",
        "2026-05-12",
        "2026-05-12T09:41:00",
        "2026-05-12T09:41:00Z",
        "2026-05-12 09:41:00-04:00",
        "2026-05-12T09:41-04:00",
        "2026-02-30T09:41:00-04:00",
        "0000-01-01T00:00:00+00:00",
        "2026-05-12T24:00:00-04:00",
        "2026-05-12T09:60:00-04:00",
        "2026-05-12T09:41:60-04:00",
        "2026-05-12T09:41:00-24:00",
        "2026-05-12T09:41:00-04:75",
        "2026-05-12T09:41:00.1234567-04:00",
        "2026-05-12T09:41:00-04:00\n",
        "٢٠٢٦-05-12T09:41:00-04:00",
    ],
)
def test_a_moment_that_can_not_be_read_is_refused(bad: str) -> None:
    for name in ("at", "written"):
        with pytest.raises(EntryRefused, match="date and time with its offset"):
            envelope(canonical(changed(**{name: bad})))


@pytest.mark.parametrize(
    ("body", "reason"),
    [
        ("1.5", "1.5 is a fraction"),
        ("1e3", "1e3 is a fraction"),
        ("NaN", "NaN is a fraction"),
        ("-Infinity", "-Infinity is a fraction"),
        ("true", "holds True"),
        ("null", "holds None"),
        ("9007199254740992", "must be below 2\\^53"),
        ("-9007199254740992", "must be below 2\\^53"),
        ("9" * 5000, "not the JSON"),
        ('{"é":1}', "keys must be ASCII"),
        ('[{"é":1}]', "keys must be ASCII"),
        ("[[1],[[1.5]]]", "is a fraction"),
        ("[" * 100_000, "not the JSON"),
        ("{", "not the JSON"),
        ("", "not the JSON"),
    ],
)
def test_what_is_written_differently_elsewhere_is_refused(body: str, reason: str) -> None:
    text = TEXT.replace(canonical(DATA["body"]), body)
    with pytest.raises(EntryRefused, match=reason):
        envelope(text)


def test_whole_numbers_reach_to_two_to_the_53() -> None:
    body = {"most": 2**53 - 1, "least": 1 - 2**53}
    assert read_entry(canonical(changed(body=body))).body == body


def test_nesting_has_an_end() -> None:
    assert envelope(canonical(changed(body=nested(DEEPEST - 1))))
    with pytest.raises(EntryRefused, match="nested more than 8 deep"):
        canonical(changed(body=nested(DEEPEST)))


@pytest.mark.parametrize("value", [{1: "x"}, {"x": 1.0}, {"x": ("y",)}, {"x": b"y"}])
def test_only_what_json_has_is_written(value: dict[Any, Any]) -> None:
    with pytest.raises(EntryRefused):
        canonical(value)


@pytest.mark.parametrize("text", ["[]", '"x"', "1", "null"])
def test_an_entry_is_an_object(text: str) -> None:
    with pytest.raises(EntryRefused, match="not a JSON object"):
        envelope(text)


def test_a_text_is_measured_in_bytes() -> None:
    room = LARGEST_TEXT - len(canonical(changed(body={"x": ""})))
    assert read_entry(canonical(changed(body={"x": "y" * room})))
    for text in ("y" * (room + 1), "é" * (room // 2 + 1)):
        with pytest.raises(EntryRefused, match="at most 262144 are allowed"):
            read_entry(canonical(changed(body={"x": text})))


def test_half_a_character_is_refused() -> None:
    with pytest.raises(EntryRefused, match="half a character"):
        read_entry(TEXT.replace("ana", "\ud83d"))


def test_a_text_that_is_not_the_one_it_is_said_to_be_is_refused() -> None:
    assert read_entry(TEXT, hash_of(TEXT)).text == TEXT
    with pytest.raises(EntryRefused, match="was changed after it was written"):
        read_entry(TEXT.replace("22.40", "24.20"), hash_of(TEXT))


# The opened entry


def test_the_envelope_is_read_by_name() -> None:
    more = {
        "shift": "ridge/2026-05-12/a/day",
        "place": {"lane": "1"},
        "instrument": "t-3",
        "strikes": "x",
        "why": "typed wrong",
    }
    entry = read_entry(canonical(changed(**more)))
    assert (entry.id, entry.job, entry.kind, entry.v) == (DATA["id"], "ridge", "load", 1)
    assert (entry.by, entry.device, entry.seq, entry.prev) == ("ana", "phone-1", 2, "0" * 64)
    assert (entry.shift, entry.place, entry.instrument) == (more["shift"], more["place"], "t-3")
    assert (entry.strikes, entry.why, entry.body) == ("x", "typed wrong", DATA["body"])
    assert entry.at.isoformat() == DATA["at"]
    assert entry.written > entry.at


def test_what_is_left_out_is_empty() -> None:
    entry = read_entry(canonical(changed(body=None)))
    assert (entry.shift, entry.instrument, entry.strikes, entry.why) == ("", "", "", "")
    assert (entry.place, entry.body) == ({}, {})


def test_reading_order_is_by_instant_not_by_the_clock_on_the_wall() -> None:
    early = read_entry(canonical(changed(at="2026-11-01T01:30:00-04:00")))
    late = read_entry(canonical(changed(at="2026-11-01T01:10:00-05:00")))
    assert early.order < late.order
