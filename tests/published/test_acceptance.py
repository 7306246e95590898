"""Pay against published schedules and examples; what is from memory says so, and counts apart."""

import pytest

from matbook.engine.acceptance import (
    Polynomial,
    composite,
    composite_of,
    few_tests_factor,
    joint_weighted,
    pay_composite,
    pay_factor,
    pay_schedule,
    pay_schedules,
    price_adjustment,
    project_factors,
)
from tests.published.printed import half, rows


def span(group: str) -> tuple[int, int]:
    """From which n to which: 3, 10-11, 201+."""
    low, _, high = group.removeprefix("n ").rstrip("+").partition("-")
    return int(low), 10_000 if group.endswith("+") else int(high or low)


COLORADO = rows("cdot_table105_3_pf_polynomials")
WASHINGTON = rows("pay_factor_table2_wsdot_style_recalled")
CORPS = rows("ufgs_mat_joint_density_pay_recalled")


def groups(name: str) -> dict[tuple[int, int], int]:
    """Where the group of each run of n stands in a schedule."""
    found = pay_schedule(name).groups
    return {(group.least, group.most): place for place, group in enumerate(found)}


@pytest.mark.parametrize("row", COLORADO, ids=lambda row: row["Pn"])
def test_colorados_polynomials(row: dict[str, str]) -> None:
    """Colorado DOT 105.05, Table 105-3 [read to 25 results; beyond, from memory]."""
    group = pay_schedule("colorado-quality-level").groups[
        groups("colorado-quality-level")[span(row["Pn"])]
    ]
    assert group.curve == Polynomial((float(row["c0"]), float(row["c1"]), float(row["c2"])))
    assert group.cap == float(row["max_PF"])
    assert ("from memory" in row["provenance"]) == (group.standing == "from memory")


@pytest.mark.parametrize(
    ("n", "percent", "printed"), [(5, 85.0, "1.0260"), (5, 75.0, "0.9862"), (8, 90.0, "1.0309")]
)
def test_colorados_factors(n: int, percent: float, printed: str) -> None:
    """Computed from the polynomials that were read."""
    found = pay_schedule("colorado-quality-level").curve_at(percent, n).factor
    assert found == pytest.approx(float(printed), abs=half(printed))


def blended(n: int, percent: float) -> float:
    """The blend as it is written out, from memory, with the file's own coefficients."""
    at = [float(r["c0"]) + float(r["c1"]) * percent / 100 + float(r["c2"]) * (percent / 100) ** 2
          for r in COLORADO]  # fmt: skip
    place = next(k for k, r in enumerate(COLORADO) if n <= span(r["Pn"])[1])
    one, two, three = at[place - 1 : place + 2]
    n2, n3 = span(COLORADO[place]["Pn"])[0], span(COLORADO[place + 1]["Pn"])[0]
    half_way = (one + two) / 2
    factor = half_way + ((two + three) / 2 - half_way) * (n2 - n) / (n2 - n3)
    return min(factor, float(COLORADO[place]["max_PF"]))


@pytest.mark.parametrize("n", [10, 11, 12, 14, 15, 18, 19, 25, 26, 37, 38, 69, 70, 200])
@pytest.mark.parametrize("percent", [60.0, 80.0, 88.0, 95.0])
def test_colorados_blending(n: int, percent: float) -> None:
    """Colorado DOT 105.05 [that groups are blended: read; how: from memory]."""
    found = pay_schedule("colorado-quality-level").curve_at(percent, n).factor
    assert found == pytest.approx(blended(n, percent), abs=1e-12)


def test_colorados_few_tests() -> None:
    """Colorado DOT 105.05, fewer than three tests [read]: 1.00 - 0.25 (distance beyond) / V."""
    assert few_tests_factor(92.0, 92.0, 96.0, 1.0) == 1.0
    assert few_tests_factor(91.0, 92.0, 96.0, 1.3) == pytest.approx(1.0 - 0.25 / 1.3)
    assert few_tests_factor(97.0, 92.0, 96.0, 1.3) == pytest.approx(1.0 - 0.25 / 1.3)


@pytest.mark.parametrize("row", WASHINGTON, ids=lambda row: row["PF"])
def test_washingtons_table(row: dict[str, str]) -> None:
    """WSDOT 1-06.2(2)D, Table 2, from memory: a percentage just reached, and one just missed."""
    schedule = pay_schedule("washington-quality-level")
    for head, least in row.items():
        if head != "PF":
            n = span(head)[0]
            assert schedule.curve_at(float(least), n).factor == float(row["PF"])
            assert schedule.curve_at(float(least) - 0.01, n).factor < float(row["PF"])


def test_washingtons_two_files_hold_one_table() -> None:
    one, other = pay_schedule("washington-quality-level"), pay_schedule("washington-compaction")
    assert one.groups == tuple(
        type(g)(g.least, g.most, g.curve, g.cap, "from memory") for g in other.groups
    )
    assert "from memory" in other.standing


@pytest.mark.parametrize("row", WASHINGTON[:-1], ids=lambda row: row["PF"])
def test_washingtons_table_agrees_with_colorados_polynomials(row: dict[str, str]) -> None:
    """Recalled against read: within 0.014 to 200 results, within 0.025 beyond."""
    for head, least in row.items():
        if head == "PF" or float(row["PF"]) > 1.03:
            continue  # above, Colorado's caps and 100 % decide
        place = groups("colorado-quality-level")[span(head)]
        curve = pay_schedule("colorado-quality-level").groups[place].curve
        found = curve.at(float(least)).factor
        assert found == pytest.approx(
            float(row["PF"]), abs=0.0145 if span(head)[0] < 201 else 0.025
        )


def test_washingtons_second_limit() -> None:
    """WSDOT compaction [read]: 92.0 capped at 1.05; below full pay anew at 91.5, capped at 1.00."""
    schedule = pay_schedule("washington-compaction")
    good = pay_factor(schedule, [93.5, 94.0, 93.2, 94.4, 93.8])
    assert (good.factor, good.attempt, good.lower) == (1.05, 0, 92.0)
    values = [92.4, 93.1, 91.2, 92.8, 91.9]
    first = schedule.curve_at(63.1375, 5)
    second = schedule.curve_at(84.6857, 5)
    found = pay_factor(schedule, values)
    assert first.factor == 0.92
    assert second.factor == 1.02
    assert (found.factor, found.attempt, found.lower) == (1.0, 1, 91.5)
    assert found.measured == pytest.approx(84.6857, abs=half("84.6857"))


def test_washingtons_money() -> None:
    """WSDOT [read]: gains count 1.00, losses 0.60. 1,500 t at 80, constructed."""
    schedule = pay_schedule("washington-compaction")
    assert price_adjustment(schedule, 1.03, 1500, 80) == pytest.approx(3600)
    assert price_adjustment(schedule, 0.95, 1500, 80) == pytest.approx(-3600)
    assert price_adjustment(schedule, 1.00, 1500, 80) == 0.0


@pytest.mark.parametrize(("percent", "factor"), [(100.0, 1.05), (90.0, 1.00), (50.0, 0.80)])
def test_floridas_percent(percent: float, factor: float) -> None:
    """Florida DOT 334-8.2.2 [read]: (55 + 0.5 PWL) / 100."""
    found = pay_schedule("florida-percent").curve_at(percent, 5).factor
    assert found == pytest.approx(factor, abs=1e-12)


FLORIDA = """coarse,1.05,0.00-0.50,0.00-0.35
coarse,1.00,0.51-1.00,0.36-0.71
coarse,0.95,1.01-1.50,0.72-1.06
coarse,0.90,>1.50,>1.06
fine,1.05,0.00-0.50,0.00-0.35
fine,1.00,0.51-1.00,0.36-0.71
fine,0.95,1.01-2.00,0.72-1.41
fine,0.90,2.01-3.00,1.42-2.12
fine,0.80,>3.00,>2.12"""
TARGETS = {"coarse": 94.50, "fine": 93.00}


@pytest.mark.parametrize("line", FLORIDA.splitlines())
def test_floridas_deviations(line: str) -> None:
    """Florida DOT 334, Table 334-6 [read], one sublot and the mean of two."""
    mix, factor, *bands = line.split(",")
    schedule, target = pay_schedule(f"florida-density-{mix}"), TARGETS[mix]
    assert schedule.target == target
    for n, band in enumerate(bands, 1):
        low, _, high = band.partition("-")
        ends = [float(low[1:]) + 0.01] if band.startswith(">") else [float(low), float(high)]
        for deviation in ends:
            for value in (target - deviation, target + deviation):
                assert pay_factor(schedule, [value] * n).factor == float(factor)


def test_floridas_limits_for_two_are_those_for_one_over_root_two() -> None:
    """Computed; so what the table averages is the deviation of the mean."""
    for line in FLORIDA.splitlines():
        one, two = (band.rpartition("-")[2].lstrip(">") for band in line.split(",")[2:])
        assert float(two) == pytest.approx(float(one) / 2**0.5, abs=half(two))


def test_floridas_composite() -> None:
    """Florida DOT 334-8 [read]: density .350, voids .250, asphalt .250, gradings .100 and .050."""
    recipe = pay_composite("florida-composite")
    assert sorted(recipe.weights.values()) == [0.05, 0.1, 0.25, 0.25, 0.35]
    factors = dict.fromkeys(recipe.weights, 1.0) | {"density": 0.9}
    assert composite_of(recipe, factors) == pytest.approx(1.0 - 0.1 * 0.35)


@pytest.mark.parametrize(("name", "top"), [("density", 1.04), ("voids", 1.03)])
def test_the_research_specification(name: str, top: float) -> None:
    """FHWA-HRT-12-027, specification 2 [read]: nothing moves at 90 %; +0.04 and +0.03 at 100 %."""
    schedule = pay_schedule(f"fhwa-12-027-{name}")
    assert schedule.curve_at(90.0, 4).factor == pytest.approx(1.0, abs=1e-12)
    assert schedule.curve_at(100.0, 4).factor == pytest.approx(top, abs=1e-12)


@pytest.mark.parametrize(
    ("percent", "factor"),
    [(100, 106.0), (96, 106.0), (95, 105.0), (90, 100.0), (89, 99.5), (75, 92.5), (74, 91.6),
     (55, 65.0)],
)  # fmt: skip
def test_the_federal_aviation_schedule(percent: int, factor: float) -> None:
    """FAA P-401, price schedule, from memory; below 55 rejected, half if it stays."""
    schedule = pay_schedule("faa-p-401")
    assert schedule.curve_at(float(percent), 4).factor == pytest.approx(factor / 100, abs=1e-12)
    assert schedule.curve_at(54.0, 4) == (0.5, True)


def test_the_federal_aviation_lot() -> None:
    """FAA Item 110's mat densities, from memory: 98 percent within limits, so 106."""
    found = pay_factor(pay_schedule("faa-p-401"), [96.60, 97.55, 99.30, 98.35], lower=96.30)
    assert (found.measured, found.factor) == (98.0, 1.06)


def test_the_corps_voids() -> None:
    """UFGS 02749, Table 7 [read]: 3.5, 3.0, 4.0, 3.7 are off 4.0 by 0.45 on the mean: 100 %."""
    found = pay_factor(pay_schedule("corps-voids"), [3.5, 3.0, 4.0, 3.7])
    assert found.measured == 0.45
    assert found.factor == 1.0


@pytest.mark.parametrize(
    ("deviation", "factor"),
    [(0.60, 1.00), (0.61, 0.98), (0.80, 0.98), (0.81, 0.95), (1.00, 0.95), (1.01, 0.90),
     (1.20, 0.90)],
)  # fmt: skip
def test_the_corps_steps(deviation: float, factor: float) -> None:
    """UFGS 02749, Table 7 [read]: every end of every band; above 1.20 rejected."""
    schedule = pay_schedule("corps-voids")
    assert pay_factor(schedule, [4.0 + deviation] * 4).factor == factor
    assert pay_factor(schedule, [4.0 - deviation] * 4).factor == factor
    assert pay_factor(schedule, [5.21] * 4).rejected


@pytest.mark.parametrize("row", CORPS, ids=lambda row: row["avg_mat_density_pct_TMD"])
def test_the_corps_densities(row: dict[str, str]) -> None:
    """UFGS, mat and joint, from memory: every row, either side for the mat."""
    factor = float(row["pay_factor_pct"].partition("(")[0]) / 100.0
    rejected = "reject" in row["pay_factor_pct"]
    off = 0.1 if rejected else 0.0
    cells = row["avg_mat_density_pct_TMD"].replace("-", "|").split("|")
    for sign, cell in zip((-1.0, 1.0), cells, strict=True):
        found = pay_factor(
            pay_schedule("corps-mat-density"), [float(cell.strip("<>")) + sign * off]
        )
        assert found.factor == pytest.approx(factor)
        assert found.rejected is rejected
    joint = float(row["avg_joint_density_pct_TMD"].strip("<>=")) - off
    found = pay_factor(pay_schedule("corps-joint-density"), [joint])
    assert found.factor == pytest.approx(factor)
    assert found.rejected is rejected


def test_the_corps_example() -> None:
    """UFGS, mat 93.2 and joint 91.5, 2,000 ft x 10 ft of 30,000 ft2, from memory: 98.2."""
    mat = pay_factor(pay_schedule("corps-mat-density"), [93.2]).factor
    joint = pay_factor(pay_schedule("corps-joint-density"), [91.5]).factor
    assert (mat, joint) == (0.983, 0.973)
    weighted = joint_weighted(joint, 2000.0, 10.0, 30_000.0)
    assert 100 * weighted == pytest.approx(98.2, abs=half("98.2"))
    lot = composite_of(pay_composite("corps-mat-and-joint"), {"mat": mat, "joint": weighted})
    assert lot == weighted
    assert pay_composite("corps-lot").how == "lowest"
    assert composite({"voids": 1.0, "grade": 0.95}, {"voids": 1.0, "grade": 1.0}, "lowest") == 0.95


def test_the_corps_project() -> None:
    """UFGS 02749 [read]: mean above 95.0 and no lot below 75.1: the whole project is paid 100 %."""
    assert project_factors([0.98, 0.94, 0.751 + 0.25]) == [1.0] * 3
    assert project_factors([1.0, 1.0, 0.75]) == [1.0, 1.0, 0.75]
    assert project_factors([0.95, 0.95]) == [0.95, 0.95]


STANDINGS = {
    "colorado-quality-level": "read; the form of the blend from memory",
    "corps-joint-density": "from memory",
    "corps-lot": "read",
    "corps-mat-and-joint": "from memory",
    "corps-mat-density": "from memory",
    "corps-voids": "read",
    "faa-p-401": "from memory",
    "fhwa-12-027-density": "read",
    "fhwa-12-027-voids": "read",
    "florida-composite": "read",
    "florida-density-coarse": "read",
    "florida-density-fine": "read",
    "florida-percent": "read",
    "washington-compaction": "limits, caps and shares read; the table of factors from memory",
    "washington-quality-level": "from memory",
}


COMPOSITES = {"corps-lot", "corps-mat-and-joint", "florida-composite"}


def test_every_schedule_says_what_it_stands_on() -> None:
    """Read or from memory: none may claim more than is known of it."""
    found = {
        name: (pay_composite(name) if name in COMPOSITES else pay_schedule(name)).standing
        for name in pay_schedules()
    }
    assert found == STANDINGS
