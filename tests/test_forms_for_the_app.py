"""The forms that the app fills in are the book's own, with pads in the job's units."""

import json
from typing import Any

import pytest

from matbook.book.kinds import kinds
from matbook.desk.forms import COMMONEST
from matbook.engine.units import dimension
from tools.write_forms import FILE, forms, text


def test_the_file_is_current() -> None:
    assert FILE.read_text(encoding="utf-8") == text()


def test_every_kind_and_field_is_there() -> None:
    found = json.loads(text())["kinds"]
    assert [*found] == [*kinds()]
    for name, kind in kinds().items():
        assert [field["name"] for field in found[name]["fields"]] == [*kind.fields]


def test_the_app_has_the_same_eight_in_reach() -> None:
    assert json.loads(text())["commonest"] == list(COMMONEST)


def test_every_pad_writes_a_unit_of_what_its_field_measures() -> None:
    pads = 0
    for name, kind in kinds().items():
        for one in forms()[name]["fields"]:
            for system in ("metric", "us"):
                if one[system]:
                    pads += 1
                    assert dimension(one[system]["unit"]) == kind.fields[one["name"]].of
                    assert one[system]["low"] < one[system]["high"]
    assert pads > 80


@pytest.mark.parametrize(
    ("kind", "field", "metric", "us"),
    [
        ("load", "net", ("t", 0.0, 80.0), ("ton", 0.0, 88.2)),
        ("load", "temp", ("degC", 0.0, 250.0), ("degF", 32.0, 482.0)),
        ("loose-depth", "depth", ("mm", 5.0, 600.0), ("in", 0.2, 23.6)),
        ("core", "dry", ("g", 0.0, 50000.0), ("g", 0.0, 50000.0)),
    ],
)
def test_ranges_are_in_the_pads_own_unit(
    kind: str, field: str, metric: tuple[Any, ...], us: tuple[Any, ...]
) -> None:
    found = next(one for one in forms()[kind]["fields"] if one["name"] == field)
    for system, (unit, low, high) in (("metric", metric), ("us", us)):
        one = found[system]
        assert (one["unit"], one["low"], one["high"]) == (unit, low, high)
