"""The workbook of a lot, worked out again by other hands: every formula, from the results alone."""

import io
import re
import zipfile
from math import prod
from statistics import fmean, stdev
from typing import Any

import pytest
import python_calamine
from scipy.stats import beta

from matbook.desk.job import JobBook
from matbook.errors import NotFound
from matbook.records.lot_sheet import lot_sheet
from tests.lots.mat import WITH_LOTS, Mat
from tests.lots.test_doubts import streaked
from tests.lots.test_together import FLORIDA, all_of_florida, capped, result, with_joints
from tests.scribe import SHIFT
from tests.shift.site import clock

Cells = dict[str, float]
FUNCTIONS: dict[str, Any] = {
    "COUNT": len,
    "AVERAGE": fmean,
    "STDEV": stdev,
    "SUM": sum,
    "SUMPRODUCT": lambda a, b: sum(prod(pair) for pair in zip(a, b, strict=True)),
    "SQRT": lambda x: x**0.5,
    "MAX": max,
    "MIN": min,
    "ROUND": lambda x, places: round(x, places),
    "IF": lambda true, then, otherwise: then if true else otherwise,
    "BETADIST": lambda x, a, b: beta.cdf(x, a, b),
}


def made(mat: Mat, name: str = "mat-1") -> bytes:
    return lot_sheet(JobBook(mat.site.entries), SHIFT, name, clock(600))


def held(raw: bytes, sheet: int = 0) -> Cells:
    """Every number of a sheet, by its cell."""
    rows = python_calamine.load_workbook(io.BytesIO(raw)).get_sheet_by_index(sheet).to_python()
    return {
        f"{'ABCDE'[column]}{number}": value
        for number, row in enumerate(rows, 1)
        for column, value in enumerate(row)
        if isinstance(value, float)
    }


def formulas(raw: bytes, sheet: int = 0) -> dict[str, str]:
    """The formulas of a sheet as they lie in the file."""
    with zipfile.ZipFile(io.BytesIO(raw)) as packed:
        xml = packed.read(f"xl/worksheets/sheet{sheet + 1}.xml").decode()
    return dict(re.findall(r'<c r="(B\d+)"[^>]*><f>(.*?)</f>', xml))


def worked_out(raw: bytes, sheet: int = 0) -> Cells:
    """A sheet with every formula worked out from its givens, and from the other sheets."""
    found = held(raw, sheet)
    for cell, formula in formulas(raw, sheet).items():
        text = formula.replace("^", "**").replace("&gt;", ">")
        text = re.sub(r"lot(\d)!(B\d+)", lambda m: repr(worked_out(raw, int(m[1]))[m[2]]), text)
        text = re.sub(
            r"([BE])(\d+):[BE](\d+)",
            lambda m: str([found[f"{m[1]}{n}"] for n in range(int(m[2]), int(m[3]) + 1)]),
            text,
        )
        text = re.sub(r"\bB\d+", lambda m: f"({found[m[0]]!r})", text)
        found[cell] = float(eval(text, dict(FUNCTIONS)))
    return found


@pytest.mark.parametrize(("schedule", "limits", "count"), [
    ("florida-percent", 'lower = "92.0"', 7),
    ("florida-percent", 'lower = "91.0"\nupper = "95.0"', 8),
    ("colorado-quality-level", 'upper = "93.0"', 6),
    ("faa-p-401", 'lower = "92.0"', 5),
    ("corps-mat-density", "", 3),
])  # fmt: skip
def test_schedules_in_a_workbook(schedule: str, limits: str, count: int) -> None:
    mat = Mat(WITH_LOTS.replace('lower = "92.0"', limits, 1).replace("florida-percent", schedule))
    mat.cores(92.4, 93.1, 91.2, 92.8)
    raw = made(mat)
    assert worked_out(raw) == pytest.approx(held(raw), rel=1e-9)
    assert len(formulas(raw)) == count
    assert fmean((92.4, 93.1, 91.2, 92.8)) in held(raw).values()


def test_events_and_what_is_laid_in_a_workbook() -> None:
    mat = streaked()
    mat.cores(92.4, 93.1, 91.2, 92.8)
    raw = made(mat)
    assert worked_out(raw) == pytest.approx(held(raw), rel=1e-9)
    assert 1000.0 in held(raw).values()


def test_unequal_sublots_in_a_workbook() -> None:
    mat = Mat(WITH_LOTS.replace('size = "1000 t"', 'size = "100 t"', 1))
    mat.site.lay(["20.00 t", "20.00 t", "10.00 t"])
    mat.cores(92.4, 93.1, 91.2)
    mat.site.write("draw", {"step": "revealed", "lot": "mat-1", "number": "7"}, 500, by="greta")
    raw = made(mat)
    assert worked_out(raw) == pytest.approx(held(raw), rel=1e-9)
    weighted = 0.4 * 92.4 + 0.4 * 93.1 + 0.2 * 91.2
    assert any(value == pytest.approx(weighted) for value in held(raw).values())


def test_mat_and_joint_in_a_workbook() -> None:
    mat = with_joints()
    mat.site.lay(["20.00 t"] * 4)
    mat.cores(93.2, 93.2, 93.2)
    result(mat, "joint-1", "joint density", "91.5 %", "1")
    raw = made(mat, "whole-1")
    assert worked_out(raw) == pytest.approx(held(raw), rel=1e-9)
    assert len(formulas(raw)) == 6
    waits = with_joints()
    waits.cores(93.2)
    assert held(made(waits, "whole-1"))


def test_several_characteristics_in_a_workbook(monkeypatch: pytest.MonkeyPatch) -> None:
    raw = made(all_of_florida(), "cpf-1")
    assert worked_out(raw) == pytest.approx(held(raw), rel=1e-9)
    assert len(formulas(raw)) == len(FLORIDA) + 2
    monkeypatch.setattr("matbook.lots.together.pay_composite", capped)
    raw = made(all_of_florida(), "cpf-1")
    assert worked_out(raw) == pytest.approx(held(raw), rel=1e-9)
    assert 0.9 in held(raw).values()


def test_a_lot_without_results_and_one_that_isnt_there() -> None:
    mat = Mat()
    mat.core("9", "2.31")
    assert held(made(mat)) == {}
    mat.cores(92.4)
    assert set(held(made(mat)).values()) == {1.0, 92.4}
    with pytest.raises(NotFound, match="no lot “mat-9”"):
        made(mat, "mat-9")
