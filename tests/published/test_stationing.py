"""Stationing against printed station equations; every row of station_equation_cases.csv."""

import csv
import re
from decimal import Decimal
from pathlib import Path

import pytest

from matbook.engine.stationing import Stationing
from matbook.errors import AmbiguousStation, UnknownStation

FOOT_M = 0.3048
DATA = Path(__file__).parent / "data"
MONTANA = Stationing("100ft", [("26+00.55", "24+06.20")])

# Broken kilometres of UT_LP_4 (Swedish Transport Administration) [read]: 26 is 993.127 m long,
# 27 is 1000.8974299 m and 28 is 1001.1529426 m, each ending where the next begins at +000.
SWEDEN = Stationing(
    "1000m",
    [
        ("26+993.127", "27+000"),
        ("28+000.8974299", "28+000"),
        ("29+001.1529426", "29+000"),
    ],
)
KILOMETRE = {"KM27": (("27+000", 1), ("28+000", 2)), "KM28": (("28+000", 2), ("29+000", 3))}


def rows() -> list[dict[str, str]]:
    with (DATA / "station_equation_cases.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def answers(row: dict[str, str]) -> list[float]:
    """What we make of a row, in its unit: by the shape of its equation."""
    if row["equation"] in KILOMETRE:
        start, end = (SWEDEN.parse(*point) for point in KILOMETRE[row["equation"]])
        return [SWEDEN.distance_between(start, end)]
    lengths = re.findall(r"\+ ([\d,]+\.\d+) =", row["equation"])
    if lengths:
        plain = Stationing("100ft")
        start = plain.parse(row["equation"].partition(" ")[0])
        return [(start + float(of.replace(",", "")) * FOOT_M) / FOOT_M for of in lengths]
    back, ahead = re.fullmatch(r"BK (\S+) = AH (\S+)", row["equation"]).groups()  # type: ignore[union-attr]
    road = Stationing("100ft", [(back, ahead)])
    labels = re.findall(r"\d+\+\d\d", row["question"])
    a, b = (road.parse(label) for label in labels)
    return [road.distance_between(a, b) / FOOT_M]


@pytest.mark.parametrize("row", rows(), ids=lambda row: row["equation"])
def test_every_row(row: dict[str, str]) -> None:
    printed = [Decimal(part) for part in row["answer"].split(" / ")]
    for found, expected in zip(answers(row), printed, strict=True):
        half_digit = float(Decimal(5).scaleb(int(expected.as_tuple().exponent) - 1))
        assert found == pytest.approx(float(expected), abs=half_digit)


def test_montana_label_25_lies_at_two_points() -> None:
    """Montana DOT Road Design Manual, App. K, example 3-8 [read]: 194.35 ft apart."""
    with pytest.raises(AmbiguousStation) as caught:
        MONTANA.parse("25+00")
    assert caught.value.zones == (0, 1)
    apart_ft = (MONTANA.parse("25+00", 1) - MONTANA.parse("25+00", 0)) / FOOT_M
    assert apart_ft == pytest.approx(194.35, abs=0.005)


def test_montana_derivation_prints_both_labels() -> None:
    """Same example: 3+56.91 and 2,243.64 ft make the back label, 2,049.29 ft the ahead label."""
    road = Stationing("100ft")
    divergence_m = road.parse("3+56.91")
    assert road.format(divergence_m + 2243.64 * FOOT_M) == "26+00.55"
    assert road.format(divergence_m + 2049.29 * FOOT_M) == "24+06.20"


def test_constructed_gap_leaves_labels_out() -> None:
    """Constructed, not published: 11+50.26 to 11+99.99 do not exist."""
    road = Stationing("100ft", [("11+50.25", "12+00.00")])
    for label in ("11+50.26", "11+75", "11+99.99"):
        with pytest.raises(UnknownStation, match=r"11\+50\.25 = 12\+00\.00 leaves out"):
            road.parse(label)
    assert road.parse("11+50.25") == road.parse("12+00.00")


def test_sweden_across_three_kilometres() -> None:
    """UT_LP_4 [read]: KM26+500 to KM28+250 is 1744.025 m, not 1750. The length of KM26 is printed
    to 0.001 m only, so half of that digit joins half of the answer's."""
    apart_m = SWEDEN.distance_between(SWEDEN.parse("26+500"), SWEDEN.parse("28+250"))
    assert apart_m == pytest.approx(1744.025, abs=0.001)


def test_52_8_stations_to_the_mile() -> None:
    """Definition: a station is 100 ft, and 12,446.20 ft is 124+46.20."""
    road = Stationing("100ft")
    assert road.format(1609.344) == "52+80.00"
    assert road.parse("124+46.20") == pytest.approx(12446.20 * FOOT_M, rel=1e-15)
