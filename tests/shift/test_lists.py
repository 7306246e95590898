"""Checks that fall due when something happens, and checklists line by line."""

import pytest

from matbook.plan.form import form
from matbook.shift.due import Due
from matbook.shift.events import EVENTS
from matbook.shift.lists import Listed
from tests.shift.site import PLAN, Site, at, on

EXTRA = """
[[checks]]
id = "joint-edge"
name = "Straightedge over the joint"
kind = "straightedge"
of = { along = "joint" }
at = ["start", "stop"]
[[checklists]]
id = "before"
name = "Before the shift"
at = ["open", "lane"]
lines = [
    { item = "Plan read", why = "x" },
    { item = "Word of the engineer", hold = "yes" },
]
[[plants]]
"""
WITH = PLAN.replace("[[plants]]\n", EXTRA.lstrip(), 1)


def due(site: Site, check: str, minute: float = 240) -> Due:
    return next(item for item in site.view(minute).due if item.check.id == check)


def listed(site: Site, minute: float = 240) -> Listed:
    (found,) = site.view(minute).lists
    return found


def test_the_plan_takes_the_events_there_are() -> None:
    for table in ("checks", "checklists"):
        assert set(form()[table].fields["at"].of) == EVENTS.keys()
    assert set(form()["checks"].fields["resets"].of) <= EVENTS.keys()


def test_a_check_is_due_at_an_event_until_it_is_done_and_overdue_at_the_next() -> None:
    site = Site(WITH)
    assert due(site, "joint-edge").left is None
    site.write("paver", {"event": "start"}, 0, place=at(0))
    assert (due(site, "joint-edge").left, due(site, "joint-edge").overdue) == (0.0, False)
    site.write("paver", {"event": "stop"}, 10, place=at(20))
    site.write("paver", {"event": "start"}, 20, place=at(20))
    assert (due(site, "joint-edge").left, due(site, "joint-edge").overdue) == (-1.0, True)
    assert due(site, "joint-edge", 5).left == 0.0
    site.write("straightedge", {"length": "3 m", "gap": "1 mm", "along": "joint"}, 25, place=at(20))
    assert (due(site, "joint-edge").left, due(site, "joint-edge").done) == (None, 1)


@pytest.mark.parametrize(("name", "count"), [("open", 1), ("start", 1), ("stop", 1), ("lane", 1),
                                             ("lift", 1), ("end", 1)])  # fmt: skip
def test_what_happens_in_a_shift(name: str, count: int) -> None:
    site = Site()
    site.write("shift-open", {}, -10)
    site.load("101", 0, place=on("E", "binder", 0, 50))
    site.write("paver", {"event": "stop"}, 5, place=at(50))
    site.write("paver", {"event": "start"}, 9, place=at(50))
    site.load("102", 10, place=on("W", "binder", 1000, 970))
    site.load("103", 20, mix="ac8", place=on("W", "surface", 970, 950))
    site.write("paver", {"event": "end"}, 30, place=at(950, "W"))
    assert len(EVENTS[name](site.facts, site.view().pieces)) == count


def test_a_shift_closed_without_a_word_on_the_paver_ended_then() -> None:
    site = Site()
    site.write("shift-close", {}, 30)
    assert len(EVENTS["end"](site.facts, ())) == 1


def test_a_list_is_due_until_every_line_is_closed() -> None:
    site = Site(WITH)
    assert (listed(site).left, listed(site).since) == (None, None)
    site.write("shift-open", {}, 0)
    assert listed(site).left == 0.0
    line = {"list": "before the shift", "item": "plan read"}
    site.write("checklist", {**line, "state": "not done"}, 1)
    assert [one.state for one in listed(site).lines] == ["not done", "not looked at"]
    assert [one.seen for one in listed(site).lines] == [True, False]
    assert [(c.code, c.grade) for c in site.calls() if c.code.startswith("list.")] == [
        ("list.held", "watch"), ("list.not-done", "note"),
    ]  # fmt: skip
    site.write("checklist", {**line, "state": "does not apply"}, 2)
    point = {"point": "Word of the engineer"}
    for minute, state, said in ((3, "reached", "not looked at"), (4, "held", "not done")):
        site.write("hold-point", {**point, "state": state}, minute)
        assert listed(site).lines[1].state == said
        assert due(site, "before").left == 0.0
    site.write("hold-point", {**point, "state": "released"}, 5)
    assert [one.state for one in listed(site).lines] == ["does not apply", "done"]
    assert not [call for call in site.calls() if call.code.startswith("list.")]
    item = due(site, "before")
    assert (item.left, item.done, item.last is not None) == (None, 2, True)


def test_a_list_falls_due_again_and_is_overdue_where_nobody_looked_before() -> None:
    site = Site(WITH)
    site.write("shift-open", {}, -10)
    site.load("101", 0, place=on("E", "binder", 0, 50))
    site.load("102", 10, place=on("W", "binder", 1000, 970))
    assert (listed(site).left, due(site, "before").overdue) == (-1.0, True)
    seen = Site(WITH)
    seen.write("shift-open", {}, -10)
    seen.write("checklist", {"list": "before", "item": "Plan read", "state": "done"}, -9)
    seen.write("hold-point", {"point": "Word of the engineer", "state": "released"}, -8)
    assert listed(seen).left is None
    seen.load("101", 0, place=on("E", "binder", 0, 50))
    seen.load("102", 10, place=on("W", "binder", 1000, 970))
    assert listed(seen).left == 0.0
    assert [one.state for one in listed(seen).lines] == ["not looked at", "not looked at"]
