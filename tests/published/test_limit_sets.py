"""Ready-made limits against what was published: the number, its unit, and how it is known.

The sources stand in the rows of the tables; “from memory” there is “from memory” in the set.
"""

import csv
import re
from pathlib import Path

import pytest

from matbook.plan.limit_sets import ready

DATA = Path(__file__).parent / "data"
COMMON_PRACTICE = "common-practice/"

# Ready-made limit: table, what is looked for in a row, the number as published there, its unit.
PUBLISHED = {
    "florida-330/spread-last-five": (
        "inspection_frequency",
        "Florida DOT 330-2.2",
        "within 5 %",
        "%",
    ),
    "florida-330/air-thick-layer": ("temperature_limits", "Florida DOT 330-3.2.2", ",40,F", "degF"),
    "florida-330/air-thin-layer": (
        "temperature_limits",
        "Florida DOT 330-3.2.2",
        "45 F for <= 1 in",
        "degF",
    ),
    "ohio-401/mix-maximum": ("temperature_limits", "normal mixes", ",325,F", "degF"),
    "ohio-401/polymer-mix-maximum": ("temperature_limits", "polymer modified", ",350,F", "degF"),
    "texas-341/discharge-target": (
        "temperature_limits",
        "discharge vs target",
        ",25,F",
        "delta_degF",
    ),
    "texas-341/segregation-moderate": (
        "temperature_limits",
        "thermal segregation",
        "<=25 none",
        "delta_degF",
    ),
    "texas-341/segregation-severe": (
        "temperature_limits",
        "thermal segregation",
        ">50 severe",
        "delta_degF",
    ),
    "nashua-401/mix-minimum": ("temperature_limits", "job-mix temperature", "260 to 350,F", "degF"),
    "nashua-401/mix-maximum": ("temperature_limits", "job-mix temperature", "260 to 350,F", "degF"),
    "nashua-401/discharge-maximum": ("temperature_limits", "discharge maximum", ",375,F", "degF"),
    "lexington-binder/mixing-minimum": ("temperature_limits", "Lexington", "225-350 /", "degF"),
    "lexington-binder/mixing-maximum": ("temperature_limits", "Lexington", "225-350 /", "degF"),
    "lexington-binder/dumping-minimum": ("temperature_limits", "Lexington", "/ 200-325", "degF"),
    "lexington-binder/dumping-maximum": ("temperature_limits", "Lexington", "/ 200-325", "degF"),
    "en-13108-1/delivery-40-60": ("temperature_limits", "grade 40/60", "150 to 190,C", "degC"),
    "en-13108-1/plant-40-60": ("temperature_limits", "grade 40/60", "150 to 190,C", "degC"),
    "en-13108-1/delivery-50-70": ("temperature_limits", "grade 50/70", "140 to 180,C", "degC"),
    "en-13108-1/plant-50-70": ("temperature_limits", "grade 50/70", "140 to 180,C", "degC"),
    "en-13108-1/delivery-70-100": ("temperature_limits", "grade 70/100", "140 to 180,C", "degC"),
    "en-13108-1/plant-70-100": ("temperature_limits", "grade 70/100", "140 to 180,C", "degC"),
    "en-13108-1/delivery-100-220": ("temperature_limits", "grade 100/150", "130 to 170,C", "degC"),
    "en-13108-1/plant-100-220": ("temperature_limits", "grade 100/150", "130 to 170,C", "degC"),
    "wsdot-type-5-04/straightedge": ("inspection_frequency", "WSDOT-type", "1/8 in in 10 ft", "in"),
    "wsdot-type-5-04/cross-slope": ("inspection_frequency", "WSDOT-type", "1/4 in in 10 ft", "%"),
    "wsdot-type-5-04/wedge-for-traffic": (
        "joints_ramps_dropoffs",
        "Everett SP 5-04",
        "20H:1V",
        "1",
    ),
    "wsdot-type-5-04/joint-offset-minimum": ("joints_ramps_dropoffs", "Offset", "2 to 6 in", "in"),
    "wsdot-type-5-04/joint-offset-maximum": ("joints_ramps_dropoffs", "Offset", "2 to 6 in", "in"),
    "iowa-8-70/impacts": (
        "inspection_frequency",
        "Vibratory roller",
        "at least 10 impacts per ft",
        "1/ft",
    ),
    "caltrans-drop-offs/open-lanes": ("joints_ramps_dropoffs", "between adjacent", "0.15 ft", "ft"),
    "minnesota-scales/scale-error": (
        "inspection_frequency",
        "MnDOT",
        "within 1.0 % of true load",
        "%",
    ),
    "joint-overlap/minimum": ("joints_ramps_dropoffs", "Paving Handbook 2000", "25 to 38 mm", "mm"),
    "joint-overlap/maximum": ("joints_ramps_dropoffs", "Paving Handbook 2000", "25 to 38 mm", "mm"),
    "fhwa-safety-edge/angle-minimum": (
        "joints_ramps_dropoffs",
        "angle window",
        "26 to 40 degrees",
        "deg",
    ),
    "fhwa-safety-edge/angle-maximum": (
        "joints_ramps_dropoffs",
        "angle window",
        "26 to 40 degrees",
        "deg",
    ),
    "ohio-pn-415/open-edge": ("inspection_frequency", "Ohio PN 415", "within 24 h", "h"),
}
WORKED_OUT = {
    "wsdot-type-5-04/straightedge": 1 / 8,  # in
    "wsdot-type-5-04/cross-slope": round(100 * (1 / 4) / 120, 4),  # 1/4 in over 10 ft, in percent
}
# FHWA-HIF-16-017, from memory: residual gal/yd2 on new, existing, milled asphalt, and concrete.
TACK = {
    "new": ("0.020", "0.045"),
    "existing": ("0.040", "0.070"),
    "milled": ("0.040", "0.080"),
    "concrete": ("0.030", "0.050"),
}


def row_of(table: str, words: str) -> str:
    """The one row of a table that holds some words, its cells parted by commas."""
    with (DATA / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        found = [",".join(row) for row in csv.reader(file) if words in ",".join(row)]
    assert len(found) == 1, (words, found)
    return found[0]


@pytest.mark.parametrize("name", PUBLISHED)
def test_a_ready_made_limit_is_as_published(name: str) -> None:
    row, (table, words, published, unit) = ready()[name], PUBLISHED[name]
    line = row_of(table, words)
    assert published in line
    assert row.unit == unit
    assert ("from memory" in line) == (row.standing == "from memory")
    if name in WORKED_OUT:
        assert float(row.number) == WORKED_OUT[name]
        return
    numbers = re.findall(r"\d+(?:\.\d+)?", published.partition(" for ")[0])
    assert row.number in numbers
    if len(numbers) == 2 and re.search(" to |-", published):
        assert row.number == numbers[0 if row.side == "min" else 1]


@pytest.mark.parametrize("surface", TACK)
def test_tack_rates_are_as_recalled(surface: str) -> None:
    low, high = (ready()[f"fhwa-tack/{surface}-{end}"] for end in ("minimum", "maximum"))
    assert (low.number, high.number) == TACK[surface]
    assert (low.side, high.side) == ("min", "max")
    assert low.unit == high.unit == "gal/yd2"
    assert low.standing == high.standing == "from memory"


def test_nothing_else_claims_to_be_published() -> None:
    known = {*PUBLISHED, *(f"fhwa-tack/{s}-{end}" for s in TACK for end in ("minimum", "maximum"))}
    assert {name for name in ready() if not name.startswith(COMMON_PRACTICE)} == known
    for name, row in ready().items():
        assert name.startswith(COMMON_PRACTICE) == (row.standing == "common practice")
