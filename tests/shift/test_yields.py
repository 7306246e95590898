"""Yield worked out by hand: 21 t over 50 m x 3.50 m is 120 kg/m2, the planned spread of binder."""

from datetime import timedelta
from math import sqrt

import pytest

from matbook.engine.spread import area
from matbook.shift.carry import NOTHING, carry_of
from matbook.shift.facts import Facts
from matbook.shift.yields import Finish, Row, Total, Yield, rows
from tests.scribe import DAY
from tests.shift.site import NAME, PLAN, Site, at, on

HELD_KG = 1.96 * 6_000 / sqrt(12)
"""What paver P1 holds is anywhere from 0 to 6 t: 1.96 standard deviations of that (GUM 4.3.7)."""


def rates(said: tuple[Row, ...]) -> list[tuple[float, float | None]]:
    return [
        (round(r.own.rate.value, 6), round(r.last.rate.value, 6) if r.last else None) for r in said
    ]


def shift(site: Site) -> Yield:
    found = site.view().shift_yield
    assert found is not None
    return found


# Rates


def test_each_load_and_the_last_five_by_mass_over_area() -> None:
    """22.05 t is 126 kg/m2; five loads with one of it: (4 x 21 + 22.05) t / 875 m2 = 121.2."""
    site = Site()
    site.lay(["21.00 t", "21.00 t", "22.05 t", "21.00 t", "21.00 t", "21.00 t"])
    assert rates(site.view().rows) == [
        (120.0, None), (120.0, None), (126.0, None), (120.0, None), (120.0, 121.2), (120.0, 121.2),
    ]  # fmt: skip


def test_the_last_five_are_mass_over_area_and_not_a_mean_of_rates() -> None:
    """A 10 m piece at 240 kg/m2 moves the mean of rates by 24, mass over area by far less:
    (4 x 21 + 8.4) t / (4 x 175 + 35) m2 = 125.714 kg/m2."""
    site = Site()
    site.lay(["21.00 t"] * 4)
    site.load("105", 40, net="8.40 t", place=on("E", "binder", 200, 210))
    last = site.view().rows[-1].last
    assert last is not None
    assert last.rate.value == pytest.approx(92_400 / 735, rel=1e-12)


def test_loads_up_to_one_written_station_have_one_yield_together() -> None:
    """10.5 t and 31.5 t on 100 m x 3.50 m: 42 t / 350 m2 = 120 kg/m2, though neither is known."""
    site = Site()
    site.lay(["21.00 t"] * 3)
    site.load("104", 40, net="10.50 t", place=on("E", "binder"))
    site.load("105", 50, net="31.50 t", place=on("E", "binder", end=250))
    site.lay(["21.00 t"] * 4, start=250, minute=60)
    found = site.view().rows
    assert found[3].own is found[4].own
    assert (found[3].own.rate.value, found[3].own.total.loads) == (120.0, 2)
    assert found[3].last is None
    assert [row.last.total.loads if row.last else 0 for row in found] == [0, 0, 0, 0, 5, 5, 5, 5, 6]


def test_five_loads_that_end_between_written_stations_say_so() -> None:
    site = Site()
    site.lay(["21.00 t"] * 5)
    site.load("106", 60, place=on("E", "binder"))
    site.load("107", 70, place=on("E", "binder", end=350))
    flags = [row.last.rate.flags if row.last else () for row in site.view().rows]
    assert ["flag.parted" in one for one in flags] == [*[False] * 5, True, False]


def test_the_window_begins_again_after_a_skip() -> None:
    site = Site()
    site.lay(["21.00 t"] * 5)
    site.load("106", 60, place=on("E", "binder", 400, 450))
    assert [row.last is not None for row in site.view().rows] == [*[False] * 4, True, False]


@pytest.mark.parametrize(
    ("place", "mix"),
    [
        (on("W", "binder", 1000, 950), "ac16"),
        (on("E", "surface", 250, 300), "ac8"),
        (on("E", "binder", 250, 300), "ac8"),
        (on("E", "binder", 250, 300, "P2"), "ac16"),
    ],
    ids=["lane", "lift", "mix", "paver"],
)
def test_the_window_begins_again_at_a_change(place: dict[str, str], mix: str) -> None:
    site = Site()
    site.lay(["21.00 t"] * 5)
    site.load("106", 60, place=place, mix=mix)
    assert site.view().rows[-1].last is None


def test_deviation_is_percent_over_the_plan() -> None:
    site = Site()
    site.lay(["22.05 t"])
    (row,) = site.view().rows
    assert row.own.deviation is not None
    assert row.own.deviation.value == pytest.approx(5.0, rel=1e-9)


def test_equivalent_thickness_is_spread_over_density_and_says_its_condition() -> None:
    """126 kg/m2 at 2,400 kg/m3 is 52.5 mm, if the base is even."""
    site = Site()
    site.lay(["22.05 t"])
    thickness = site.view().rows[0].own.thickness
    assert thickness is not None
    assert thickness.value == pytest.approx(0.0525, rel=1e-12)
    assert thickness.flags == ("flag.if-base-even",)


def test_a_mix_without_a_density_gives_no_thickness() -> None:
    site = Site(PLAN.replace('density = "2400 kg/m3"\n', ""))
    site.lay(["21.00 t"])
    assert site.view().rows[0].own.thickness is None


# Ranges


def test_the_range_of_a_load_comes_from_both_its_stations() -> None:
    """First piece of a run, paver gone on: 0.5 m in 50 m is 210 kg at each end; of the 6 t that
    the paver may still hold 3 t are taken off, and the range says that it may be anything."""
    site = Site()
    site.lay(["21.00 t"])
    rate = site.view().rows[0].own.rate
    middle, half = 21_000 - 3_000, sqrt(2 * 210.0**2 + HELD_KG**2)
    assert rate.low == pytest.approx((middle - half) / 175, rel=1e-12)
    assert rate.high == pytest.approx((middle + half) / 175, rel=1e-12)
    assert rate.range_words == "range.95"


def test_the_range_within_a_run_has_mix_at_both_ends() -> None:
    site = Site()
    site.lay(["21.00 t"] * 2)
    rate = site.view().rows[1].own.rate
    half = sqrt(2 * 210.0**2 + 2 * HELD_KG**2)
    assert rate.low == pytest.approx((21_000 - half) / 175, rel=1e-12)
    assert rate.high == pytest.approx((21_000 + half) / 175, rel=1e-12)


def test_the_first_window_of_a_run_began_with_an_empty_paver() -> None:
    """Five loads of 21 t on 875 m2, 210 kg at each station: only the end holds mix unlaid, half of
    it taken off; in the sixth load's window it is there at both ends."""
    site = Site()
    site.lay(["21.00 t"] * 6)
    fifth, sixth = (row.last for row in site.view().rows[4:])
    assert fifth is not None
    assert sixth is not None
    half = sqrt(2 * 210.0**2 + HELD_KG**2)
    assert fifth.rate.low == pytest.approx((105_000 - 3_000 - half) / 875, rel=1e-12)
    half = sqrt(2 * 210.0**2 + 2 * HELD_KG**2)
    assert sixth.rate.low == pytest.approx((105_000 - half) / 875, rel=1e-12)


def test_a_paver_that_ended_holds_nothing_back() -> None:
    site = Site()
    site.lay(["21.00 t"])
    site.write("paver", {"event": "end"}, 30, place=at(50))
    rate = site.view().rows[0].own.rate
    half = 210.0 * sqrt(2)
    assert rate.low == pytest.approx((21_000 - half) / 175, rel=1e-12)
    assert rate.high == pytest.approx((21_000 + half) / 175, rel=1e-12)


def test_a_paver_that_the_plan_does_not_know_holds_nothing() -> None:
    site = Site()
    site.load("101", place=on("E", "binder", 0, 50, "P9"))
    rate = site.view().rows[0].own.rate
    half = 210.0 * sqrt(2)
    assert rate.high == pytest.approx((21_000 + half) / 175, rel=1e-12)


def test_a_rate_says_what_it_rests_on() -> None:
    site = Site()
    first = site.load("101", 0, place=on("E", "binder", 0, 50))
    site.load("102", 10, place=on("E", "binder", end=100))
    site.write("width", {"width": "3.60 m"}, 20, place=at(75))
    for by in ("ana", "greta"):
        place = on("E", "binder", 0, 50)
        site.load("101", by=by, late=30, strikes=first.id, why="x", net="22.05 t", place=place)
    flags = {row.piece.part.load.number: row.own.rate.flags for row in site.view().rows}
    assert flags == {
        "101": ("flag.provisional",),
        "102": ("flag.start-inferred", "flag.width-measured"),
    }


def test_a_part_whose_load_is_contested_is_provisional_too() -> None:
    site = Site()
    load = site.load("101")
    body = {"load": load.id, "to": "mainline"}
    site.write("placed", body, 5, place=on("E", "binder", 0, 50))
    assert site.view().rows[0].own.rate.flags == ()
    for by in ("ana", "greta"):
        site.load("101", by=by, late=30, strikes=load.id, why="x", net="22.05 t")
    assert site.view().rows[0].own.rate.flags == ("flag.provisional",)


# Planned mass


def test_levelling_goes_by_mass_per_station() -> None:
    """From 0+350 to 0+450: 50 m at 100 and 50 m at 250 kg/m plan 17.5 t; 21 t are 20 % over."""
    site = Site()
    site.load("101", place=on("E", "level", 350, 450))
    (row,) = site.view().rows
    assert row.own.total.planned_kg == pytest.approx(17_500.0, rel=1e-12)
    assert row.own.deviation is not None
    assert row.own.deviation.value == pytest.approx(20.0, rel=1e-12)
    assert row.own.thickness is None


def test_where_nothing_was_planned_there_is_no_deviation() -> None:
    site = Site()
    site.load("101", place=on("E", "level", 700, 750))
    (row,) = site.view().rows
    assert (row.own.deviation, row.own.judgements) == (None, ())


def test_a_piece_is_set_against_the_plan_of_its_moment() -> None:
    """The spread is lowered to 105 at 8:00: 21 t on 50 m are right before and 14.3 % over after."""
    site = Site()
    change = {"path": "lifts/binder/spread", "old": "120 kg/m2", "new": "105 kg/m2"}
    site.write("plan", change, 60, why="agreed", by="greta")
    site.lay(["21.00 t"], minute=59)
    site.load("102", 61, place=on("E", "binder", 50, 100))
    found = [row.own.deviation.value for row in site.view().rows if row.own.deviation]
    assert found == pytest.approx([0.0, 100 / 7], abs=1e-9)


# Totals


def test_a_shift_adds_up_its_lanes_and_lifts() -> None:
    """E binder 42 t on 350 m2; W binder 31.2 t on 100 m x 4 m less nothing = 400 m2; surface 16.8 t
    on 175 m2: 90 t on 925 m2, planned 42 + 48 + 16.8 = 106.8 t."""
    site = Site()
    site.lay(["21.00 t"] * 2)
    site.load("103", 20, net="31.20 t", place=on("W", "binder", 1200, 1100))
    site.load("104", 30, net="16.80 t", mix="ac8", place=on("E", "surface", 0, 50))
    courses = site.view().by_course
    assert {name: round(found.rate.value, 6) for name, found in courses.items()} == {
        ("E", "binder"): 120.0,
        ("W", "binder"): 78.0,
        ("E", "surface"): 96.0,
    }
    whole = shift(site)
    assert whole.rate.value == pytest.approx(90_000 / 925, rel=1e-12)
    assert whole.total.planned_kg == pytest.approx(106_800.0, rel=1e-12)
    assert whole.deviation is not None
    assert whole.deviation.value == pytest.approx(100 * (90 / 106.8 - 1), rel=1e-9)
    assert whole.thickness is None, "of two lifts there is no one thickness"
    assert whole.total.loads == 4


def test_a_load_split_over_two_lanes_is_one_load() -> None:
    site = Site()
    load = site.load("101")
    for lane, reach in (("E", (0, 25)), ("W", (1000, 975))):
        body = {"load": load.id, "to": "mainline", "mass": "10.50 t", "how": "estimated"}
        site.write("placed", body, 5, place=on(lane, "binder", *reach))
    assert shift(site).total.loads == 1
    assert [row.piece.mass_kg for row in site.view().rows] == [10_500.0, 10_500.0]


def test_driveways_waste_and_returns_stay_out_of_yield() -> None:
    """Of 21 t: 3 t to a driveway, 1 t wasted, 2 t weighed back, 15 t laid on 125 m2: 120 kg/m2."""
    site = Site()
    load = site.load("101")
    for to, mass in (("area", "3.00 t"), ("waste", "1.00 t")):
        site.write("placed", {"load": load.id, "to": to, "mass": mass}, 5)
    site.write("weigh-back", {"load": load.id, "net": "2.00 t"}, 30)
    body = {"load": load.id, "to": "mainline", "measured_area": "125 m2"}
    site.write("placed", body, 6, place=on("E", "binder", 0, 36))
    assert shift(site).total == Total(15_000.0, 125.0, 15_000.0, 36.0, 1)
    assert shift(site).rate.value == pytest.approx(120.0, rel=1e-12)


def test_before_anything_is_laid_there_is_no_yield() -> None:
    site = Site()
    site.load("101")
    assert site.view().shift_yield is None
    assert site.view().by_course == {}


def test_totals_go_on_from_the_shift_before() -> None:
    before, today = Site(), Site()
    before.lay(["21.00 t"] * 3)
    today.load("104", place=on("E", "binder", end=200))
    carry = carry_of(Facts(NAME, before.entries))
    seen = today.view(carry=carry)
    assert seen.totals["E", "binder"] == Total(84_000.0, 700.0, 84_000.0, 200.0, 4)
    assert seen.covered["E", "binder"] == ((0.0, 200.0),)
    assert seen.shift_yield is not None
    assert seen.shift_yield.total.mass_kg == 21_000.0


# To the end


def finish(site: Site, lift: str) -> Finish:
    return next(found for found in site.view().finishes if found.lift == lift)


def test_mass_and_rate_to_finish_on_the_budget() -> None:
    """Binder: E 2,000 m x 3.50 m = 7,000 m2; W 1,000 m x 4 m + 1,000 m x 3.5 m = 7,500 m2. After
    five loads of 22 t on 250 m: 13,625 m2 are left, which take 1,635 t at 120; of the budget of
    1,700 t 110 t are laid, 1,590 t left: 116.697 kg/m2 ends on it."""
    site = Site()
    site.lay(["22.00 t"] * 5)
    found = finish(site, "binder")
    assert found.area_m2 == pytest.approx(13_625.0, rel=1e-12)
    assert found.mass is not None
    assert found.mass.value == pytest.approx(1_635_000.0, rel=1e-12)
    assert found.budget_left_kg == pytest.approx(1_590_000.0, rel=1e-12)
    assert found.rate is not None
    assert found.rate.value == pytest.approx(1_590_000 / 13_625, rel=1e-12)


def test_without_a_budget_the_planned_mass_is_the_budget() -> None:
    """Surface: 7,000 m2 at 96 = 672 t; 16.8 t over 40 m is 120 kg/m2: 655.2 t for 6,860 m2."""
    site = Site()
    site.load("101", net="16.80 t", mix="ac8", place=on("E", "surface", 0, 40))
    found = finish(site, "surface")
    assert found.budget_left_kg == pytest.approx(655_200.0, rel=1e-12)
    assert found.rate is not None
    assert found.rate.value == pytest.approx(655_200 / 6_860, rel=1e-12)


def test_levelling_has_no_area_to_finish() -> None:
    assert [found.lift for found in Site().view().finishes] == ["binder", "surface"]


def test_at_the_end_nothing_is_left() -> None:
    site = Site()
    site.load("101", net="16.80 t", mix="ac8", place=on("E", "surface", 0, 2000))
    found = finish(site, "surface")
    assert (found.area_m2, found.mass, found.rate) == (0.0, None, None)
    assert found.budget_left_kg == pytest.approx(655_200.0, rel=1e-12)


def test_what_is_left_is_what_was_not_laid_wherever_the_paver_began() -> None:
    site = Site()
    site.load("101", net="16.80 t", mix="ac8", place=on("E", "surface", 1950, 2000))
    site.load("102", 9, net="16.80 t", mix="ac8", place=on("E", "surface", 1050, 1000))
    lane = site.view().plan.lanes["E"]
    whole = area(lane.widths, lane.from_m, lane.to_m)
    laid = area(lane.widths, 1950, 2000) + area(lane.widths, 1000, 1050)
    assert finish(site, "surface").area_m2 == pytest.approx(whole - laid)


def test_a_stretch_that_was_skipped_is_still_to_do() -> None:
    """50 m at the start, 100 m skipped, 50 m laid: 1,900 m of 3.50 m are left."""
    site = Site()
    for n, start in enumerate((0, 150)):
        place = on("E", "surface", start, start + 50)
        site.load(str(101 + n), n, net="16.80 t", mix="ac8", place=place)
    assert finish(site, "surface").area_m2 == pytest.approx(1_900 * 3.5, rel=1e-12)


def test_what_lies_past_the_end_of_the_lane_leaves_nothing_less_than_nothing() -> None:
    site = Site()
    for n, (start, end) in enumerate([(0, 1_000), (1_000, 2_005), (2_006, 2_010)]):
        place = on("E", "surface", start, end)
        site.load(str(101 + n), n, mix="ac8", place=place)
    assert len(site.view().rows) == 3
    assert finish(site, "surface").area_m2 == 0.0


def test_mass_without_an_area_has_left_the_budget_all_the_same() -> None:
    site = Site()
    site.lay(["21.00 t"])
    assert finish(site, "binder").budget_left_kg == pytest.approx(1_679_000.0)
    site.load("102", 10, place=on("E", "binder"))
    assert finish(site, "binder").budget_left_kg == pytest.approx(1_658_000.0)


def test_a_budget_that_is_spent_has_no_rate_left() -> None:
    site = Site()
    site.write(
        "plan",
        {"path": "lifts/binder/budget", "old": "1700 t", "new": "20 t"},
        -30,
        why="x",
        by="greta",
    )
    site.lay(["21.00 t"])
    found = finish(site, "binder")
    assert found.budget_left_kg == pytest.approx(-1_000.0)
    assert found.rate is None
    assert found.mass is not None


# Limits


def test_yield_beyond_a_limit_is_judged_by_the_limits_digits() -> None:
    """5.0 %: 22.05 t is 5.00 % over and within; 22.07 t is 5.1 % and beyond."""
    for net, beyond in (("22.05 t", 0), ("22.07 t", 1)):
        site = Site()
        site.lay([net] * 5)
        last = site.view().rows[-1].last
        assert last is not None
        assert len(last.beyond) == beyond


def test_rows_are_remembered_until_something_changes() -> None:
    site = Site()
    site.lay(["21.00 t"] * 5)
    facts = site.facts
    first = rows(facts, NOTHING.restarts)
    assert rows(facts, NOTHING.restarts) is first
    facts.add(site.write("note", {"text": "dry"}, 100))
    assert rows(facts, NOTHING.restarts) is first
    facts.add(site.load("106", 110, place=on("E", "binder", end=300)))
    again = rows(facts, NOTHING.restarts)
    assert len(again) == 6
    assert again[0].own is first[0].own, "what did not change is not worked out again"
    assert DAY + timedelta(minutes=110) == again[-1].piece.at


def test_mix_without_a_place_has_left_the_budget_all_the_same() -> None:
    site = Site()
    before = finish(site, "binder").budget_left_kg
    site.load("101", 0, net="21.00 t", place={"lane": "E", "lift": "binder", "paver": "P1"})
    after = finish(site, "binder").budget_left_kg
    assert before is not None
    assert after == before - 21_000.0
