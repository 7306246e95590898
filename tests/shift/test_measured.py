"""Readings set against the plan: what was read, what it should be, what its limits say."""

import pytest

from matbook.shift.measured import MEASURES, Reading, readings
from tests.shift.placed import PLACED
from tests.shift.site import PLAN, Site, at


def read(kind: str, body: dict[str, str], place: dict[str, str] | None = None) -> Reading:
    site = Site()
    site.write(kind, body, 10, place=at(40) if place is None else place)
    (reading,) = readings(site.facts, kind)
    return reading


def test_a_loose_depth_against_what_rolls_down_to_the_plan() -> None:
    """50 mm at 20 % of the loose depth: 62.5 mm; 70 mm are 7.5 over, and 6 are allowed."""
    reading = read("loose-depth", {"depth": "70 mm"})
    assert reading.target is not None
    assert reading.target.value == pytest.approx(0.0625, rel=1e-12)
    assert reading.deviation == pytest.approx(0.0075, rel=1e-9)
    assert [str(judgement.by) for judgement in reading.beyond] == ["1.5"]
    assert read("loose-depth", {"depth": "68 mm"}).beyond == ()


def test_a_loose_depth_where_the_plan_has_no_thickness_is_only_shown() -> None:
    for lift in ("level", "surface", "nowhere"):
        reading = read("loose-depth", {"depth": "70 mm"}, at(40, "E", lift))
        assert (reading.target, reading.deviation, reading.judgements) == (None, None, ())


def test_a_width_against_the_planned_one_at_its_station() -> None:
    """Lane W widens from 3 m at 0+000 to 4 m at 1+000: 3.50 m at its middle."""
    reading = read("width", {"width": "3.42 m"}, at(500, "W"))
    assert reading.target is not None
    assert reading.target.value == 3.5
    assert reading.deviation == pytest.approx(-0.08)
    assert len(reading.beyond) == 1
    assert read("width", {"width": "3.46 m"}, at(500, "W")).beyond == ()


@pytest.mark.parametrize("place", [{"lane": "E"}, {"station": "0+040"}], ids=["station", "lane"])
def test_a_width_without_its_place_has_no_target(place: dict[str, str]) -> None:
    assert read("width", {"width": "3.42 m"}, place).target is None


def test_a_slope_read_directly_or_by_a_board() -> None:
    """24 mm under a board of 1.2 m is 2.0 %; planned 2.5 %: half a percent off is allowed."""
    direct = read("slope", {"slope": "3.1 %", "planned": "2.5 %"})
    assert direct.value.value == pytest.approx(0.031)
    assert len(direct.beyond) == 1
    board = read("slope", {"reading": "24 mm", "board": "1.2 m", "planned": "2.5 %"})
    assert board.value.value == pytest.approx(0.02, rel=1e-12)
    assert board.deviation == pytest.approx(-0.005)
    assert board.beyond == ()
    assert board.value.open()["function"] == "matbook.engine.geometry.slope_from_board"
    assert read("slope", {"slope": "3.1 %"}).judgements == ()


def test_a_slope_by_a_level() -> None:
    """By definition: the staff reads 74 mm more 3.7 m farther across, so it falls by 2.0 %."""
    body = {"staff_near": "1.410 m", "staff_far": "1.484 m", "apart": "3.7 m"}
    level = read("slope", {**body, "planned": "2.5 %"})
    assert level.value.value == pytest.approx(0.02, rel=1e-12)
    assert level.value.open()["function"] == "matbook.engine.geometry.slope_from_levels"
    assert level.beyond == ()


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"reading": "24 mm"},
        {"board": "1.2 m"},
        {"staff_near": "1.410 m", "staff_far": "1.484 m"},
    ],
)
def test_half_a_slope_is_no_reading(body: dict[str, str]) -> None:
    site = Site()
    site.write("slope", body, 10, place=at(40))
    assert readings(site.facts, "slope") == ()


@pytest.mark.parametrize(
    "body",
    [
        {"reading": "600 mm", "board": "0.3 m"},
        {"staff_near": "1.410 m", "staff_far": "2.484 m", "apart": "1 m"},
    ],
)
def test_what_no_mat_can_be_counts_nowhere_and_is_called(body: dict[str, str]) -> None:
    site = Site()
    wrong = site.write("slope", body, 10, place=at(40))
    site.write("slope", {"slope": "2 %"}, 12, place=at(60))
    assert [one.value.value for one in readings(site.facts, "slope")] == [0.02]
    (call,) = site.calls("reading.impossible")
    assert call.entries == (wrong.id,)


def test_a_temperature_behind_the_screed() -> None:
    assert read("temperature", {"stage": "laydown", "temp": "110 degC"}).beyond == ()
    cold = read("temperature", {"stage": "laydown", "temp": "109 degC", "how": "probe"})
    assert [(j.limit.quantity, str(j.by)) for j in cold.beyond] == [("temperature.laydown", "1")]


def test_infrared_sees_the_skin_and_is_not_set_against_the_limit() -> None:
    reading = read("temperature", {"stage": "laydown", "temp": "90 degC", "how": "infrared"})
    assert (reading.judgements, reading.note) == ((), "reading.skin-only")


def test_a_temperature_is_judged_by_the_mix_of_its_lift() -> None:
    """The limit is on ac16; the surface is ac8, whose plan has none."""
    body = {"stage": "laydown", "temp": "90 degC"}
    assert read("temperature", body, at(40, "E", "surface")).judgements == ()


def test_a_temperature_without_a_lift_is_judged_only_where_one_mix_can_be_meant() -> None:
    body = {"stage": "laydown", "temp": "80 degC"}
    unsure = read("temperature", body, {"lane": "E"})
    assert (unsure.judgements, unsure.note) == ((), "reading.no-lift")
    site = Site(PLAN.replace('mix = "ac8"', 'mix = "ac16"'))
    site.write("temperature", body, 10, place={"lane": "E"})
    (sure,) = readings(site.facts, "temperature")
    assert ([str(j.by) for j in sure.beyond], sure.note) == (["30"], "")
    elsewhere = read("temperature", {"stage": "opening", "temp": "80 degC"}, {"lane": "E"})
    assert (elsewhere.judgements, elsewhere.note) == ((), "")


def test_a_ramp_is_length_to_one_of_height() -> None:
    """20 to 1: common practice, no published source; here the plan's own."""
    assert read("ramp", {"step": "50 mm", "length": "1.0 m"}).beyond == ()
    short = read("ramp", {"step": "50 mm", "length": "0.9 m"})
    assert short.value.value == pytest.approx(18.0)
    assert len(short.beyond) == 1


def test_a_ramp_over_no_step_has_no_ratio() -> None:
    site = Site()
    site.write("ramp", {"step": "0 mm", "length": "1.0 m"}, 10, place=at(40))
    assert readings(site.facts, "ramp") == ()


# Edges; tack has a file of its own


def edge(kind: str, body: dict[str, str], place: dict[str, str] | None = None) -> list[Reading]:
    site = Site(PLACED)
    site.write(kind, body, 10, place=place or at(40))
    return list(readings(site.facts, kind))


def test_a_wedge_has_a_ratio_and_an_angle() -> None:
    """50 mm over 86.6 mm is 30 degrees, 1.73 to 1 (FHWA-SA-12-010); 4 to 1 is asked here."""
    ratio, angle = edge("edge", {"form": "wedge", "height": "50 mm", "run": "86.6 mm"})
    assert (ratio.quantity, angle.quantity) == ("edge.ratio", "edge.angle")
    assert ratio.value.value == pytest.approx(1.732)
    assert angle.value.value == pytest.approx(30.0, abs=0.01)
    assert len(ratio.beyond) == 1
    assert angle.judgements == ()
    assert edge("edge", {"height": "50 mm", "run": "200 mm"})[0].beyond == ()


def test_an_edge_that_stands_upright_is_a_drop_off() -> None:
    (high,) = edge("edge", {"form": "upright", "height": "60 mm"})
    assert (high.quantity, [str(one.by) for one in high.beyond]) == ("drop-off", ["10"])
    assert edge("edge", {"height": "0 mm", "run": "20 mm"}) == []


def test_an_open_joint_is_a_drop_off_too_and_its_offset_is_judged() -> None:
    offset, drop = edge(
        "joint-longitudinal", {"offset": "100 mm", "height": "60 mm", "edge": "open"}
    )
    assert (offset.quantity, drop.quantity) == ("joint.offset", "drop-off")
    assert (len(offset.beyond), len(drop.beyond)) == (1, 1)
    assert edge("joint-longitudinal", {"height": "60 mm", "edge": "closed"}) == []


def test_loose_mat_above_the_cold_one_as_much_as_rolls_down_to_it() -> None:
    """50 mm at 20 %: 62.5 loose, so 12.5 above; a quarter inch on an inch at 25 % of compacted."""
    lap, height = edge("overlap", {"overlap": "30 mm", "height": "15 mm"})
    assert (lap.quantity, height.quantity) == ("overlap", "joint.height")
    assert height.target is not None
    assert height.target.value == pytest.approx(0.0125)
    assert height.deviation == pytest.approx(0.0025)
    (_, bare) = edge("overlap", {"overlap": "30 mm", "height": "15 mm"}, at(40, lift="level"))
    assert bare.target is None


STRAIGHT = [
    ("overlap", {"overlap": "15 mm"}, {"overlap": "20 mm"}),
    ("straightedge", {"length": "3 m", "gap": "6 mm"}, {"length": "3 m", "gap": "5 mm"}),
    ("roller", {"roller": "R1", "event": "rolling", "speed": "6 km/h"},
     {"roller": "R1", "event": "rolling", "speed": "5 km/h"}),
    ("weather", {"air": "4 degC", "surface": "9 degC"}, {"air": "5 degC", "surface": "9 degC"}),
    ("weather", {"air": "9 degC", "surface": "4 degC"}, {"surface": "5 degC"}),
    ("surface", {"fit": "yes", "temp": "4 degC"}, {"fit": "yes", "temp": "5 degC"}),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "beyond", "within"), STRAIGHT)
def test_a_field_judged_as_it_is(kind: str, beyond: dict[str, str], within: dict[str, str]) -> None:
    for body, count in ((beyond, 1), (within, 0)):
        site = Site()
        site.write(kind, body, 10)
        assert len([j for r in readings(site.facts, kind) for j in r.beyond]) == count


def test_a_field_left_out_is_no_reading() -> None:
    site = Site()
    site.write("roller", {"roller": "R1", "event": "start"}, 10)
    assert readings(site.facts, "roller") == ()


def test_every_kind_that_is_measured_has_been_measured_here() -> None:
    here = {kind for kind, _, _ in STRAIGHT} | {
        "loose-depth", "width", "slope", "temperature", "ramp", "tack", "edge",
        "joint-longitudinal",
    }  # fmt: skip
    assert here == set(MEASURES)


def test_a_contested_reading_spans_all_that_was_said() -> None:
    site = Site()
    first = site.write("loose-depth", {"depth": "62 mm"}, 10, place=at(40))
    for by, depth in (("ana", "63 mm"), ("greta", "66 mm")):
        site.write("loose-depth", {"depth": depth}, 10, by=by, place=at(40), strikes=first.id,
                   why="misread")  # fmt: skip
    (reading,) = readings(site.facts, "loose-depth")
    assert (reading.value.low, reading.value.high) == (0.063, 0.066)
    assert reading.value.range_words == "contest"


def test_a_reading_is_judged_by_the_plan_of_its_moment() -> None:
    site = Site()
    change = {"path": "limits/depth/number", "old": "6", "new": "9"}
    site.write("plan", change, 60, why="agreed", by="greta")
    for minute in (59, 61):
        site.write("loose-depth", {"depth": "70 mm"}, minute, place=at(40))
    assert [len(reading.beyond) for reading in readings(site.facts, "loose-depth")] == [1, 0]
