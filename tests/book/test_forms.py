"""Bodies opened by their forms: quarantine is worked out, and old versions are brought up."""

from dataclasses import replace

import pytest

from matbook.book.forms import opened
from matbook.book.kinds import kind_named, kinds
from tests.scribe import Scribe


def test_a_good_body_opens() -> None:
    entry = Scribe().write("width", {"width": "3.65 m"}, place={"lane": "E", "offset": "1.2 m"})
    assert opened(entry).trouble == ""


@pytest.mark.parametrize(
    ("kind", "body", "place", "why"),
    [
        ("widht", {}, {}, "not known here"),
        ("width", {}, {}, "width is “”"),
        ("width", {"width": "3.65 m"}, {"colour": "red"}, "no such field"),
        ("width", {"width": "3.65 m"}, {"lane": ""}, "text of 1 to 64"),
        ("width", {"width": "3.65 m"}, {"offset": "far"}, "a length with its unit"),
        ("width", {"width": "3.65 m"}, {"offset": "3 t"}, "a length with its unit"),
        ("width", {"width": "3.65 m"}, {"fix": "here"}, "an object"),
    ],
)
def test_what_cannot_be_opened_says_why(
    kind: str, body: dict[str, str], place: dict[str, str], why: str
) -> None:
    entry = Scribe().write(kind, body, place=place)
    found = opened(entry)
    assert why in found.trouble
    assert found.body == entry.body


def test_a_newer_version_waits_in_quarantine() -> None:
    entry = Scribe().write("width", {"width": "3.65 m"}, v=2)
    assert "version 2" in opened(entry).trouble


def test_an_older_version_is_brought_up_step_by_step() -> None:
    forms = {**kinds(), "width": replace(kind_named("width"), v=3)}
    ups = {
        ("width", 1): lambda body: {"across": body["w"]},
        ("width", 2): lambda body: {"width": body["across"]},
    }
    old = Scribe().write("width", {"w": "3.65 m"})
    assert opened(old, forms, ups).body == {"width": "3.65 m"}
    assert opened(old, forms, ups).trouble == ""
