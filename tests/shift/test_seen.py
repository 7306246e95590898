"""The guide of signs and defects, and the calls for what was seen.

The signs and where their causes may lie are compared with the two tables of the references
(`placement/load_signs.csv`, `placement/mat_defects.csv`): as many rows, and a cause named in the
same places.
"""

from xml.etree import ElementTree

import pytest

from matbook.book.entry import Entry
from matbook.shift.calls import Call
from matbook.shift.guide import CAUSES, guide, named
from matbook.shift.speak import spoken
from matbook.words import languages, say, sentences
from tests.shift.site import Site, at, clock, on


def seen(site: Site) -> list[Call]:
    return [call for call in site.view().calls if call.code.startswith("seen.")]


def arrives(site: Site, minute: int, ticket: str, decision: str, signs: list[str]) -> Entry:
    body = {"plant": "north", "ticket": ticket, "decision": decision, "net": "21.00 t"}
    return site.write("load", {**body, "signs": signs}, minute, place=on("E", "binder", 0, 50))


def test_as_many_signs_and_defects_as_the_references_have() -> None:
    of = [sign.of for sign in guide().values()]
    assert (of.count("load"), of.count("mat")) == (14, 21)


@pytest.mark.parametrize("name", sorted(guide()))
def test_a_sign_says_what_is_seen_causes_and_what_to_check_first(name: str) -> None:
    sign = guide()[name]
    assert sign.causes(), "at least one place where the cause may lie"
    assert sign.tell, "somebody should hear of it"
    parts = {"looks", "first", *sign.causes()}
    for language in languages():
        codes = {c for c in sentences(language) if c.startswith(f"guide.{name}.")}
        assert codes == {f"guide.{name}.{part}" for part in parts}
        assert named(sign.name(language)) is sign


def test_most_signs_have_several_possible_causes() -> None:
    counts = [len(sign.causes()) for sign in guide().values()]
    assert sum(count > 1 for count in counts) > len(counts) * 2 // 3  # whole numbers
    assert set(CAUSES) == {cause for sign in guide().values() for cause in sign.causes()}


@pytest.mark.parametrize("name", sorted(guide()))
def test_a_drawing_is_svg_of_plain_lines_and_takes_the_colour_of_the_text(name: str) -> None:
    root = ElementTree.fromstring(guide()[name].drawing())
    assert {child.tag for child in root} == {"path"}
    assert all(set(child.attrib) <= {"class", "d"} for child in root)
    assert len(root) >= 3, "the ground and at least one mark"


def test_the_guide_never_decides_and_never_says_safe() -> None:
    said = [text for code, text in sentences("en").items() if code.startswith("guide.")]
    assert not [text for text in said if "reject" in text.lower() or "safe" in text.lower()]
    assert "Several causes" in say("guide.several")


def test_a_defect_is_called_with_whom_the_guide_would_tell() -> None:
    site = Site()
    fact = site.write("defect", {"sign": "Coarse patch at each load's end", "extent": "0.5 m2"},
                      10, place=at(120))  # fmt: skip
    (call,) = seen(site)
    assert (call.id, call.grade, call.entries) == (f"seen.mat:{fact.id}", "watch", (fact.id,))
    roles = {site.view().plan.people[one].role for one in call.tell}
    assert roles == {"contractor", "plant"}
    words = spoken(call, site.view().plan, clock(12))
    assert words.head == "Coarse patch at each load's end"
    assert words.line.startswith("Seen at 0+120.0, 0.5 m2. What")


@pytest.mark.parametrize(
    ("written", "grade"), [("slight", "note"), ("plain", "watch"), ("severe", "act")]
)
def test_a_defect_keeps_the_grade_of_who_saw_it(written: str, grade: str) -> None:
    site = Site()
    site.write("defect", {"sign": "something odd", "grade": written}, 10)
    (call,) = seen(site)
    assert call.grade == grade
    assert {site.view().plan.people[one].role for one in call.tell} == {"contractor"}
    assert spoken(call, site.view().plan, clock(12)).line.startswith("Seen. What")


def test_the_signs_of_a_load_are_called_and_a_defect_taken_back_is_not() -> None:
    site = Site()
    load = arrives(site, 0, "101", "taken", ["Humo azul", "smells odd"])
    arrives(site, 5, "102", "turned away", ["smells odd"])
    wrong = site.write("defect", {"sign": "Ripples"}, 10)
    site.write("note", {"text": "x"}, 11, strikes=wrong.id, why="misread")
    taken, away = seen(site)
    assert (taken.subject, taken.grade, away.grade) == (load.id, "watch", "note")
    people = site.view().plan.people
    assert {people[one].role for one in taken.tell} == {"contractor", "plant"}
    assert {people[one].role for one in away.tell} == {"contractor"}
    line = spoken(taken, site.view().plan, clock(12)).line
    assert line.startswith("Load 101. Taken.")
