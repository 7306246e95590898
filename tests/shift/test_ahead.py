"""Can we pave? The hours ahead against direct forecasts, the rollers and the hour of opening."""

from dataclasses import replace
from datetime import timedelta

import pytest

from matbook.engine.cooling import Layer, forecast
from matbook.plan.model import Plan
from matbook.plan.reader import read_plan
from matbook.shift.ahead import HOUR, Ahead
from matbook.shift.ground import beneath
from matbook.shift.rolling import density_phases, planned_pace, work
from matbook.shift.skies import Sky
from tests.shift.cooled import PHASES, rolled
from tests.shift.site import clock

OPENS = 'rolling_ends = "80 degC"\nopens_below = "60 degC"'


def plan(phases: str = PHASES) -> Plan:
    text = rolled(phases=phases).replace('rolling_ends = "80 degC"', OPENS)
    return read_plan(text)


def sky(minute: float = 0, air: float = 15.0, wind: float = 3.0, base: float | None = None) -> Sky:
    return Sky(clock(minute), air, wind, 1.0, base, ())


def ahead(held: Plan | None = None, **changes: object) -> Ahead:
    held = held or plan()
    works = [work(held, one, 3.7) for one in density_phases(held, "ac16")]
    assert held.site is not None
    made = Ahead(
        plan=held,
        site=held.site,
        mix=held.mixes["ac16"],
        skies=(sky(),),
        hours=(clock(0), clock(60)),
        thicknesses_m=(0.030, 0.050),
        planned_m=0.050,
        laid_c=145.0,
        ends_c=80.0,
        works=tuple(one for one in works if one is not None),
        pace_m_s=planned_pace(held),
        opens_below_c=60.0,
    )
    return replace(made, **changes)  # type: ignore[arg-type]


def test_a_cell_is_the_forecast_made_for_that_hour_and_thickness() -> None:
    made = ahead()
    cell = made.cell(clock(60), 0.050)
    held = made.plan.mixes["ac16"]
    over = sky().over(made.site, clock(60))
    later = sky().over(made.site, clock(120))
    assert over is not None
    assert later is not None
    lift = Layer(0.050, 1.6, held.density_kg_m3 or 0.0, 921.0, 145.0)
    alone = forecast([lift, *beneath((), 15.0)], [(0.0, over), (3600.0, later)], 80.0)
    assert cell.left == alone.time_to(80.0)
    assert cell.phases == (alone.time_to(110.0),)


def test_weather_that_was_entered_for_later_counts_from_then() -> None:
    steady = ahead()
    change = ahead(skies=(sky(), sky(10, air=2.0, wind=12.0)))
    before, after = (one.cell(clock(0), 0.050).left for one in (steady, change))
    assert before is not None
    assert after is not None
    assert after.middle < before.middle - 60.0


def test_the_rollers_are_held_against_the_early_end_then_the_middle() -> None:
    """Reference 5.4: 40 m strips are done 17.1 min after laying at 4.69 m/min."""
    (need,) = ahead().needs
    assert need.value / 60.0 == pytest.approx(17.1, abs=0.05)
    warm = plan(PHASES.replace('ends = "110 degC"', 'ends = "95 degC"'))
    states = {}
    for laid in range(120, 191, 10):
        cell = ahead(warm, laid_c=float(laid)).cell(clock(0), 0.050)
        (left,) = cell.phases
        assert left is not None
        in_time = need.value <= left.early, need.value <= left.middle
        assert cell.state == {(True, True): "fine", (False, True): "watch"}.get(in_time, "act")
        states[cell.state] = laid
    assert states["act"] < states["watch"] < states["fine"]


def test_mix_already_colder_than_the_end_has_no_minutes() -> None:
    cell = ahead(laid_c=79.0).cell(clock(0), 0.050)
    assert cell.left is not None
    assert cell.left.late == 0.0
    assert cell.state == "act"
    warm = ahead(laid_c=100.0).cell(clock(0), 0.050)
    assert warm.phases[0] is not None
    assert warm.phases[0].late == 0.0, "colder than its phase ends at"


def test_without_rollers_in_the_plan_nothing_is_held_against_them() -> None:
    made = ahead(works=(), pace_m_s=None)
    assert made.cell(clock(0), 0.050).state == "unknown"
    assert (made.thinnest(clock(0)), made.coldest(clock(0)), made.earliest) == (None, None, None)


def test_the_thinnest_the_coldest_and_the_earliest_are_the_first_that_work() -> None:
    made = ahead(skies=(sky(air=2.0, wind=8.0), sky(60, air=25.0, wind=1.0, base=30.0)))
    assert made.earliest is None or made.cell(made.earliest, 0.050).state == "fine"
    thin, cold = made.thinnest(clock(60)), made.coldest(clock(60))
    assert thin is not None
    assert cold is not None
    assert made.cell(clock(60), thin).state == "fine"
    assert made.cell(clock(60), thin - 0.005).state != "fine"
    assert made.cell(clock(60), 0.050, cold).state == "fine"
    assert made.cell(clock(60), 0.050, cold - 5.0).state != "fine"
    hotter = ahead(laid_c=cold, skies=made.skies)
    assert hotter.earliest in (clock(0), clock(60))


def test_nothing_works_where_the_rollers_need_longer_than_any_lift_lasts() -> None:
    endless = ahead(plan(PHASES.replace('strip = "40 m"', 'strip = "500 m"')))
    assert endless.thinnest(clock(0)) is None
    assert endless.coldest(clock(0)) is None


def test_the_road_opens_when_the_mat_is_cool_by_the_late_end() -> None:
    made = ahead()
    cool = made.cool(clock(0))
    assert cool is not None
    early = made.closure(clock(0) + timedelta(seconds=cool.late - 60.0))
    assert early is not None
    assert early.last_laid is None
    late = made.closure(clock(30) + timedelta(seconds=cool.late))
    assert late is not None
    assert late.last_laid is not None
    assert abs((late.last_laid - clock(30)).total_seconds()) < 300.0  # cools alike in both hours
    assert not late.is_last_hour
    last = made.closure(clock(0) + 9 * HOUR)
    assert last is not None
    assert (last.last_laid, last.is_last_hour) == (clock(60), True)
    assert ahead(opens_below_c=None).closure(clock(600)) is None
    assert ahead(opens_below_c=None).cool(clock(0)) is None
    assert ahead(laid_c=55.0).cool(clock(0)) == type(cool)(0.0, 0.0, 0.0)
    assert ahead(hours=(clock(0),)).closure(clock(600)) is None


def test_the_owners_limits_on_the_weather_stand_beside_it() -> None:
    made = ahead()
    assert [(one.limit.quantity, one.ok) for one in made.judged(sky(air=-9.0))] == [
        ("air.temperature", False)
    ]
    assert [one.ok for one in made.judged(sky(air=20.0, base=3.0))] == [True, False]
