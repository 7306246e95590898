"""The forms of all kinds: complete, self-consistent, and every check has a case."""

import pytest

from matbook.book.kinds import CHECKS, Field, faults, kind_named, kinds, unusual
from matbook.engine.units import parse, units_of
from matbook.errors import NotFound

# Every kind an inspector's shift is made of, as the docs list them.
EXPECTED = [
    "shift-open",
    "shift-close",
    "handover",
    "surface",
    "weather",
    "crew",
    "equipment",
    "traffic-control",
    "opened-to-traffic",
    "visitor",
    "incident",
    "delay",
    "extra-work",
    "quantity",
    "plant-change",
    "load",
    "placed",
    "weigh-back",
    "tie-out",
    "paver",
    "temperature",
    "loose-depth",
    "width",
    "slope",
    "overlap",
    "tack",
    "roller",
    "density",
    "gauge-check",
    "core",
    "sample",
    "custody",
    "test-result",
    "draw",
    "edge",
    "profile",
    "joint-longitudinal",
    "joint-transverse",
    "ramp",
    "straightedge",
    "markings",
    "defect",
    "notice",
    "reply",
    "instruction",
    "disagreement",
    "photo",
    "note",
    "checklist",
    "hold-point",
    "plan",
    "signature",
    "seal",
]


def test_every_kind_is_there_once() -> None:
    assert sorted(kinds()) == sorted(EXPECTED)


@pytest.mark.parametrize("name", EXPECTED)
def test_a_form_is_sound(name: str) -> None:
    form = kind_named(name)
    assert form.about[-1] in ".?"
    assert form.writers
    for field in form.fields.values():
        assert field.type in CHECKS
        if field.type == "quantity" and field.of != "any":
            units = units_of(str(field.of))
            for bound in (field.low, field.high, *(field.usual or ())):
                assert parse(str(bound)).unit in units
            assert parse(str(field.low)).si() < parse(str(field.high)).si()


GOOD = {"plant": "east", "ticket": "114", "net": "22.40 t", "decision": "taken"}


@pytest.mark.parametrize(
    ("change", "field", "allowed"),
    [
        ({"plant": ""}, "plant", "text of 1 to 64"),
        ({"decision": "maybe"}, "decision", "taken, turned away, void"),
        ({"net": "22.40"}, "net", "a mass with its unit"),
        ({"net": "22,40 t"}, "net", "written 22.40 t"),
        ({"net": "22.40 m"}, "net", "a mass with its unit"),
        ({"net": "200 t"}, "net", "from 0 t to 80 t"),
        ({"net": 22}, "net", "a mass with its unit"),
        ({"net": "22.40  t"}, "net", "written 22.40 t"),
        ({"loaded": "7:40"}, "loaded", "with its offset"),
        ({"signs": "smoke"}, "signs", "a list"),
        ({"file": "abc"}, "file", "SHA-256"),
        ({"colour": "black"}, "colour", "no such field"),
    ],
)
def test_a_fault_names_field_value_and_what_is_allowed(
    change: dict[str, object], field: str, allowed: str
) -> None:
    found = faults(kind_named("load"), GOOD | change)
    assert [fault.field for fault in found] == [field]
    assert allowed in str(found[0])


def test_a_good_body_has_no_fault_and_a_missing_field_is_one() -> None:
    assert faults(kind_named("load"), GOOD) == []
    missing = faults(kind_named("load"), {})
    assert [fault.field for fault in missing] == ["plant", "decision"]


@pytest.mark.parametrize(
    ("name", "body", "good"),
    [
        ("crew", {"craft": "raker", "count": 3}, True),
        ("crew", {"craft": "raker", "count": 3000}, False),
        ("crew", {"craft": "raker", "count": "3"}, False),
        ("quantity", {"item": "4.1", "amount": "12 m3", "basis": "measured"}, True),
        ("quantity", {"item": "4.1", "amount": "a lot", "basis": "measured"}, False),
        ("handover", {"to": "ben", "step": "given", "matters": ["x"]}, True),
        ("handover", {"to": "", "step": "given", "matters": [""]}, False),
        ("seal", {"heads": [], "count": 1, "list": "x", "key": "k", "signature": "s"}, False),
    ],
)
def test_other_types_of_field(name: str, body: dict[str, object], good: bool) -> None:
    assert (faults(kind_named(name), body) == []) is good


def test_unusual_is_kept_and_named() -> None:
    form = kind_named("load")
    assert unusual(form, GOOD) == []
    assert [fault.field for fault in unusual(form, GOOD | {"net": "60.0 t"})] == ["net"]
    assert unusual(form, GOOD | {"net": "a lot", "colour": "black"}) == []


def test_an_unknown_kind_says_so() -> None:
    with pytest.raises(NotFound, match="no kind of entry called “lod”"):
        kind_named("lod")


def test_a_field_has_every_check() -> None:
    assert {field.type for form in kinds().values() for field in form.fields.values()} == set(
        CHECKS
    )
    assert Field("x", "text").most == 2000
