"""Legal weight against the statute's own table, the federal agency's words, and a worked example.

Cells of RCW 46.44.041 (Washington) were read; `bridge_formula_grid_computed.csv` was worked out
beside them and is a comparison, but for its cells marked “read”. `legal_weight_limits.csv` names
source and standing row by row.
"""

from collections.abc import Sequence
from fractions import Fraction

import pytest

from matbook.engine.limits import LimitSet, limit_set
from matbook.engine.units import convert
from matbook.engine.weight import (
    SPACINGS,
    bridge_formula_lb,
    legal_gross,
    net_mass,
    over_gross,
    violations,
)
from tests.published.printed import rows


def cell(row: dict[str, str]) -> tuple[int, int]:
    return int(row["L_ft"]), int(row["N_axles"])


READ = rows("bridge_table_read_rcw")
MORE = rows("bridge_table_read_rcw_more")
GRID = rows("bridge_formula_grid_computed")
LIMITS = rows("legal_weight_limits")

LOWER = {
    (11, 4): 49000, (15, 5): 57000, (18, 6): 64500, (19, 6): 65000, (22, 7): 72500, (23, 7): 73000,
    (25, 8): 80000, (26, 8): 80500, (27, 8): 81000, (29, 9): 88000, (30, 9): 88500, (31, 9): 89000,
}  # fmt: skip
"""Cells of the statute 500 lb below the nearest 500: all lie outside the federal table's layout,
and were rounded down when the state filled them in."""

WASHINGTON = limit_set("washington")
FEDERAL = limit_set("us-federal")


def steps(length_ft: float, axles: int) -> Fraction:
    """The formula before rounding, in steps of 500 lb, typed a second time."""
    return Fraction(length_ft) * axles / (axles - 1) + 12 * axles + 36


def allowed_lb(length_ft: float, axles: int, law: LimitSet) -> int:
    """What the law lets a truck of so many evenly spaced axles carry, in whole pounds."""
    spacing_m = convert(length_ft, "ft", "m") / (axles - 1)
    return round(convert(legal_gross([spacing_m] * (axles - 1), law), "kg", "lb"))


# The statute's table, read


@pytest.mark.parametrize("row", READ + MORE, ids=lambda row: f"{row['L_ft']} ft, {row['N_axles']}")
def test_washington_allows_what_its_table_prints(row: dict[str, str]) -> None:
    """RCW 46.44.041 [read]: every cell, tandem rows too."""
    assert allowed_lb(*cell(row), WASHINGTON) == int(row["published_lb"])


@pytest.mark.parametrize("row", READ, ids=lambda row: f"{row['L_ft']} ft, {row['N_axles']}")
def test_formula_against_the_statutes_table(row: dict[str, str]) -> None:
    """RCW 46.44.041 [read]: the formula gives the cell, or differs for the reason flagged."""
    printed, found = (
        int(row["published_lb"]),
        bridge_formula_lb(int(row["N_axles"]), int(row["L_ft"])),
    )
    assert found == int(row["nearest500_tie_down_lb"])
    if row["flag"].startswith("PUBLISHED CELL DIFFERS"):
        assert found == printed + 500, "rounded down, outside the federal layout"
        assert LOWER[cell(row)] == printed
    elif row["flag"] == "tandem limit replaces formula":
        assert found > printed == 34000
    else:
        assert found == printed


def test_just_twelve_cells_differ_from_the_formula() -> None:
    """RCW 46.44.041 [read]: twelve cells are 500 lb lower; they are in the shipped table."""
    differ = {
        (length, axles): pounds
        for (length, axles), pounds in WASHINGTON.table_lb.items()
        if pounds != bridge_formula_lb(axles, length)
    }
    assert differ == LOWER
    assert all(bridge_formula_lb(n, length) == lb + 500 for (length, n), lb in LOWER.items())
    assert all(n != axles or length < start for length, n in LOWER for axles, start in FEDERAL_FROM)


FEDERAL_FROM = ((4, 12), (5, 16), (6, 20), (7, 24), (8, 28), (9, 32))
"""Where the federal table's columns start: axles, length in ft; the last two from memory."""


def test_the_shipped_table_is_what_was_read() -> None:
    """103 cells above 8 ft, and no other; up to 8 ft the tandem limit rules, not a cell."""
    read = {cell(row): int(row["published_lb"]) for row in READ + MORE}
    read |= {cell(row): int(row["W_lb"]) for row in GRID if row["status"] == "read"}
    read |= LOWER
    assert WASHINGTON.table_lb == {place: lb for place, lb in read.items() if place[0] > 8}
    assert len(WASHINGTON.table_lb) == 103


def test_ties_go_down_in_every_cell_that_is_one() -> None:
    """RCW 46.44.041 [read]: 18 of the cells are exact ties; none of them was rounded up."""
    ties = [c for c in WASHINGTON.table_lb if steps(*c).denominator == 2]
    assert len(ties) == 18
    for length, axles in ties:
        down = int(500 * steps(length, axles)) - 250
        assert WASHINGTON.table_lb[length, axles] == bridge_formula_lb(axles, length) == down


@pytest.mark.parametrize("law", [FEDERAL, WASHINGTON], ids=lambda law: law.name)
def test_around_forty_and_ninety_six_inches(law: LimitSet) -> None:
    """FHWA Q&A on 23 CFR 658.17, FHWA leaflet p. 3, RCW “8 and less”, “more than 8” [all read]."""
    forty, eight, more = 40 / 12, 96 / 12, 97 / 12
    assert [allowed_lb(forty, n, law) for n in (2, 3)] == [20000, 20000]
    assert [allowed_lb(41 / 12, n, law) for n in (2, 3)] == [34000, 34000]
    assert [allowed_lb(eight, n, law) for n in (2, 3)] == [34000, 34000]
    assert [allowed_lb(more, n, law) for n in (2, 3)] == [38000, 42000]


# Worked out beside it: comparisons


def test_formula_against_the_grid() -> None:
    """288 cells computed apart from this code: comparison, printed to the cent of a pound."""
    assert len(GRID) == 288
    for row in GRID:
        length, axles = cell(row)
        assert bridge_formula_lb(axles, length) == int(row["W_lb"]), row
        exact = 500 * steps(length, axles)
        assert abs(exact - Fraction(row["formula_raw_lb"])) <= Fraction(1, 200), row
        if "two-tandem" in row["note"]:
            assert (axles, int(row["W_lb"]) < 68000) == (4, True), row
        assert ("above 80,000" in row["note"]) is (int(row["W_lb"]) > 80000), row


def test_why_python_round_is_not_used() -> None:
    """Of the grid's 47 ties, ties-to-even gets 23 wrong."""
    ties = [s for row in GRID if (s := steps(*cell(row))).denominator == 2]
    assert len(ties) == 47
    assert len([s for s in ties if round(s) != s - Fraction(1, 2)]) == 23


# Worked examples


def truck(first_gap_ft: float, rear_gap_ft: float) -> tuple[list[float], list[float]]:
    """The leaflet's five axles: 12,000 lb ahead, two tandems of 34,000 lb with 4 ft between."""
    pounds = [12000, 17000, 17000, 17000, 17000]
    gaps_ft = [first_gap_ft, 4.0, rear_gap_ft, 4.0]
    return [convert(lb, "lb", "kg") for lb in pounds], [convert(ft, "ft", "m") for ft in gaps_ft]


def over_lb(loads: Sequence[float], gaps: Sequence[float]) -> list[tuple[int, int, int, int]]:
    return [
        (v.first, v.last, round(convert(v.limit_kg, "kg", "lb")),
         round(convert(v.actual_kg - v.limit_kg, "kg", "lb")))
        for v in violations(loads, gaps, FEDERAL)
    ]  # fmt: skip


def test_the_leaflets_tractor_semitrailer() -> None:
    """FHWA, Bridge Formula Weights (leaflet), figures from memory: axles 1-3 at 20 ft carry 46,000
    of 51,000 lb, 1-5 at 51 ft 80,000 of 80,000 lb, 2-5 at 35 ft 68,000 of 65,500 lb: 2,500 over."""
    assert bridge_formula_lb(3, 20) == 51000
    assert 500 * steps(51, 5) == 79875
    assert bridge_formula_lb(5, 51) == 80000
    assert bridge_formula_lb(4, 35) == 65500
    assert over_lb(*truck(16.0, 27.0)) == [(2, 5, 65500, 2500)]


def test_one_foot_more_saves_it() -> None:
    """The same at 36 ft: two consecutive tandems may carry 34,000 lb each (RCW text, read)."""
    assert over_lb(*truck(16.0, 28.0)) == []


def test_the_formula_alone_at_36_to_38_feet() -> None:
    """FHWA as quoted in a forum thread [read]: 66,000 / 66,500 / 67,500 lb without the rule."""
    assert [bridge_formula_lb(4, length) for length in (36, 37, 38)] == [66000, 66500, 67500]


def test_net_of_a_ticket() -> None:
    """Worked out, not published: 73,120 - 26,480 lb = 46,640 lb = 23.32 ton = 21.1555 t."""
    gross, tare = convert(73120.0, "lb", "kg"), convert(26480.0, "lb", "kg")
    net = net_mass(gross, tare)
    assert convert(net, "kg", "lb") == pytest.approx(46640, abs=1e-8)
    assert convert(net, "kg", "ton") == pytest.approx(23.32, abs=1e-12)
    assert round(net / 1000, 4) == 21.1555
    assert over_gross(gross, convert(80000.0, "lb", "kg")) == 0.0


# The limits as read, row by row


def si(row: dict[str, str], law: LimitSet) -> list[float]:
    """What a law's set holds for a row of the file, in the row's unit; from this table only."""
    bands = {
        "tandem 1.2 to <1.8 m": (2, 1.5), "tridem 2.4 to <3.0 m": (3, 2.4),
        "tridem 3.0 to <3.6 m": (3, 3.0), "tridem 3.6 to 3.7 m": (3, 3.7),
    }  # fmt: skip
    held = {
        "single axle": [law.single_kg],
        "single axle, dual tyres": [law.single_kg],
        "single axle (dual)": [law.single_kg],
        "driving axle": [law.single_kg, law.first_kg],
        "front axle (max)": [law.first_kg],
        "tandem axle": [law.tandem_kg],
        "gross": [law.gross_kg],
        "two consecutive tandems": [law.two_tandems_kg],
        "2-axle motor vehicle": [law.gross_by_axles.get(2, 0)],
        "3-axle motor vehicle": [law.gross_by_axles.get(3, 0)],
        "4-axle combination": [law.gross_by_axles.get(4, 0)],
        "5 or 6-axle combination": [law.gross_by_axles.get(n, 0) for n in (5, 6)],
        "6-axle tractor semitrailer": [law.gross_by_axles.get(6, 0)],
        "tridem 2.4-<3.0 / 3.0-<3.6 / 3.6-3.7 m": [group_kg(law, 3, s) for s in (2.4, 3.0, 3.6)],
        **{item: [group_kg(law, *band)] for item, band in bands.items()},
    }
    return [convert(kg, "kg", row["unit"]) for kg in held[row["item"]]]


def group_kg(law: LimitSet, axles: int, spread_m: float) -> float:
    """The limit of the group that holds; 0 where none does."""
    return next((g.limit_kg for g in law.groups if g.holds_for(axles, spread_m)), 0.0)


PRINTED = {
    "driving axle": [11.5, 10.0], "5 or 6-axle combination": [40.0, 40.0],
    "3-axle motor vehicle": [25.0], "tridem 2.4-<3.0 / 3.0-<3.6 / 3.6-3.7 m": [21e3, 23e3, 24e3],
}  # fmt: skip
"""Rows that print more than one number, as numbers; of 25 / 26 t the lower is shipped."""

SETS = {
    "US federal (Interstate)": "us-federal", "Washington": "washington", "Ontario": "ontario",
    "Canada national MoU": "canada-mou", "EU 96/53/EC": "eu-96-53",
}  # fmt: skip

NOT_SHIPPED = {
    ("US federal (Interstate)", "two axles just over 8 ft"): "checked at 97 in above",
    ("US federal (Interstate)", "three axles just over 8 ft"): "checked at 97 in above",
    ("California", "single axle"): "no set: its own bridge table was not read",
    ("California", "tyre load"): "no set: needs tyre widths",
    ("California", "axle spacing rounding"): "the rule is a row of SPACINGS, checked below",
    ("South Carolina", "tandem axle"): "no set: a third copy, and its gross was not read in full",
    ("Ontario", "single axle, single tyres"): "the set is for dual tyres, and says so",
    ("Ontario", "tandem >=1.8 m dual"): "upper end of its band was not read",
    ("Canada national MoU", "tandem axle"): "its band is not known",
    ("Canada national MoU", "straight truck overall length"): "a length, not a mass",
    ("EU 96/53/EC", "4-axle motor vehicle"): "would stand against the combination's 36 t",
    ("EU 96/53/EC", "length articulated / road train"): "a length, not a mass",
}
SHIPPED = [row for row in LIMITS if (row["jurisdiction"], row["item"]) not in NOT_SHIPPED]


@pytest.mark.parametrize("row", SHIPPED, ids=lambda row: f"{row['jurisdiction']}, {row['item']}")
def test_a_limit_is_shipped_as_read(row: dict[str, str]) -> None:
    """Each row names its source and standing; rows from memory are comparisons."""
    law = limit_set(SETS[row["jurisdiction"]])
    printed = PRINTED.get(row["item"]) or [float(row["value"])]
    assert si(row, law) == pytest.approx(printed, rel=1e-12)
    assert law.standing.partition(";")[0] == row["how_known"]


def test_every_row_is_shipped_or_has_a_reason() -> None:
    assert len(LIMITS) == len(SHIPPED) + len(NOT_SHIPPED) == 31


def test_california_takes_six_inches_up() -> None:
    """Vehicle Code 35551 summary [read]: spacing to the nearest foot, exactly 6 in goes up."""
    assert SPACINGS["nearest foot, 6 in up"](8.5) == 9
