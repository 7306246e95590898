"""Entries as JSON lines: every text comes back exactly, and a bad line spoils no other."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from matbook.errors import FileRefused
from matbook.records.lines import LONGEST_LINE, from_lines, to_lines


@given(st.lists(st.tuples(st.text(), st.text()), min_size=1))
def test_texts_come_back_exactly(pairs: list[tuple[str, str]]) -> None:
    data = "".join(to_lines(pairs)).encode("ascii")
    assert data.count(b"\n") == len(pairs)
    assert from_lines(data, "x.jsonl") == (pairs, [])


def test_bad_lines_are_kept_apart_with_their_number_and_reason() -> None:
    good = "".join(to_lines([("h1", "t1"), ("h2", "t2")])).encode()
    first, second = good.splitlines()
    data = b"\xef\xbb\xbf" + b"\n".join([
        first, b"", b"junk", b"\xff{}", b"[1]", b'{"hash": "h"}', b'{"hash": 1, "text": "t"}',
        b"[" * 100_000, second + b"\r", b" " * LONGEST_LINE + b"x",
    ])  # fmt: skip
    pairs, refused = from_lines(data, "x.jsonl")
    assert pairs == [("h1", "t1"), ("h2", "t2")]
    long = f"The line has {LONGEST_LINE + 1} bytes; an entry never takes that many."
    assert [(line.line, line.reason.split(":")[0]) for line in refused] == [
        (3, "The line is not JSON"),
        (4, "The line is not JSON"),
        (5, 'The line must be {"hash"'),
        (6, 'The line must be {"hash"'),
        (7, "The line's hash and text must be texts."),
        (8, "The line is not JSON"),
        (10, long),
    ]
    assert refused[1].raw == b"\xff{}"


@pytest.mark.parametrize("data", [b"", b"\n \n", b"\xef\xbb\xbf"])
def test_a_file_with_nothing_in_it(data: bytes) -> None:
    with pytest.raises(FileRefused, match=r"x\.jsonl: there is no line in it"):
        from_lines(data, "x.jsonl")
