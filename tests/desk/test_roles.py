"""Who writes what, sees what, asks what: the tables cell by cell, and the two rules above them."""

from typing import Any

import pytest

from matbook.book.entry import Entry
from matbook.book.kinds import kinds
from matbook.desk.job import JobBook
from matbook.desk.open_book import QUESTIONS
from matbook.desk.roles import (
    ROLES,
    is_secret,
    lot_of,
    may_see,
    may_write,
    secrets,
    views_for,
)
from tests.desk.asked import ask, opened, pairs
from tests.shift.site import PLAN, Site, at

RELEASED = PLAN.replace("matbook = 1", 'matbook = 1\nrelease = ["load", "density", "test-result"]')

# kind: who may write it, by the first letters of inspector, technician, supervisor, contractor,
# plant; and who sees it as it was written, where the plan releases nothing
CELLS = {
    **dict.fromkeys(("shift-open", "shift-close"), ("its", "itscp")),
    **dict.fromkeys(("handover", "surface", "weather", "crew", "equipment"), ("its", "its")),
    **dict.fromkeys(("traffic-control", "opened-to-traffic", "visitor"), ("its", "its")),
    **dict.fromkeys(("incident", "delay", "extra-work", "quantity"), ("its", "its")),
    "plant-change": ("its", "itsp"),
    "load": ("itsp", "itsp"),
    "placed": ("its", "itsp"),
    "weigh-back": ("itsp", "itsp"),
    "tie-out": ("itsp", "itsp"),
    "temperature": ("its", "itsp"),
    **dict.fromkeys(("paver", "loose-depth", "width", "slope", "overlap", "edge"), ("its", "its")),
    **dict.fromkeys(("tack", "defect", "roller", "density", "gauge-check"), ("its", "its")),
    **dict.fromkeys(("core", "sample", "custody"), ("its", "its")),
    "test-result": ("itscp", "its"),
    "draw": ("itsc", "itsc"),
    **dict.fromkeys(("joint-longitudinal", "joint-transverse", "ramp"), ("its", "its")),
    **dict.fromkeys(("straightedge", "profile", "markings"), ("its", "its")),
    "notice": ("its", "itscp"),
    "reply": ("itscp", "itscp"),
    "instruction": ("its", "itscp"),
    "disagreement": ("itscp", "itscp"),
    "photo": ("its", "its"),
    "note": ("itsp", "its"),
    **dict.fromkeys(("checklist", "hold-point"), ("its", "its")),
    "plan": ("is", "its"),
    "signature": ("itscp", "its"),
    "seal": ("", "itscp"),
}


def test_the_cells_are_all_there() -> None:
    assert CELLS.keys() == kinds().keys()
    assert {role[0] for role in ROLES} == set("itscp")


@pytest.mark.parametrize("role", ROLES)
def test_each_cell_of_writing(role: str) -> None:
    found = {kind: may_write(role, kind) for kind in CELLS}
    assert found == {kind: role[0] in writers for kind, (writers, _) in CELLS.items()}


@pytest.mark.parametrize("role", ROLES)
def test_each_cell_of_seeing(role: str) -> None:
    found = {}
    for kind in CELLS:
        site = Site()
        entry = site.write(kind, {}, 0, by="nobody-in-the-plan")
        found[kind] = may_see(role, entry, JobBook(site.entries))
    assert found == {kind: role[0] in readers for kind, (_, readers) in CELLS.items()}


VIEWS = {
    **dict.fromkeys(("now", "calls", "mat", "mat_at", "entries", "entry", "loads"), "itscp"),
    **dict.fromkeys(("judge", "kinds", "plan", "ahead", "score"), "itscp"),
    **dict.fromkeys(("figures", "figure", "yield", "pavers", "due", "told"), "itscp"),
    **dict.fromkeys(("guide", "joints", "lists", "placement", "haul", "trucks"), "itscp"),
    **dict.fromkeys(("schedules", "schedule", "risk", "draws", "draw"), "itscp"),
    **dict.fromkeys(("lots", "lot", "strip", "gauges", "cores"), "itscp"),
    **dict.fromkeys(("last_load", "next_load", "close", "handover", "day_sheet", "tell"), "its"),
}


@pytest.mark.parametrize("role", ROLES)
def test_each_cell_of_asking(role: str) -> None:
    assert VIEWS.keys() == set(QUESTIONS)
    allowed = views_for(role)
    found = {question: question in allowed for question in QUESTIONS}
    assert found == {question: role[0] in VIEWS[question] for question in QUESTIONS}


def test_who_is_no_role_may_do_nothing() -> None:
    entry = Site().entries[0]
    assert not may_write("king", "load")
    assert not may_see("king", entry, JobBook([entry]))
    assert views_for("king") == frozenset()


def test_a_kind_from_tomorrow_may_be_written_by_those_who_write_most_kinds() -> None:
    assert [may_write(role, "from-tomorrow") for role in ROLES] == [True, True, True, False, False]


def test_everybody_sees_what_people_of_their_own_role_wrote() -> None:
    site = Site()
    own = site.write("signature", {"of": "lot", "name": "Cole"}, 0, by="cole")
    book = JobBook(site.entries)
    assert may_see("contractor", own, book)
    assert not may_see("plant", own, book)


def test_the_plan_releases_kinds_to_the_contractor() -> None:
    site = Site(RELEASED)
    load = site.load("101", 0)
    assert may_see("contractor", load, JobBook(site.entries))


# The two rules above the tables


def draw(site: Site, step: str, lot: str = "1", by: str = "greta", **more: Any) -> Entry:
    return site.write("draw", {"step": step, "lot": lot}, 5, by=by, **more)


def test_a_drawn_place_is_told_to_the_owners_people_and_to_the_contractor_once_revealed() -> None:
    site = Site()
    place, other = draw(site, "place", place=at(100)), draw(site, "place", "2")
    told, committed = draw(site, "told", place=at(100)), draw(site, "committed")
    book = JobBook(site.entries)
    seen = {role: [may_see(role, e, book) for e in (place, told, committed)] for role in ROLES}
    assert seen == {
        "inspector": [False, True, True], "technician": [False, True, True],
        "supervisor": [True, True, True], "contractor": [False, False, True],
        "plant": [False, False, False],
    }  # fmt: skip
    draw(site, "revealed")
    book = JobBook(site.entries)
    for role in ("technician", "contractor"):
        assert [may_see(role, e, book) for e in (place, told, other)] == [True, True, False]
    assert not may_see("plant", place, book)


def test_a_contractor_sees_its_own_part_of_a_draw() -> None:
    site = Site()
    own = draw(site, "contributed", by="cole")
    assert may_see("contractor", own, JobBook(site.entries))


def result(site: Site, by: str, purpose: str = "verification", **more: str) -> Entry:
    body = {"test": "voids", "value": "4.0 %", "purpose": purpose, **more}
    return site.write("test-result", body, 10, by=by)


def test_verification_stays_from_the_contractor_until_its_own_results_are_in() -> None:
    site = Site(RELEASED)
    ours, lotless = result(site, "tess", lot="1"), result(site, "tess")
    process = result(site, "tess", "process", lot="1")
    seen = [may_see("contractor", e, JobBook(site.entries)) for e in (ours, lotless, process)]
    assert seen == [False, False, True]
    result(site, "cole", "process", lot="2")
    assert not may_see("contractor", ours, JobBook(site.entries))
    own = result(site, "cole", "acceptance", lot="1")
    book = JobBook(site.entries)
    assert [may_see("contractor", e, book) for e in (ours, lotless, own)] == [True, False, True]
    assert may_see("technician", ours, JobBook(site.entries[:3]))


def test_a_density_at_a_drawn_place_belongs_to_the_lot_of_its_draw() -> None:
    site = Site(RELEASED)
    place = draw(site, "place")
    needs = {"percent": "93.0 %", "basis": "maximum", "method": "gauge", "purpose": "acceptance"}
    tested = site.write("density", {**needs, "draw": place.id}, 10, by="tess", place=at(100))
    free = site.write("density", needs, 11, by="tess", place=at(120))
    sample = site.write("sample", {"sample": "S1", "of": "mix", "draw": place.id}, 12, by="tess")
    other = site.write("sample", {"sample": "S2", "of": "mix"}, 12, by="tess")
    book = JobBook(site.entries)
    assert (lot_of(tested, book), lot_of(free, book)) == ("1", "")
    assert secrets("contractor", book) == {e.hash for e in (place, tested, free, sample)}
    assert not is_secret("contractor", other, book)
    result(site, "cole", lot="1")
    assert not may_see("contractor", sample, JobBook(site.entries)), "not released by the plan"
    assert may_see("contractor", tested, JobBook(site.entries))


def test_custody_stays_as_long_as_its_core_does() -> None:
    """Else the chain of a core that is kept from somebody would look broken to them."""
    site = Site(RELEASED)
    core = {"core": "C1", "purpose": "acceptance", "draw": draw(site, "place").id}
    site.write("core", core, 10, by="tess")
    sealed = site.write("custody", {"sample": "C1", "step": "received"}, 12, by="tess")
    other = site.write("custody", {"sample": "C2", "step": "sealed"}, 12, by="tess")
    book = JobBook(site.entries)
    assert is_secret("contractor", sealed, book)
    assert not is_secret("contractor", other, book)
    assert not is_secret("technician", sealed, book)
    calls = {role: ask(site, "now", role=role)["calls"] for role in ("contractor", "inspector")}
    broken = {
        role: [one["head"] for one in found if one["code"] == "custody.broken"]
        for role, found in calls.items()
    }
    assert broken["inspector"] == ["C1: chain of custody broken", "C2: chain of custody broken"]
    assert broken["contractor"] == ["C2: chain of custody broken"]
    result(site, "cole", lot="1")
    assert not is_secret("contractor", sealed, JobBook(site.entries))


def secret_site() -> Site:
    site = Site(RELEASED)
    needs = {"basis": "maximum", "method": "gauge", "purpose": "verification"}
    site.write("density", {"percent": "93.9 %", **needs}, 5, by="tess", place=at(100))
    site.write("note", {"text": "x"}, 6)
    return site


def test_what_is_secret_is_in_no_answer() -> None:
    site = secret_site()
    density = site.entries[1]
    asks_more = {"entry", "figure", "judge", "ahead", "mat_at", "lot", "trucks"}
    asks_more |= {"schedule", "risk", "draw"}
    for question in sorted(views_for("contractor") - asks_more):
        said = str(ask(site, question, role="contractor"))
        assert "93.9" not in said, question
        assert density.id not in said, question
    assert "93.9" in str(ask(site, "now", role="inspector"))
    assert [r["kind"] for r in ask(site, "entries", role="contractor")] == []
    assert len(ask(site, "entries", role="inspector")) == 3


def test_secrets_come_out_and_others_come_in_while_the_book_is_open() -> None:
    site = secret_site()
    book = opened(site)

    def shown(text: str) -> bool:
        return text in str(book.ask("mat", {"role": "contractor"}))

    assert not shown("93.9")
    draw_place = draw(site, "place", lot="7")
    needs = {"basis": "maximum", "method": "gauge", "purpose": "acceptance"}
    late = site.write(
        "density",
        {"percent": "92.2 %", **needs, "draw": draw_place.id},
        20,
        by="tess",
        place=at(130),
    )
    own = result(site, "cole", lot="7")
    book.add(pairs([late]))
    assert not shown("92.2")
    book.add(pairs([draw_place, own]))
    assert shown("92.2")
    assert not shown("93.9")
    wrong = site.write("note", {"text": "not mine"}, 30, by="cole", strikes=own.id, why="x")
    book.add(pairs([wrong]))
    assert book.ask("now", {"role": "contractor"})["units"] == "metric"


def test_an_entry_that_becomes_secret_is_taken_out_again() -> None:
    site = Site(RELEASED)
    site.write("plan", {"path": "people/tess/role", "old": "contractor", "new": "technician"}, 30,
               by="greta")  # fmt: skip
    change = site.entries.pop()
    site.entries[0] = Site(RELEASED.replace(
        'name = "Tess Lund"\nrole = "technician"', 'name = "Tess Lund"\nrole = "contractor"'
    )).entries[0]  # fmt: skip
    needs = {"basis": "maximum", "method": "gauge", "purpose": "verification"}
    site.write("density", {"percent": "93.9 %", **needs}, 5, by="tess", place=at(100))
    site.write("density", {"percent": "91.1 %", **needs}, 6, by="wyn", place=at(110))
    book = opened(site)
    assert "93.9" in str(book.ask("mat", {"role": "contractor"}))
    book.add(pairs([change]))
    assert "93.9" not in str(book.ask("mat", {"role": "contractor"}))
