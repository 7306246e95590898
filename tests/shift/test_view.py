"""A shift seen at a moment: what it holds, and what it says first."""

import pytest

from matbook.plan.quantities import quantities
from matbook.shift.calls import GRADES
from matbook.shift.carry import Carry
from matbook.shift.view import JUDGED, view
from matbook.shift.yields import Total
from tests.shift.site import NAME, PLAN, Site, at, clock, limit, on


def test_the_last_load_is_the_latest_that_the_road_looked_at() -> None:
    site = Site()
    assert site.view().last_load is None
    site.load("101", 0)
    site.load("102", 5, decision="turned away")
    site.load("103", 10, by="pia", witness="plant")
    last = site.view().last_load
    assert last is not None
    assert last.number == "102"


def test_the_most_urgent_stands_first_and_of_equals_the_latest() -> None:
    site = Site()
    site.load("101", 0, temp="120 degC")
    site.load("102", 5, temp="101 degC")
    site.load("103", 10, temp="121 degC")
    site.load("104", 15, gross="37 t")
    site.load("105", 20, temp="101 degC", decision="turned away")
    calls = site.calls()
    grades = [GRADES.index(call.grade) for call in calls]
    assert grades == sorted(grades)
    acts = [call.at for call in calls if call.grade == "act"]
    assert acts == sorted(acts, reverse=True)
    assert len({call.id for call in calls}) == len(calls)


def test_calls_do_not_depend_on_who_looks_twice() -> None:
    site = Site()
    site.lay(["26.50 t"] * 6)
    facts = site.facts
    first = view(facts, clock(90)).calls
    assert view(facts, clock(90)).calls == first
    assert {c.id for c in view(facts, clock(95)).calls} == {c.id for c in first}


def test_a_notice_answers_a_call_after_what_it_is_about_was_corrected() -> None:
    site = Site()
    cold = site.load("101", temp="101 degC")
    low = site.write("loose-depth", {"depth": "70 mm"}, 5, place=at(40))
    for call in (site.call("load.temperature"), site.call("reading.beyond")):
        body = {"to": ["cole"], "how": "spoken", "text": call.code, "call": call.id}
        site.write("notice", body, 10)
    other = site.load("102", 20, temp="102 degC")
    site.load("101", late=30, temp="103 degC", strikes=cold.id, why="misread")
    body = {"depth": "71 mm"}
    site.write("loose-depth", body, 5, late=30, place=at(40), strikes=low.id, why="misread")
    seen = site.view()
    told = {call.entries[0]: seen.told(call) for call in seen.calls
            if call.code in ("load.temperature", "reading.beyond")}  # fmt: skip
    assert len(told) == 3
    assert {entry for entry, matter in told.items() if matter is None} == {other.id}
    assert sorted(matter.text for matter in told.values() if matter) == [
        "load.temperature", "reading.beyond",
    ]  # fmt: skip


def test_a_view_is_of_the_plan_at_its_moment() -> None:
    site = Site()
    change = {"path": "lifts/binder/spread", "old": "120 kg/m2", "new": "125 kg/m2"}
    site.write("plan", change, 60, why="agreed", by="greta")
    assert site.view(59).plan.lifts["binder"].spread_kg_m2 == 120.0
    assert site.view(60).plan.lifts["binder"].spread_kg_m2 == 125.0


def test_what_one_look_gives_is_there_by_name() -> None:
    site = Site()
    site.lay(["21.00 t"] * 6)
    site.write("paver", {"event": "start"}, 0, place=at(0))
    site.write("loose-depth", {"depth": "62 mm"}, 5, place=at(30))
    seen = site.view()
    assert (len(seen.loads), len(seen.accounts), len(seen.pieces), len(seen.rows)) == (6, 6, 6, 6)
    assert [n.plant for n in seen.numberings] == ["north"]
    assert [line.paver for line in seen.pavers] == ["P1"]
    assert len(seen.readings("loose-depth")) == 1
    assert seen.covered == {("E", "binder"): ((0.0, 300.0),)}
    assert seen.matters == ()
    assert {item.check.id for item in seen.due} == {"delivery", "depth", "slope", "weather", "edge"}


def test_figures_of_a_mix_without_a_density_have_no_thickness() -> None:
    site = Site(PLAN.replace('density = "2400 kg/m3"\n', ""))
    site.lay(["21.00 t"])
    assert not [name for name, _ in site.view().figures() if name.endswith("thickness")]


def test_figures_where_nothing_was_planned_have_no_deviation() -> None:
    site = Site()
    site.load("101", place=on("E", "level", 700, 750))
    names = [name for name, _ in site.view().figures()]
    assert "yield.load/E/level/101/rate" in names
    assert not [name for name in names if name.endswith("deviation")]


def test_yield_over_all_shifts_is_a_figure_where_anything_was_laid() -> None:
    """42 t on 350 m2 before and 22.05 t on 175 m2 now: 64.05 t on 525 m2 are 122 kg/m2."""
    before = {("E", "binder"): Total(42_000.0, 350.0, 42_000.0, 100.0, 2), ("W", "binder"): Total()}
    site = Site()
    site.load("103", net="22.05 t", place=on("E", "binder", 100, 150))
    found = dict(site.view(carry=Carry(totals=before)).figures())
    rate = found["yield.cumulative/E/binder/rate"]
    half = 64_050 * 0.5 * 2**0.5 / 150 / 525
    assert rate.value == pytest.approx(122.0, rel=1e-12)
    assert (rate.low, rate.high) == pytest.approx((122 - half, 122 + half), rel=1e-12)
    deviation = found["yield.cumulative/E/binder/deviation"]
    assert deviation.value == pytest.approx(100 / 60, rel=1e-9)
    assert not [name for name in found if name.startswith("yield.cumulative/W")]


def test_a_shift_without_a_load_has_only_what_is_left_to_do() -> None:
    names = [name for name, _ in Site().view().figures()]
    assert names == ["finish.mass/binder", "finish.rate/binder", "finish.mass/surface",
                     "finish.rate/surface"]  # fmt: skip
    assert Site().view().facts.shift == NAME


def test_a_lift_that_is_done_has_no_figures_to_finish_it() -> None:
    site = Site()
    site.load("101", mix="ac8", net="16.80 t", place=on("E", "surface", 0, 2000))
    names = [name for name, _ in site.view().figures()]
    assert not [name for name in names if name.startswith("finish.") and "surface" in name]


def test_a_notice_still_answers_a_call_about_a_load_that_was_corrected() -> None:
    site = Site()
    first = site.load("101", 0, temp="90 degC")
    call = site.call("load.temperature")
    site.write("notice", {"to": ["pia"], "how": "spoken", "text": "cold", "call": call.id}, 1)
    assert site.view().told(call) is not None
    site.load("101", 0, temp="91 degC", strikes=first.id, why="misread")
    after = site.call("load.temperature")
    assert after.subject != call.subject
    assert site.view().told(after) is not None
    site.load("102", 5, temp="90 degC")
    other = next(
        c
        for c in site.view().calls
        if c.subject not in (after.subject, call.subject) and c.code == "load.temperature"
    )
    assert site.view().told(other) is None


def test_limits_that_nothing_is_set_against_are_told_apart() -> None:
    gross = limit("gross", "mass.gross", "max", "44", "t", "act", "plant")
    site = Site(PLAN.replace('[[limits]]\nid = "warm"', f'{gross}[[limits]]\nid = "warm"'))
    assert [one.id for one in site.view().unjudged] == ["gross"]
    assert quantities().keys() >= JUDGED
