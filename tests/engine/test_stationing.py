"""Stationing: every style, labels read and printed, and round trips through gaps and overlaps."""

import math
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from matbook.engine.stationing import FEET, STYLES, Stationing
from matbook.errors import AmbiguousStation, OutOfRange, Refused, UnknownStation

FOOT_M = 0.3048
OVERLAP = Stationing("100ft", [("26+00.55", "24+06.20")])
GAP = Stationing("100ft", [("11+50.25", "12+00.00")])


# Reading and printing


@pytest.mark.parametrize("style", STYLES)
def test_every_style_reads_its_own_example(style: str) -> None:
    road, example = Stationing(style), STYLES[style].example
    assert road.format(road.parse(example)) == example


@pytest.mark.parametrize(
    ("style", "text", "metres"),
    [
        ("100ft", "124+46.20", 12446.20 * FOOT_M),
        ("100ft", "0+00", 0.0),
        ("100ft", "-0+50.00", -50 * FOOT_M),
        ("100ft", "\u22121+50", -150 * FOOT_M),
        ("100m", "29+46.5", 2946.5),
        ("1000m", "2+946", 2946.0),
        ("1000m", "2+946.5", 2946.5),
        ("1000m", "2+946,5", 2946.5),
        ("1000m", " 2 + 946 ", 2946.0),
        ("1000m", "2+946 (zone 0)", 2946.0),
    ],
)
def test_read(style: str, text: str, metres: float) -> None:
    assert Stationing(style).parse(text) == pytest.approx(metres, rel=1e-15)


@pytest.mark.parametrize(
    ("style", "text"),
    [
        ("1000m", "2+1946"),
        ("1000m", "2+46"),
        ("100ft", "124+6"),
        ("100ft", "124+460"),
        ("100m", "29+946"),
        ("1000m", "2946"),
        ("1000m", "KM 2+946"),
        ("1000m", "2+946 m"),
        ("1000m", "2+946."),
        ("1000m", "2+946.5.1"),
        ("1000m", "+946"),
        ("1000m", "2++946"),
        ("1000m", "2+946 (zone one)"),
        ("1000m", "٢+946"),
        ("1000m", "123456789+000"),
        ("1000m", "2+946.1234567891"),
        ("1000m", ""),
    ],
)
def test_not_a_label(style: str, text: str) -> None:
    digits, example = STYLES[style].digits, STYLES[style].example
    with pytest.raises(Refused) as caught:
        Stationing(style).parse(text)
    assert caught.value.code == "refused"
    assert str(caught.value).endswith(
        f"it must be a label with {digits} digits behind the plus, such as {example}."
    )


@pytest.mark.parametrize(
    ("style", "metres", "places", "text"),
    [
        ("1000m", 2946.0, None, "2+946"),
        ("1000m", 2946.04, None, "2+946"),
        ("1000m", 2946.5, None, "2+946.5"),
        ("1000m", 2946.0, 1, "2+946.0"),
        ("1000m", 2999.996, 2, "3+000.00"),
        ("1000m", 2999.96, None, "3+000"),
        ("1000m", 999.6, 0, "1+000"),
        ("100m", 2946.5, None, "29+46.5"),
        ("100ft", 99.996 * FOOT_M, None, "1+00.00"),
        ("100ft", 12446 * FOOT_M, None, "124+46.00"),
        ("100ft", 12446.2 * FOOT_M, 0, "124+46"),
        ("100ft", -50 * FOOT_M, None, "-0+50.00"),
        ("100ft", -0.001 * FOOT_M, None, "0+00.00"),
        ("1000m", 0.123456789, 9, "0+000.123456789"),
    ],
)
def test_printed(style: str, metres: float, places: int | None, text: str) -> None:
    assert Stationing(style).format(metres, places) == text


def test_the_survey_foot_is_longer_by_two_millionths() -> None:
    usual, survey = Stationing("100ft"), Stationing("100ft", foot="ftUS")
    assert survey.parse("39+37") == 1200.0
    assert survey.format(1200.0) == "39+37.00"
    ratio = survey.parse("1000+00") / usual.parse("1000+00")
    assert ratio == pytest.approx(1 + 2e-6, abs=1e-10)
    assert survey != usual
    assert Stationing("1000m", foot="ftUS").parse("2+946") == 2946.0


def test_a_road_is_a_value() -> None:
    pairs = [("26+00.55", "24+06.20")]
    assert Stationing("100ft", pairs) == OVERLAP
    assert hash(Stationing("100ft", pairs)) == hash(OVERLAP)


# Equations


def test_an_overlap_label_needs_its_zone() -> None:
    with pytest.raises(AmbiguousStation, match="zones 0 and 1: say which, such as 25") as caught:
        OVERLAP.parse("25+00")
    assert caught.value.zones == (0, 1)
    assert OVERLAP.parse("25+00", 0) == pytest.approx(2500 * FOOT_M)
    assert OVERLAP.parse("25+00", 1) == pytest.approx(2694.35 * FOOT_M)
    assert OVERLAP.parse("25+00 (zone 1)") == OVERLAP.parse("25+00", 1)
    assert OVERLAP.parse("25+00 (zone 1)", 0) == OVERLAP.parse("25+00", 1)


def test_outside_the_overlap_it_does_not() -> None:
    assert OVERLAP.parse("24+06.19") == pytest.approx(2406.19 * FOOT_M)
    assert OVERLAP.parse("26+00.56") == pytest.approx((2600.56 + 194.35) * FOOT_M)
    # To the foot, 26+01 is also within half a foot of the end of zone 0; zone 1 has it as such.
    assert OVERLAP.parse("26+01") == pytest.approx((2601 + 194.35) * FOOT_M)
    assert OVERLAP.parse("500+00") == pytest.approx((50000 + 194.35) * FOOT_M)


def test_three_zones_over_one_label() -> None:
    road = Stationing("1000m", [("1+500", "1+000"), ("1+600", "1+100")])
    with pytest.raises(AmbiguousStation, match="zones 0 and 1 and 2") as caught:
        road.parse("1+200")
    assert caught.value.zones == (0, 1, 2)
    assert [road.parse("1+200", zone) for zone in range(3)] == [1200.0, 1700.0, 2200.0]


def test_a_gap_in_an_overlap_is_no_gap_where_another_zone_has_the_label() -> None:
    road = Stationing("1000m", [("1+500", "1+000"), ("1+200", "1+400")])
    assert road.parse("1+300") == 1300.0
    with pytest.raises(UnknownStation, match=r"zone 1 runs from 1\+000 to 1\+200\."):
        road.parse("1+300", 1)


@pytest.mark.parametrize(
    ("text", "zone", "said"),
    [
        ("23+00", 1, r"zone 1 runs from 24\+06\.20\."),
        ("27+00", 0, r"zone 0 runs to 26\+00\.55\."),
        ("25+00", 2, "zones of this road are 0 to 1"),
        ("25+00", -1, "zones of this road are 0 to 1"),
        ("25+00 (zone 7)", None, "zones of this road are 0 to 1"),
    ],
)
def test_not_in_that_zone(text: str, zone: int | None, said: str) -> None:
    with pytest.raises(UnknownStation, match=said):
        OVERLAP.parse(text, zone)


def test_the_gap_is_named() -> None:
    road = Stationing("1000m", [("1+000", "1+100"), ("2+000", "2+300"), ("3+000", "3+100")])
    with pytest.raises(UnknownStation, match=r"equation 2\+000 = 2\+300 leaves out") as caught:
        road.parse("2+150")
    assert caught.value.code == "unknown-station"


def test_one_point_with_one_label_is_not_ambiguous() -> None:
    assert Stationing("1000m", [("1+000", "1+000")]).parse("1+000") == 1000.0


def test_a_label_read_to_the_foot_may_overshoot_a_gap_by_half_of_it() -> None:
    """11+50.75 read to the foot is 11+51, though the plan has no such label."""
    road = Stationing("100ft", [("11+50.75", "12+00.00")])
    assert road.parse("11+51") == road.parse("12+00")
    assert road.format(1150.7 * FOOT_M, 0) == "11+51"
    with pytest.raises(UnknownStation):
        road.parse("11+51.0")


def test_the_point_of_an_equation_belongs_ahead() -> None:
    point = GAP.parse("11+50.25")
    assert point == GAP.parse("12+00")
    assert GAP.zone_of(point) == 1
    assert GAP.zone_of(math.nextafter(point, 0) - 1e-6) == 0
    assert GAP.format(point) == "12+00.00"


def test_the_zone_is_printed_only_where_it_is_needed() -> None:
    def label(feet: float) -> str:
        return OVERLAP.format(feet * FOOT_M, 0, with_zone=True)

    assert label(2000) == "20+00"
    assert label(2500) == "25+00 (zone 0)"
    assert label(2694.35) == "25+00 (zone 1)"
    assert label(3000) == "28+06"
    # Rounded past the end of zone 0, where only zone 1 has the label as such.
    assert label(2600.54) == "26+01 (zone 0)"
    assert OVERLAP.format(2500 * FOOT_M, 0) == "25+00"


def test_distance_has_no_direction() -> None:
    a, b = OVERLAP.parse("20+00"), OVERLAP.parse("30+00")
    assert OVERLAP.distance_between(a, b) == OVERLAP.distance_between(b, a) == b - a


# Refused


@pytest.mark.parametrize(
    ("style", "equations", "foot", "said"),
    [
        ("feet", [], "ft", "must be one of 100ft, 100m, 1000m"),
        ("100ft", [], "m", "must be ft or ftUS"),
        ("100ft", [("26+00.55", "2406.20")], "ft", "2 digits behind the plus"),
        ("100ft", [("26+00", "24+00"), ("23+00", "22+00")], "ft", "23.00 = 22.00.*in order"),
        ("100ft", [("26+00", "24+00"), ("24+00", "22+00")], "ft", "in order along the road"),
    ],
)
def test_a_road_that_cannot_be(
    style: str, equations: list[tuple[str, str]], foot: str, said: str
) -> None:
    with pytest.raises(Refused, match=said):
        Stationing(style, equations, foot)


@pytest.mark.parametrize("metres", [math.nan, math.inf, 1.01e8, -1e300])
def test_no_road_is_that_long(metres: float) -> None:
    with pytest.raises(OutOfRange, match="within 100000000 m"):
        OVERLAP.format(metres)
    with pytest.raises(OutOfRange):
        OVERLAP.zone_of(metres)


@pytest.mark.parametrize("places", [-1, 10])
def test_places_have_a_range(places: int) -> None:
    with pytest.raises(OutOfRange, match="from 0 to 9"):
        OVERLAP.format(0.0, places)


# Round trips


@st.composite
def roads(draw: st.DrawFn) -> Stationing:
    """A road with up to four equations, gaps and overlaps mixed, zones long and very short."""
    style = draw(st.sampled_from(sorted(STYLES)))
    length, digits = STYLES[style].length, STYLES[style].digits

    def label(hundredths: int) -> str:
        sign, (whole, part) = "-" if hundredths < 0 else "", divmod(abs(hundredths), 100)
        return f"{sign}{whole // length}+{whole % length:0{digits}d}.{part:02d}"

    equations, at = [], draw(st.integers(-(10**6), 10**6))
    for _ in range(draw(st.integers(0, 4))):
        back = at + draw(st.integers(1, 300) | st.integers(1, 500_000))
        at = back + draw(st.integers(-300, 300) | st.integers(-500_000, 500_000))
        equations.append((label(back), label(at)))
    return Stationing(style, equations, draw(st.sampled_from(FEET)))


def unit_m(road: Stationing) -> float:
    return {"ft": 0.3048, "ftUS": 1200 / 3937}[road.foot] if road.style == "100ft" else 1.0


@st.composite
def points(draw: st.DrawFn, road: Stationing) -> float:
    """A point anywhere, or close to one of the equations."""
    near = [road.parse(back, zone) for zone, (back, _) in enumerate(road.equations)]
    anywhere = st.floats(-20_000, 20_000)
    if not near:
        return draw(anywhere)
    close = st.builds(lambda at, off: at + off, st.sampled_from(near), st.floats(-3, 3))
    return draw(anywhere | close)


@given(st.data(), roads(), st.integers(0, 4) | st.none())
def test_a_printed_label_leads_back(
    data: st.DataObject, road: Stationing, places: int | None
) -> None:
    """Within half of the last printed digit, by the zone asked or by the zone printed."""
    point = data.draw(points(road))
    kept = STYLES[road.style].places if places is None else places
    half_digit = unit_m(road) * 0.5 * 10**-kept + 1e-8
    by_zone = road.parse(road.format(point, places), road.zone_of(point))
    by_text = road.parse(road.format(point, places, with_zone=True))
    assert abs(by_zone - point) <= half_digit
    assert abs(by_text - point) <= half_digit


@given(st.data(), roads())
def test_a_label_comes_back_with_its_digits(data: st.DataObject, road: Stationing) -> None:
    point = data.draw(points(road))
    text, zone = road.format(point, 3), road.zone_of(point)
    again = road.parse(text, zone)
    assume(road.zone_of(again) == zone)
    at_an_end = {road.parse(ahead, i + 1) for i, (_, ahead) in enumerate(road.equations)}
    assert road.format(again, 3) == text or again in at_an_end


@given(st.data(), roads())
def test_distance_is_what_was_walked(data: st.DataObject, road: Stationing) -> None:
    """From one equation to another: the lengths of the zones between, by hand in fractions."""
    assume(road.equations)
    last = data.draw(st.integers(0, len(road.equations) - 1))
    first = data.draw(st.integers(0, last))

    def value(label: str) -> Fraction:
        stations, plus = label.removeprefix("-").split("+")
        size = int(stations) * STYLES[road.style].length + Fraction(plus)
        return -size if label.startswith("-") else size

    zones = zip(road.equations[first:last], road.equations[first + 1 : last + 1], strict=True)
    lengths = [value(back) - value(ahead) for (_, ahead), (back, _) in zones]
    walked_m = math.fsum(float(length) for length in lengths) * unit_m(road)
    start = road.parse(road.equations[first][1], first + 1)
    end = road.parse(road.equations[last][0], last)
    assert road.distance_between(start, end) == pytest.approx(walked_m, abs=1e-8)


@given(roads(), st.text(max_size=12) | st.from_regex(r"-?[0-9]{1,3}\+[0-9]{2,3}", fullmatch=True))
def test_anything_typed_is_read_or_refused(road: Stationing, text: str) -> None:
    try:
        point = road.parse(text)
    except Refused:
        return
    assert math.isfinite(point)
