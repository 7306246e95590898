"""Percent within limits against published tables; misprints asserted, recalled rows apart."""

import pytest

from matbook.engine.acceptance import percent_within_limits, pwl, quality_for, quality_index
from matbook.engine.quality import convention, conventions
from matbook.engine.samples import sample
from tests.published.printed import half, rows


def least(group: str) -> int:
    """The least n of a group such as 10-11 or 201+."""
    return int(group.rstrip("+").partition("-")[0])


STANDARD_414 = rows("milstd414_z19_tableB5_excerpt_as_read")
T_5080 = rows("fhwa_t5080_12_table1B_as_read")
ITEM_110 = rows("faa_item110_table1_top_recalled")
BY_Q = rows("pwl_exact_by_Q_n")
Q_BY_N = rows("pwl_exact_Q_by_n")


@pytest.mark.parametrize("row", STANDARD_414, ids=lambda row: f"{row['Q']}-{row['n']}")
def test_percent_outside_as_in_the_military_standard(row: dict[str, str]) -> None:
    """MIL-STD-414 / ANSI Z1.9, Table B-5, percent nonconforming [read, a reproduction]."""
    outside = 100.0 - percent_within_limits(float(row["Q"]), int(row["n"]))
    printed = row["pct_nonconforming_published"]
    assert outside == pytest.approx(float(printed), abs=half(printed))


def test_the_standards_own_example() -> None:
    """The same page prints p = 0.0528249 for Q = 1.5 and n = 7."""
    share = 1.0 - percent_within_limits(1.5, 7) / 100.0
    assert share == pytest.approx(0.0528249, abs=half("0.0528249"))


MISPRINTS = {("64", "15-18")}
"""0.36 where 0.3654 rounds to 0.37."""


@pytest.mark.parametrize("row", T_5080, ids=lambda row: f"{row['PWL']}-{row['n_group']}")
def test_index_as_in_the_technical_advisory(row: dict[str, str]) -> None:
    """FHWA Technical Advisory T 5080.12 (1989), Table 1B [read]; the least n of each group."""
    found = quality_for(float(row["PWL"]), least(row["n_group"]))
    printed = row["Q_published"]
    misprinted = (row["PWL"], row["n_group"]) in MISPRINTS
    assert (abs(found - float(printed)) > half(printed)) is misprinted


@pytest.mark.parametrize(
    ("percent", "n", "printed", "right"),
    [(67.0, 5, "0.47", "0.48"), (64.0, 15, "0.36", "0.37"), (58.0, 19, "0.20", "0.21"),
     (62.0, 12, ".031", "0.31")],
)  # fmt: skip
def test_four_cells_of_the_advisory_are_misprinted(
    percent: float, n: int, printed: str, right: str
) -> None:
    """FHWA T 5080.12, Table 1B [read]: 67 % at n = 5, 64 % at 15, 58 % at 19, 62 % at 12."""
    found = quality_for(percent, n)
    assert abs(found - float(printed)) > half("0.00")
    assert found == pytest.approx(float(right), abs=half(right))


@pytest.mark.parametrize("row", T_5080, ids=lambda row: f"{row['PWL']}-{row['n_group']}")
def test_the_advisorys_table_gives_its_own_rows(row: dict[str, str]) -> None:
    """FHWA T 5080.12 [read]: an index that a row prints gives that row's percentage."""
    found = percent_within_limits(float(row["Q_published"]), least(row["n_group"]), "fhwa-t5080")
    assert found == float(row["PWL"])


@pytest.mark.parametrize("row", ITEM_110, ids=lambda row: f"{row['PWL']}-{row['n']}")
def test_index_as_recalled_of_the_federal_aviation_table(row: dict[str, str]) -> None:
    """FAA AC 150/5370-10, Item 110, Table 1, from memory."""
    printed, n = row["Q_recalled(from memory)"], int(row["n"])
    percent = float(row["PWL"])
    assert quality_for(percent, n) == pytest.approx(float(printed), abs=half(printed))
    assert percent_within_limits(float(printed), n, "faa-item-110") == percent


RECALLED_HALF = {
    100: ("1.16", "1.49", "1.72", "1.88", "1.99", "2.07", "2.13", "2.20"),
    99: ("", "1.46", "1.64", "1.75", "1.82"),
    98: ("1.15", "1.43", "1.58", "1.66", "1.72"),
}
"""FP and WSDOT style table, its top rows, n = 3, 4 ..., from memory."""
DEPART = {(98, 3), (100, 10)}
"""Two recalled cells that the rule doesn't give; which of them is wrong isn't known."""


def test_the_half_percent_table_is_entered_lower_by_a_half() -> None:
    cells = {
        (percent, n): printed
        for percent, row in RECALLED_HALF.items()
        for n, printed in enumerate(row, 3)
        if printed
    }
    assert len(cells) == 17
    depart = {
        cell
        for cell, printed in cells.items()
        if not 0.0 <= float(printed) - quality_for(cell[0] - 0.5, cell[1]) < 0.01
    }
    assert depart == DEPART
    for (percent, n), printed in cells.items():
        if (percent, n) not in DEPART:
            assert percent_within_limits(float(printed), n, "half-percent") == percent


@pytest.mark.parametrize("row", BY_Q, ids=lambda row: row["Q"])
def test_percentages_of_a_grid(row: dict[str, str]) -> None:
    """Computed by another program from the beta distribution, before ours was written."""
    for head, printed in row.items():
        if head != "Q":
            found = percent_within_limits(float(row["Q"]), int(head.removeprefix("n=")))
            assert found == pytest.approx(float(printed), abs=half(printed))


@pytest.mark.parametrize("row", Q_BY_N, ids=lambda row: row["PWL"])
def test_indices_of_a_grid(row: dict[str, str]) -> None:
    """Computed by another program; the last column is the normal distribution, n without end."""
    for head, printed in row.items():
        if head.startswith("n="):
            found = quality_for(float(row["PWL"]), int(head.removeprefix("n=")))
            assert found == pytest.approx(float(printed), abs=half(printed))
    if row["normal"] != "inf":
        endless = quality_for(float(row["PWL"]), 10_000)
        assert endless == pytest.approx(float(row["normal"]), abs=2e-3)


@pytest.mark.parametrize(
    ("n", "top"),
    [(3, "1.15470"), (4, "1.50000"), (5, "1.78885"), (6, "2.04124"), (7, "2.26779"),
     (8, "2.47487"), (9, "2.66667"), (10, "2.84605")],
)  # fmt: skip
def test_everything_is_within_from_here_on(n: int, top: str) -> None:
    """(n - 1) / sqrt(n), computed."""
    assert quality_for(100.0, n) == pytest.approx(float(top), abs=half(top))
    assert percent_within_limits(float(top) + 1e-5, n) == 100.0
    assert percent_within_limits(float(top) - 1e-3, n) < 100.0


@pytest.mark.parametrize("n", [3, 4, 5, 6])
@pytest.mark.parametrize(
    ("printed", "found"), [("99.97", None), ("100.00", 2.65)], ids=["Q 2.00", "Q 2.65"]
)
def test_florida_prints_the_exact_form(n: int, printed: str, found: float | None) -> None:
    """Florida DOT 334, Table 334-8, Q 2.00 to 2.65 [read]: 99.97 for n = 6 at 2.00, else 100.00."""
    q = 2.00 if found is None else found
    expected = printed if n == 6 or found else "100.00"
    assert percent_within_limits(q, n) == pytest.approx(float(expected), abs=half(expected))


def test_the_federal_aviation_examples() -> None:
    """FAA Item 110, from memory: mat density, one limit, and air voids, two."""
    density, voids = [96.60, 97.55, 99.30, 98.35], [5.00, 3.74, 2.30, 3.25]
    assert f"{sample(density).mean:.2f} {sample(density).sd:.2f}" == "97.95 1.15"
    assert percent_within_limits(1.4348, 4) == pytest.approx(97.83, abs=half("97.83"))
    assert pwl(density, 96.30) == pytest.approx(97.84, abs=half("97.84"))
    assert pwl(density, 96.30, convention="faa-item-110") == 98.0
    assert quality_index(voids, 2.0, "lower") == pytest.approx(1.3992, abs=half("1.3992"))
    assert quality_index(voids, 5.0, "upper") == pytest.approx(1.2702, abs=half("1.2702"))
    sides = [pwl(voids, 2.0, convention="faa-item-110"),
             pwl(voids, upper=5.0, convention="faa-item-110")]  # fmt: skip
    assert sides == [97.0, 93.0]
    assert pwl(voids, 2.0, 5.0, "faa-item-110") == 90.0
    assert pwl(voids, 2.0, 5.0) == pytest.approx(88.98, abs=half("88.98"))


def test_a_constructed_lot() -> None:
    """Constructed: five densities, % of maximum, at two limits."""
    values = [92.4, 93.1, 91.2, 92.8, 91.9]
    assert sample(values).mean == pytest.approx(92.280, abs=half("92.280"))
    assert sample(values).sd == pytest.approx(0.752994, abs=half("0.752994"))
    for limit, q, percent in ((92.0, "0.371849", "63.1375"), (91.5, "1.035865", "84.6857")):
        assert quality_index(values, limit, "lower") == pytest.approx(float(q), abs=half(q))
        assert pwl(values, limit) == pytest.approx(float(percent), abs=half(percent))


def test_what_a_table_stands_on_is_said() -> None:
    standings = {name: convention(name).standing for name in conventions()}
    assert standings["fhwa-t5080"].startswith("read")
    assert standings["faa-item-110"].startswith("from memory")
    assert standings["half-percent"].startswith("from memory")
