"""Critical values, outliers and a worked comparison against what was published."""

import pytest
from scipy import stats

from matbook.engine.comparison import compare_means, compare_variances, outlier, paired
from matbook.engine.distributions import f_exceeded, t_exceeded
from tests.published.printed import assert_printed, half, rows

ALPHAS = {"alpha_two_sided_0.05": 0.05, "alpha_two_sided_0.01": 0.01}

CONTRACTOR = [6.4, 6.2, 6.0, 6.6, 6.1, 6.0, 6.3, 6.1, 5.9, 5.8, 6.0, 5.7, 6.3, 6.5, 6.4, 6.0, 6.2,
              6.5, 6.0, 5.9, 6.3]  # fmt: skip
AGENCY = [5.4, 5.8, 6.2, 5.4, 5.4, 5.8, 5.7, 5.4]
CORES = [144.9, 142.8, 143.1, 140.7, 145.1, 144.2, 143.8, 142.8, 144.8, 143.0]
GAUGE = [142.1, 140.9, 140.7, 138.9, 143.6, 142.4, 141.3, 139.8, 143.3, 141.0]
URANIUM = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]


@pytest.mark.parametrize(
    "row", rows("t_F_critical_values"), ids=lambda row: "-".join(list(row.values())[:3])
)
def test_critical_values(row: dict[str, str]) -> None:
    """Computed by another program."""
    for column, alpha in ALPHAS.items():
        if row["kind"] == "t":
            found = t_exceeded(alpha / 2.0, float(row["df1"]))
        else:
            found = f_exceeded(alpha / 2.0, float(row["df1"]), float(row["df2"]))
        assert_printed(found, row[column])


def critical(n: int, alpha: float, sides: int = 1) -> float:
    return outlier(list(range(n)), alpha, sides).critical


@pytest.mark.parametrize("row", rows("grubbs_critical_values"), ids=lambda row: f"n {row['n']}")
def test_limits_for_outliers(row: dict[str, str]) -> None:
    """Computed by another program."""
    for column, printed in row.items():
        if column != "n":
            side, _, alpha = column.partition("_")
            assert_printed(critical(int(row["n"]), float(alpha), 1 + (side == "two")), printed)


GRUBBS = """3,1.1484,1.1531,1.1543,1.1547,1.1547
4,1.4250,1.4625,1.4813,1.4925,1.4963
5,1.6016,1.6714,1.7150,1.7489,1.7637
6,1.7289,1.8221,1.8871,1.9442,1.9728
7,1.8280,1.9381,2.0200,2.0973,2.1391
8,1.9089,2.0317,2.1266,2.2208,2.2744
9,1.9773,2.1096,2.2150,2.3231,2.3868
10,2.0362,2.1761,2.2900,2.4097,2.4821"""


@pytest.mark.parametrize("line", GRUBBS.splitlines(), ids=lambda line: line.partition(",")[0])
def test_limits_for_outliers_of_few_results(line: str) -> None:
    """Computed by another program; one side at .10, .05, .025, .01, .005."""
    n, *printed = line.split(",")
    for alpha, limit in zip((0.10, 0.05, 0.025, 0.01, 0.005), printed, strict=True):
        if (n, alpha) != ("3", 0.01):
            assert_printed(critical(int(n), alpha), limit)
    assert critical(int(n), 0.05, 2) == pytest.approx(critical(int(n), 0.025))


def test_one_cell_of_that_table_is_off_in_its_last_digit() -> None:
    """1.1547 for n = 3 at .01; by SciPy's t it is 1.154637."""
    t = stats.t.isf(0.01 / 3.0, 1)
    assert critical(3, 0.01) == pytest.approx(2.0 / 3.0**0.5 * (t * t / (1.0 + t * t)) ** 0.5)
    assert_printed(critical(3, 0.01), "1.1546")


@pytest.mark.parametrize(("n", "alpha", "printed"), [(5, 0.075, "1.64"), (10, 0.10, "2.03")])
def test_two_cells_of_a_reprint_are_misprinted(n: int, alpha: float, printed: str) -> None:
    """Grubbs 1950/69, a reprint with two decimals [read]: 1.6346 and 2.0362 by the formula."""
    assert abs(critical(n, alpha) - float(printed)) > half(printed)
    assert critical(n, alpha) == pytest.approx(float(printed), abs=0.01)


def test_two_cells_of_a_textbook_are_misprinted() -> None:
    """LibreTexts, appendix 7, both sides at .05 [read]: n = 3 and a digit swap at n = 7."""
    assert abs(critical(3, 0.05, 2) - 1.155) > half("1.155")
    assert abs(critical(7, 0.05, 2) - 2.202) > 0.1
    assert_printed(critical(7, 0.05, 2), "2.020")


def test_the_standards_limits_as_recalled() -> None:
    """ASTM E178, one side at 5 %, n = 3 to 10, from memory."""
    recalled = ("1.153", "1.463", "1.672", "1.822", "1.938", "2.032", "2.110", "2.176")
    for n, printed in enumerate(recalled, 3):
        # one in the last digit: its own tables were rounded before they were reprinted
        assert critical(n, 0.05) == pytest.approx(float(printed), abs=1.01e-3)


def test_the_federal_aviation_example() -> None:
    """FAA Item 110, from memory: 96.60 97.55 99.30 98.35, limit 1.463 for n = 4 at 5 %."""
    found = outlier([96.60, 97.55, 99.30, 98.35], 0.05)
    assert found.value == 99.30
    assert found.place == 2
    assert_printed(found.statistic, "1.174")
    assert found.critical == pytest.approx(1.463, abs=1e-3)
    assert not found.differ
    far = 1.15 * found.critical
    assert 97.95 + far == pytest.approx(99.63, abs=half("99.63"))
    assert 97.95 - far == pytest.approx(96.27, abs=half("96.27"))


def test_the_uranium_example() -> None:
    """NIST/SEMATECH e-Handbook 1.3.5.17, Tietjen and Moore's data, from memory."""
    found = outlier(URANIUM, 0.05)
    assert found.differ
    assert found.value == 245.57
    assert_printed(found.statistic, "2.46876")
    assert_printed(found.critical, "2.03165")


def test_three_results_never_go_beyond() -> None:
    """With n = 3 the distance can't be more than 1.1547, (n - 1) / sqrt(n)."""
    found = outlier([90.0, 90.0001, 99.0], 0.05)
    assert found.statistic <= 2.0 / 3.0**0.5 + 1e-9
    assert found.p < 0.01


def test_the_manuals_worked_example() -> None:
    """AASHTO implementation manual, asphalt content of contractor and agency, from memory."""
    variances = compare_variances(CONTRACTOR, AGENCY, 0.01)
    assert_printed(variances.statistic, "1.41104")
    assert variances.df == (7.0, 20.0)
    assert_printed(variances.critical, "4.2569")
    assert not variances.differ
    assert_printed(f_exceeded(0.01, 7, 20), "3.699")
    assert_printed(compare_variances(CONTRACTOR, AGENCY, 0.05).critical, "3.007")
    means = compare_means(CONTRACTOR, AGENCY, 0.01, equal_variances=True)
    assert_printed(means.statistic, "4.78486")
    assert means.df == (27.0,)
    assert_printed(means.critical, "2.77068")
    assert means.differ
    assert means.p == pytest.approx(5.4e-5, abs=0.05e-5)


def test_the_same_with_unequal_variances() -> None:
    """Computed by another program; the older degrees of freedom by the older manuals' formula."""
    welch = compare_means(CONTRACTOR, AGENCY, 0.01, equal_variances=False)
    assert_printed(welch.statistic, "4.41855")
    assert_printed(welch.df[0], "11.0091")
    assert_printed(welch.critical, "3.1053")
    older = compare_means(CONTRACTOR, AGENCY, 0.01, equal_variances=False, df="older")
    assert_printed(older.df[0], "12.0954")
    assert older.statistic == welch.statistic


def test_split_samples() -> None:
    """WAQTC's ten cores and gauge readings, from memory, compared in pairs; computed."""
    found = paired(CORES, GAUGE, 0.01)
    assert_printed(found.statistic, "12.730")
    assert found.df == (9.0,)
    assert_printed(found.critical, "3.2498")
    assert found.differ
