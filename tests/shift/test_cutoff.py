"""The last load: what is on its way against the length left and the closing hour."""

from datetime import timedelta
from typing import Any

import pytest

from matbook.shift.cutoff import Last, closing, last_loads
from tests.shift.hauled import STEP, bursts, morning
from tests.shift.placed import coming
from tests.shift.site import PLAN, Site, at, clock

END = 13 * STEP
LEFT = PLAN.replace('to = "2+000"\nwidth', 'to = "1+200"\nwidth')
"""Lane E ends at 1+200: after 14 loads of 50 m there are 500 m left."""


def evening(loads: int = 14, plan: str = LEFT) -> Site:
    """The morning of `hauled`, on a lane that ends sooner."""
    return morning(loads, plan=plan)


def last(site: Site, minute: float = END + 2, **given: Any) -> Last:
    found = last_loads(site.facts, clock(minute), {}, **given)
    (one,) = found
    return one


def test_the_length_left_takes_so_many_loads() -> None:
    """500 m of 3.50 m at 120 kg/m2 are 210 t: ten loads of 21 t, and what is coming less."""
    one = last(evening(), coming=0)
    assert one.remaining_m == pytest.approx(500.0)
    assert (one.found.loads, one.found.ends) == (10, "length")
    assert one.least <= 10 <= one.most
    assert last(evening(), coming=4).found.loads == 6
    assert not one.guessed


def test_by_how_long_the_trucks_are_gone() -> None:
    """Each is loaded again 25 min before its turn: 15 min after its load was laid out."""
    one = last(evening())
    assert one.coming == (3.0, 3.0, 3.0)
    assert one.found.loads == 7
    figure = dict(evening().view(END + 2).figures())["haul.last/E/binder/P1"]
    assert figure.value == 7
    assert figure.open()["range"]["is"] == "range.last-load"


def test_the_plants_tickets_know_better() -> None:
    site = evening()
    coming(site, 2, END)
    assert last(site).coming == (2.0, 2.0, 2.0)
    assert last(site, END + 200).coming != (2.0, 2.0, 2.0)


def test_the_closing_hour_ends_it_first() -> None:
    """50 m in 8 min are 6.25 m/min; half an hour from now is 187.5 m, four loads."""
    hour = clock(END + 32)
    one = last(evening(), closes=hour, coming=0)
    assert (one.found.ends, one.found.loads) == ("hour", 4)
    assert one.found.reach_m == pytest.approx(187.5, rel=1e-6)
    assert one.leaves_by is not None
    assert one.leaves_by < hour - timedelta(minutes=25)


def test_the_plans_hour_less_the_finishing() -> None:
    hauled = '[haul]\ncloses = "12:00"\nfinishing = "60 min"\n[[roads]]'
    site = evening(plan=LEFT.replace("[[roads]]", hauled, 1))
    noon = closing(site.facts, clock(END))
    assert noon is not None
    assert (noon.hour, noon.minute) == (12, 0)
    one = last(site)
    assert one.ends_at == noon - timedelta(minutes=60)
    night = LEFT.replace("[[roads]]", hauled.replace("12:00", "05:00"), 1)
    after = closing(evening(plan=night).facts, clock(END))
    assert after is not None
    assert after > clock(END)
    assert closing(evening().facts, clock(END)) is None


def test_a_few_loads_more_are_said_to_those_who_send_them() -> None:
    short = LEFT.replace("1+200", "0+900")
    (call,) = evening(plan=short).calls("haul.last", END + 2)
    assert (call.says["loads_more"], call.tell) == (1, ("cole", "pia"))
    assert evening().calls("haul.last", END + 2) == ()
    (enough,) = evening(plan=LEFT.replace("1+200", "0+760")).calls("haul.enough", END + 2)
    assert enough.says["loads_more"] == 0


def test_before_the_first_rounds_none_are_reckoned_with_and_it_says_so() -> None:
    one = last(evening(7), 6 * STEP + 1)
    assert (one.guessed, one.coming, one.leaves_by) == (True, (0.0, 0.0, 0.0), None)
    assert last(evening(7), 6 * STEP + 1, closes=clock(300)).leaves_by is None


def test_before_the_first_load_the_plan_has_the_spread_and_the_load() -> None:
    hauled = '[haul]\nload = "20 t"\n[[roads]]'
    site = Site(LEFT.replace("[[roads]]", hauled, 1))
    site.write("paver", {"event": "start"}, 0, place=at(1000))
    site.write("paver", {"event": "at"}, 10, place=at(1040))
    one = last(site, 12)
    assert one.found.loads == 4  # 160 m are 67.2 t
    none = Site(LEFT)
    none.write("paver", {"event": "start"}, 0, place=at(1000))
    none.write("paver", {"event": "at"}, 10, place=at(1040))
    assert last_loads(none.facts, clock(12), {}) == ()


@pytest.mark.parametrize(
    ("lift", "lane"), [("nowhere", "E"), ("binder", "Z"), ("level", "E")], ids=str
)
def test_where_the_plan_lacks_something_there_is_none(lift: str, lane: str) -> None:
    hauled = '[haul]\nload = "20 t"\n[[roads]]'
    site = Site(LEFT.replace("[[roads]]", hauled, 1))
    site.write("paver", {"event": "start"}, 0, place=at(1000, lane, lift))
    site.write("paver", {"event": "at"}, 10, place=at(1040, lane, lift))
    assert last_loads(site.facts, clock(12), {}) == ()


def test_a_lane_that_is_full_or_a_paver_that_ended_takes_none() -> None:
    assert last_loads(evening(plan=LEFT.replace("1+200", "0+700")).facts, clock(END + 2), {}) == ()
    site = evening()
    site.write("paver", {"event": "end"}, END + 9, place=at(700))
    assert last_loads(site.facts, clock(END + 10), {}) == ()
    assert bursts().calls("haul.last", 105) == ()
