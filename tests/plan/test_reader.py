"""Reading a plan: the records it gives, and the sentence of every mistake it can have."""

import tomllib
from pathlib import Path

import pytest

from matbook.engine.spread import Width
from matbook.engine.stationing import Stationing
from matbook.errors import PlanRefused
from matbook.plan.model import Limit, Reach
from matbook.plan.reader import LONGEST, read_document, read_plan
from tests.plan.plans import PLAN, mistakes, quickest, spoilt


def test_a_plan_gives_its_records_in_si() -> None:
    plan = read_plan(PLAN)
    assert (plan.job.id, plan.job.units, plan.job.paper, plan.job.rounding) == (
        "ridge",
        "metric",
        "a4",
        "half-even",
    )
    assert plan.station_error_m == 0.5
    assert plan.roads["ridge"].stationing == Stationing("1000m", [("2+600.00", "2+650.00")])
    assert plan.roads["lane"].stationing.foot == "ftUS"
    assert plan.road_of("W").id == "ridge"
    surface = plan.lifts["surface"]
    assert (surface.thickness_m, surface.spread_kg_m2) == (0.05, 118.0)
    assert (surface.budget_kg, surface.roll_down) == (435_000.0, 0.2)
    assert plan.areas["driveway"].area_m2 == 24.0
    assert plan.mixes["ac11"].target_density == "93.0 %"
    assert plan.mixes["ac11"].density_kg_m3 == 2360.0
    assert (plan.trucks["12"].tare_kg, plan.trucks["12"].legal_gross_kg) == (11_340.0, 36_000.0)
    assert plan.trucks["14"].spacings_m == (1.5, 4.2)
    assert (plan.pavers["P1"].kind, plan.pavers["P1"].holds_kg) == ("paver", 8000.0)
    assert plan.rollers["R1"].frequency_hz == 50.0
    assert plan.instruments["probe-7"].due == "2026-10-20"
    assert plan.plants["east"].columns == {"ticket": "Ticket No", "net": "Net t", "temp": ""}
    assert plan.acceptance == {"lots": [{"size": 500, "cap": 1.02, "last": True}]}
    assert plan.document == tomllib.loads(PLAN)


def test_stations_are_read_through_the_roads_equations() -> None:
    plan = read_plan(PLAN)
    east, west = plan.lanes["E"], plan.lanes["W"]
    assert (east.from_m, east.to_m) == (2400.0, 3350.0)  # 50 m of labels are left out
    assert (west.from_m, west.to_m) == (3350.0, 2400.0)
    assert east.widths == (Width(2400.0, 3.65),)
    assert west.widths == (Width(2400.0, 3.65, "linear"), Width(2950.0, 4.2))
    assert plan.lifts["levelling"].levelling == (Reach(2400.0, 2600.0, 55.0),)
    assert plan.lifts["levelling"].spread_kg_m2 is None


def test_a_mix_may_have_no_target_density() -> None:
    plan = read_plan(spoilt('target_density = "93.0 %"\n', ""))
    assert plan.mixes["ac11"].target_density == ""


def test_a_lane_is_on_the_only_road_without_saying_so() -> None:
    one_road = spoilt(
        '\n[[roads]]\nid = "lane"\nname = "Mill Lane"\nstationing = "100ft"\nfoot = "ftUS"\n', ""
    )
    plan = read_plan(one_road.replace('road = "ridge"\n', ""))
    assert plan.lanes["E"].road == "ridge"


def test_checks_count_by_what_their_interval_measures() -> None:
    probe, depth = read_plan(PLAN).checks
    assert (probe.first, probe.every, probe.per, probe.of) == (5, 5.0, "loads", {"temp": "*"})
    assert (depth.every, depth.per, depth.resets) == (30.0, "distance", ("lane", "stop"))


@pytest.mark.parametrize(
    ("written", "every", "per"),
    [("1 load", 1.0, "loads"), ("200 t", 200_000.0, "mass"), ("90 min", 5400.0, "time")],
)
def test_an_interval_has_a_unit(written: str, every: float, per: str) -> None:
    check = read_plan(spoilt("30 m", written)).checks[1]
    assert (check.every, check.per) == (every, per)


def test_a_check_may_be_due_only_at_the_start() -> None:
    check = read_plan(spoilt('every = "30 m"\n', "")).checks[1]
    assert (check.first, check.every, check.per) == (3, None, "loads")


def test_temperatures_by_stage_and_adopted_rows_become_limits() -> None:
    limits = {limit.id: limit for limit in read_plan(PLAN).limits}
    assert list(limits) == [
        "yield-last",
        "cold",
        "ac11-delivery-low",
        "ac11-delivery-high",
        "common-practice/ramp-ratio",
        "en-13108-1/plant-50-70/ac11",
    ]
    assert limits["ac11-delivery-low"] == Limit(
        id="ac11-delivery-low",
        quantity="temperature.delivery",
        side="min",
        number="115",
        unit="degC",
        grade="act",
        mix="ac11",
        tell=("plant",),
    )
    assert limits["ac11-delivery-high"].side == "max"
    ramp = limits["common-practice/ramp-ratio"]
    assert (ramp.number, ramp.source) == ("20", "common practice, no published source")
    recalled = limits["en-13108-1/plant-50-70/ac11"]
    assert (recalled.mix, recalled.standing) == ("ac11", "from memory")
    assert recalled.source == "EN 13108-1, 2006"


def test_strips_and_gauges_have_what_is_usual_where_nothing_was_agreed() -> None:
    plan = read_plan(PLAN)
    strip, gauge = plan.control_strip, plan.gauge
    assert strip is not None
    assert (strip.length_m, strip.readings, strip.mean) == (90.0, 10, "98.0")
    assert strip.every_kg == pytest.approx(2e6)
    assert gauge.turned_kg_m3 == pytest.approx(40.05, abs=0.005)
    assert gauge.clearances_m["other source"] == 10.0  # AASHTO T 355
    bare = read_plan(PLAN.partition("[control_strip]")[0] + PLAN.partition('"2.5 pcf"\n')[2])
    assert bare.control_strip is None
    assert (bare.gauge.drift, bare.gauge.turned_kg_m3) == ("1.0", 40.0)


def test_printed_digits_are_kept() -> None:
    plan = read_plan(spoilt('low = "115 degC"', 'low = "115.0 degC"'))
    assert [limit.number for limit in plan.limits if limit.id.endswith("-low")] == ["115.0"]
    assert plan.limits[0].number == "5.0"


def test_all_mistakes_are_said_at_once_in_the_order_of_the_plan() -> None:
    text = spoilt(
        'owner = "Merrow County"\n',
        "",
        'width = "3.65 m"\n\n[[lanes]]',
        'width = "365 kg"\n\n[[lanes]]',
        'thickness = "50 mm"',
        'thickness = "50 m"',
        'role = "plant"',
        'role = "plants"',
    )
    assert [place for place, _ in mistakes(text)] == [
        "job, owner",
        "lanes[1] “E”, width",
        "lifts[1] “surface”, thickness",
        "people[3] “rika”, role",
    ]


def test_the_error_reads_as_lines_of_place_and_sentence() -> None:
    with pytest.raises(PlanRefused) as refused:
        read_plan(spoilt("50 mm", "50 m"))
    assert str(refused.value) == (
        "lifts[1] “surface”, thickness: thickness is “50 m”; "
        "it must be a length from 5 mm to 500 mm, its unit beside it."
    )


SYNTAX = [
    ("matbook = \n", "line 1, column 11", "Invalid value"),
    ("matbook = 1\nname = 'x", "end of the plan", "Expected"),
    ("a = 1\na = 2\n", "line 2, column 6", "Cannot overwrite a value"),
    ("a = " + "9" * 5000, "plan", "Exceeds the limit"),
    ("a = " + "[" * 100_000, "plan", "nested too deep"),
    ("x" * (LONGEST + 1), "plan", f"at most {LONGEST}"),
    ('a = "\0"', "line 1, column 6", "Illegal character"),
]


@pytest.mark.parametrize(("text", "place", "says"), SYNTAX)
def test_what_is_not_toml_is_placed(text: str, place: str, says: str) -> None:
    ((found, sentence),) = mistakes(text)
    assert found == place
    assert says in sentence
    assert len(sentence) < 250


WRONG = tomllib.loads(Path(__file__).with_name("mistakes.toml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", WRONG["mistake"], ids=lambda case: case["place"])
def test_a_mistake_is_said_once_where_it_is(case: dict[str, str]) -> None:
    ((place, sentence),) = mistakes(spoilt(case["old"], case["new"]))
    assert place == case["place"]
    assert sentence == case.get("sentence", sentence)
    assert sentence.endswith((".", "?"))


def test_a_name_is_given_once() -> None:
    found = dict(mistakes(spoilt('id = "W"', 'id = "E"')))
    assert found["lanes[2] “E”, id"] == (
        "id is “E”; lanes[1] “E” has it already, and it must differ."
    )
    found = dict(mistakes(spoilt('id = "cold"', 'id = "yield-last"')))
    assert list(found) == ["limits[2] “yield-last”, id"]
    place = "lanes[2] “W”, widths[2] “2+400”, at"
    assert (
        place,
        "at is “2+400”; lanes[2] “W”, widths[1] “2+400” has it already, and it must differ.",
    ) in (mistakes(spoilt('at = "3+000"', 'at = "2+400"')))


def test_lists_with_nothing_in_them_are_as_good_as_none() -> None:
    no_width = mistakes(spoilt('width = "3.65 m"\n\n[[lanes]]', "widths = []\n\n[[lanes]]"))
    no_mass = mistakes(spoilt('spread = "118 kg/m2"', "levelling = []"))
    no_road = mistakes(spoilt('road = "ridge"\nfrom = "2+400"', 'road = ""\nfrom = "2+400"'))
    assert [place for ((place, _),) in (no_width, no_mass, no_road)] == [
        "lanes[1] “E”, width",
        "lifts[1] “surface”, spread",
        "lanes[1] “E”, road",
    ]


def test_text_is_one_line_of_plain_characters() -> None:
    for fine in ("Ridge\u00a0Road", "Rue de l’Église", "道路"):
        assert (
            read_plan(spoilt('name = "Dale Fenn"', f'name = "{fine}"')).people["dale"].name == fine
        )
    for odd in ("\\u001b[1m", "a\\u2028b", "a\\nb", "\\u0085"):
        ((place, _),) = mistakes(spoilt('name = "Dale Fenn"', f'name = "{odd}"'))
        assert place == "people[2] “dale”, name"


def test_a_place_shows_no_control_characters() -> None:
    ((place, _),) = mistakes(spoilt("frequency =", '"beats\\u001b" ='))
    assert place == "rollers[1] “R1”, beats·"


def test_levelling_stays_on_one_road() -> None:
    text = spoilt(
        'lanes = ["E"]\n',
        'lanes = ["E", "W"]\n',
        'road = "ridge"\nfrom = "3+400"\nto = "2+400"',
        'road = "lane"\nfrom = "34+00"\nto = "24+00"',
        'at = "2+400", width',
        'at = "24+00", width',
        'at = "3+000"',
        'at = "30+00"',
    )
    ((place, sentence),) = mistakes(text)
    assert place == "lifts[2] “levelling”, lanes"
    assert "split the lift" in sentence


def test_a_plan_of_nothing_says_what_it_needs() -> None:
    found = mistakes("")
    assert [place for place, _ in found] == [
        "matbook",
        "job",
        "reading",
        "roads",
        "lanes",
        "lifts",
        "mixes",
        "people",
    ]
    assert dict(found)["roads"] == (
        "roads is missing; it must be a list of tables, written [[roads]] before each."
    )


def test_tables_must_be_tables() -> None:
    found = dict(mistakes("job = 1\nroads = [1]\nlanes = []\nlifts = {}"))
    assert found["job"] == "job is 1; it must be a table, written [job]."
    assert found["roads"].startswith("roads is [1]; it must be a list of tables")
    assert found["lanes"].startswith("lanes is []; it must be a list of tables")


def test_without_a_road_no_station_is_blamed() -> None:
    found = mistakes(spoilt('stationing = "1000m"', 'stationing = "1 km"'))
    assert [place for place, _ in found] == ["roads[1] “ridge”, stationing"]


def test_reading_takes_under_10_ms_for_a_plan_of_15_kb() -> None:
    """Without TOML itself."""
    truck = '[[trucks]]\nid = "T{0}"\nname = "Truck {0}"\ntare = "11.34 t"\nlegal_gross = "36 t"\n'
    text = PLAN + "".join(truck.format(number) for number in range(160))
    assert len(text) > 15_000
    document = tomllib.loads(text)
    assert quickest([lambda: read_document(document)] * 6) < 0.010


def test_a_check_at_events_counts_nothing_else() -> None:
    check = (
        '[[checks]]\nid = "x"\nname = "X"\nkind = "slope"\nat = ["start"]\nfirst = 1\n[[plants]]'
    )
    with pytest.raises(PlanRefused, match="give it alone, without first and every"):
        read_plan(spoilt("[[plants]]", check))


def test_lots_by_the_day_that_are_paid_together_have_no_price() -> None:
    text = spoilt(
        *('size = "500 t"\n', ""), *('price = "95.00"\n', ""), *('size = "500.0 t"\n', ""),
        *('band = "3.0 m"', 'band = "3.0 m"\nprice = "95.00"'),
    )  # fmt: skip
    ((place, sentence),) = mistakes(text)
    assert place == "composites[1] “whole”, price"
    assert sentence == (
        "price is “95.00”; lots by the day have no size to pay for: give them a size."
    )
