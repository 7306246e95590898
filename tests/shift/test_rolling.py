"""Rollers against the paver: the worked example of reference 5.4, and what is said of trouble."""

import pytest

from matbook.plan.model import Plan
from matbook.plan.reader import read_plan
from matbook.shift.figure import Read
from matbook.shift.roller_calls import marks_above
from matbook.shift.rolling import Three, density_phases, keeping, lacking, needs, work
from matbook.shift.speak import spoken
from tests.shift.cooled import PHASES, laid, rolled, roller, stood
from tests.shift.site import Site, at, clock

SECOND = """
[[phases]]
id = "intermediate"
name = "Intermediate"
ends = "80 degC"
passes = 4
rollers = ["R2"]
speed = "6 km/h"
overlap = "150 mm"
efficiency = "80 %"
strip = "40 m"
"""


def plan(phases: str = PHASES) -> Plan:
    return read_plan(rolled(phases=phases))


# reference 5.4, example [C]: N 3, C 4 -> 12 passes; 4.8 km/h; e 0.80 -> 5.33 m/min; against 4.69
# the rollers are asked 0.88 of what they can do; at 7.04 two are needed


def test_a_phase_has_the_passes_and_the_pace_of_the_worked_example() -> None:
    (phase,) = density_phases(plan(), "ac16")
    found = work(plan(), phase, 3.7)
    assert found is not None
    assert (found.lanes.value, found.passes.value) == (3, 12)
    assert 60.0 * found.rolled.value == pytest.approx(5.33, abs=0.005)
    kept = keeping(found, (), 4.69 / 60.0, None)
    assert kept.asked.value == pytest.approx(0.88, abs=0.005)
    assert kept.needed.value == 1
    assert not kept.behind
    assert kept.chance is None
    faster = keeping(found, (), 7.04 / 60.0, None)
    assert faster.needed.value == 2
    assert faster.behind


def test_the_oldest_mat_of_a_strip_is_as_old_as_in_the_worked_example() -> None:
    """Reference 5.4: d0 5 m, S 40 m -> 17.1 min."""
    (phase,) = density_phases(plan(), "ac16")
    found = work(plan(), phase, 3.7)
    assert found is not None
    (need,) = needs([found], 4.692 / 60.0)
    assert need.value / 60.0 == pytest.approx(17.1, abs=0.05)


def test_each_phase_begins_a_strip_when_the_one_before_is_done_with_it() -> None:
    two = plan(PHASES + SECOND)
    phases = density_phases(two, "ac16")
    assert [one.id for one in phases] == ["breakdown", "intermediate"]
    first, second = (work(two, one, 3.7) for one in phases)
    assert first is not None
    assert second is not None
    before, after = needs([first, second], 4.692 / 60.0)
    assert after.value - before.value == pytest.approx(40.0 / second.rolled.value)
    time: Three = (1140.0, 1446.0, 1800.0)
    alone = keeping(second, (), 4.692 / 60.0, time)
    late = keeping(second, (first,), 4.692 / 60.0, time)
    assert alone.chance is not None
    assert late.chance is not None
    assert late.chance.value < alone.chance.value


def test_what_the_plan_lacks_is_named_and_nothing_is_reckoned() -> None:
    bare = PHASES.replace('speed = "4.8 km/h"\n', "").replace('strip = "40 m"\n', "")
    (phase,) = density_phases(plan(bare), "ac16")
    assert lacking(plan(bare), phase) == ("speed", "strip")
    assert work(plan(bare), phase, 3.7) is None
    nobody = PHASES.replace('rollers = ["R1"]\n', "")
    assert lacking(plan(nobody), density_phases(plan(nobody), "ac16")[0]) == ("rollers",)


def test_an_overlap_as_wide_as_the_drum_is_not_reckoned_with() -> None:
    wide = PHASES.replace('overlap = "150 mm"', 'overlap = "1900 mm"')
    assert work(plan(wide), density_phases(plan(wide), "ac16")[0], 3.7) is None


def busy(pace: str = 'pace = "4.69 m/min"', **noted: str) -> Site:
    """Mat laid at 5 m/min; a breakdown roller noted lately."""
    site = laid(rolled(pace=pace))
    roller(site, 48, 228, **noted)
    return site


def test_what_is_noted_of_a_roller_comes_before_the_plan_and_it_opens() -> None:
    site = busy(speed="2.4 km/h", overlap="200 mm", mode="static")
    (one,) = site.view(50).kept["E/binder"]
    assert isinstance(one.work.speed, Read)
    assert one.work.speed_m_s == pytest.approx(2.4 / 3.6)
    assert one.work.noted is not None
    later = site.view(50 + 61).kept
    assert all(two.work.noted is None for phases in later.values() for two in phases)


def test_rollers_slower_than_the_paver_are_said_with_how_many_it_takes() -> None:
    """The paver's points make 5 m/min; at 2.4 km/h one roller follows 2.67 m/min."""
    site = busy(speed="2.4 km/h")
    site.write("paver", {"event": "passing"}, 50, place=at(300))
    (call,) = site.calls("rolling.behind", 51)
    assert call.subject == "E/binder/breakdown"
    assert call.says["needed"] == 2
    assert spoken(call, site.view(51).plan, clock(51)).head == "Breakdown: 2 needed, 1 there"
    figures = dict(site.view(51).figures())
    assert figures["rolling.needed/E/binder/breakdown"].value == 2
    assert not site.calls("rolling.behind", 51 - 4)  # not before it was written


def test_rollers_fast_enough_but_late_for_the_mat_are_said_with_their_chance() -> None:
    long = rolled(phases=PHASES.replace('"40 m"', '"120 m"'))
    site = laid(long)
    (call,) = site.calls("rolling.unlikely", 50)
    assert 0.0 <= float(str(call.says["chance"])) < 50.0
    kept = site.view(50).kept["E/binder"][0]
    assert not kept.behind


def test_without_a_pace_nothing_is_said_of_keeping_up() -> None:
    site = laid(rolled(pace=""))
    assert site.view(5).kept == {}


def test_a_pass_too_fast_for_its_frequency_is_a_reading_beyond_its_limit() -> None:
    """Iowa DOT Construction Manual 8.70: at least 10 impacts to the foot, 33 to the metre."""
    limit = '[[limits]]\nid = "impacts"\nquantity = "impact.spacing"\nside = "min"\n'
    limit += 'number = "10"\nunit = "1/ft"\ngrade = "watch"\nsource = "Iowa 8.70"\n'
    site = laid(rolled().replace("[[plants]]", f"{limit}[[plants]]", 1))
    roller(site, 40, 200, speed="4.3 km/h", frequency="40 Hz", mode="vibratory")
    roller(site, 42, 200, speed="5.0 km/h", mode="vibratory")  # its frequency by the plan, 40 Hz
    roller(site, 44, 200, speed="9 km/h", mode="static")
    roller(site, 45, 200, speed="9 km/h", mode="vibratory", roller="unheard of")
    said = [c for c in site.calls("reading.beyond", 50) if c.says["quantity"] == "impact.spacing"]
    assert [float(str(c.says["value"])) for c in said] == [pytest.approx(28.8)]


def test_a_roller_standing_on_hot_mat_is_said_until_it_moves() -> None:
    site = stood()
    (call,) = site.calls("roller.standing", 14)
    assert call.says["marks_c"] == 50.0
    assert "0+060" in spoken(call, site.view(14).plan, clock(14)).line
    roller(site, 16, 80)
    assert not site.calls("roller.standing", 17)


def test_a_roller_standing_on_cold_mat_or_off_it_is_left_alone() -> None:
    warm = stood(phases=PHASES.replace('ends = "50 degC"', 'ends = "95 degC"'))
    assert warm.calls("roller.standing", 14)
    assert not warm.calls("roller.standing", 59)
    off = laid(rolled())
    roller(off, 12, 900, event="standing")
    assert not off.calls("roller.standing", 14)


def test_a_roller_marks_the_mat_until_traffic_may_come_else_until_the_last_phase_ends() -> None:
    assert marks_above(plan(), "ac16") == 50.0
    opens = rolled().replace(
        'rolling_ends = "80 degC"', 'rolling_ends = "80 degC"\nopens_below = "60 degC"'
    )
    assert marks_above(read_plan(opens), "ac16") == 60.0
    assert marks_above(plan(""), "ac16") == 80.0
    assert marks_above(plan(""), "nothing") is None
