"""Lots on the command line: shown, opened, and put into a report and a workbook."""

import re
from pathlib import Path
from statistics import fmean, stdev
from typing import Any

import pypdfium2
import pytest
import python_calamine
from scipy.stats import beta

from matbook.records.pdf import attachments_of
from tests.cli.conftest import PLAN, Site
from tests.lots.mat import RULE

VALUES = ("92.4", "93.1", "91.2", "92.8")
GAUGE = RULE.replace('unit = "%"\nsize', 'unit = "%"\nmethod = "gauge"\nsize', 1).replace(
    'tell = ["contractor"]\n', ""
)


@pytest.fixture
def lots(site: Site) -> Site:
    """Four drawn places, each tested by gauge."""
    site.plan.write_text(PLAN.replace("[[plants]]", f"{GAUGE}[[plants]]", 1), encoding="utf-8")
    site.run("import", str(site.plan), "--by", "ana")
    site.add("shift-open", shift="2026-05-12/a/day", at="2026-05-12T06:30:00-03:00")
    for number, value in enumerate(VALUES, 1):
        place = site.add("draw", "step=place", "lot=mat-1", f"number={number}", "station=3+100")
        body = ("basis=maximum", "method=gauge", "purpose=acceptance", f"percent={value} %")
        site.add("density", *body, f"draw={place}", "lift=binder", "lane=E", "station=3+100")
    return site


def test_every_lot_and_one_opened(lots: Site) -> None:
    (row,) = lots.json("show", "lots")
    assert (row["lot"], row["mean"], row["factor"]) == ("mat-1", "92.38 %", "0.875")
    said = " ".join(lots.run("show", "lot", "mat-1").stdout.split())
    assert "Pay factor 0.875 · −12 510.00" in said.replace("\u202f", " ")
    assert "0.55 + 0.5 × (64.99 / 100) = 0.8749" in said
    assert "no lot “mat-2”" in lots.run("show", "lot", "mat-2", code=2).stderr


def test_a_lot_that_has_no_pay_says_why(site: Site) -> None:
    site.plan.write_text(PLAN.replace("[[plants]]", f"{GAUGE}[[plants]]", 1), encoding="utf-8")
    site.run("import", str(site.plan), "--by", "ana")
    site.add("shift-open", shift="2026-05-12/a/day", at="2026-05-12T06:30:00-03:00")
    place = site.add("draw", "step=place", "lot=mat-1", "number=1", "station=3+100")
    body = ("basis=maximum", "method=gauge", "purpose=acceptance", "percent=92.4 %")
    site.add("density", *body, f"draw={place}", "lift=binder", "station=3+100")
    said = site.run("show", "lot", "mat-1").stdout
    assert "fewer than three results" in said
    assert "Pay factor" not in said
    for name in ("few.pdf", "few.xlsx"):
        site.run("report", "--lot", "mat-1", "-o", str(site.folder / name))
    values = cells(site.folder / "few.xlsx")
    assert 92.4 in [row[1] for row in values]


def test_the_report_has_the_working_and_carries_what_it_stands_on(lots: Site) -> None:
    path = lots.folder / "lot.pdf"
    made = lots.json("report", "--lot", "mat-1", "-o", str(path))
    assert made["lot"] == "mat-1"
    with pypdfium2.PdfDocument(path) as document:
        words = document[0].get_textpage().get_text_bounded()
    assert "0.55 + 0.5 × (64.99 / 100) = 0.8749" in words
    inside = attachments_of(path.read_bytes())
    assert inside.keys() == {"lot.json", "lot-entries.jsonl"}
    assert inside["lot-entries.jsonl"].count(b"\n") == 5
    assert "byte for byte" in lots.run("verify", str(path)).stdout
    assert f"Wrote {path}" in lots.run("report", "--lot", "mat-1", "-o", str(path)).stdout
    assert "no lot" in lots.run("report", "--lot", "mat-9", "-o", str(path), code=2).stderr


def test_strips_gauges_and_cores(site: Site) -> None:
    """Each sentence and each number as the core says it; nothing yet is said too."""
    site.run("import", str(site.plan), "--by", "ana")
    site.add("shift-open", shift="2026-05-12/a/day", at="2026-05-12T06:30:00-03:00")
    assert "No control strip yet" in site.run("show", "strip").stdout
    needs = ("basis=maximum", "method=gauge", "purpose=process", "lane=E", "station=3+100")
    for passes, density in ((2, 2210), (4, 2290), (6, 2312), (7, 2318), (8, 2315)):
        grown = (f"passes={passes}", f"density={density} kg/m3", "temp=110 °C", "strip=S")
        site.add("density", *needs, *grown)
    site.add("gauge-check", "density_count=2850", "result=within")
    site.add("core", "core=K1", "dry=1500 g", "ssd=1513 g", "water=870 g")
    for question in ("strip", "gauges", "cores"):
        data = site.json("show", question)
        printed = " ".join(site.run("show", question).stdout.split())
        for part in data["parts"]:
            for line in part["lines"]:
                assert " ".join(line["text"].split()) in printed
            for found in part["tables"]:
                assert found["rows"]
    opened = site.run("show", "figure", "strip/S/passes").stdout
    assert "growth of the mean density" in opened


# The workbook, worked out again by other hands


def cells(path: Path) -> list[list[Any]]:
    return python_calamine.load_workbook(path).get_sheet_by_index(0).to_python()


def formulas(path: Path) -> dict[str, str]:
    """The formulas of the sheet as they lie in the file."""
    import zipfile

    with zipfile.ZipFile(path) as packed:
        xml = packed.read("xl/worksheets/sheet1.xml").decode()
    return dict(re.findall(r'<c r="(B\d+)"[^>]*><f>(.*?)</f>', xml))


FUNCTIONS: dict[str, Any] = {
    "COUNT": len,
    "AVERAGE": fmean,
    "STDEV": stdev,
    "SQRT": lambda x: x**0.5,
    "MAX": max,
    "MIN": min,
    "ROUND": lambda x, places: round(x, places),
    "IF": lambda true, then, otherwise: then if true else otherwise,
    "BETADIST": lambda x, a, b: beta.cdf(x, a, b),
}


def worked_out(path: Path) -> tuple[dict[str, float], dict[str, float]]:
    """Every formula worked out from the results, and what the cells held."""
    held = {
        f"B{number}": row[1]
        for number, row in enumerate(cells(path), 1)
        if len(row) > 1 and isinstance(row[1], float)
    }
    found = dict(held)
    for cell, formula in formulas(path).items():
        text = formula.replace("^", "**").replace("&gt;", ">")
        text = re.sub(
            r"B(\d+):B(\d+)",
            lambda m: str([held[f"B{n}"] for n in range(int(m[1]), int(m[2]) + 1)]),
            text,
        )
        text = re.sub(r"B\d+", lambda m: f"({found[m[0]]!r})", text)
        found[cell] = float(eval(text, dict(FUNCTIONS)))
    return found, held


def test_the_workbook_works_out_the_same(lots: Site) -> None:
    path = lots.folder / "lot.xlsx"
    lots.run("report", "--lot", "mat-1", "-o", str(path))
    found, held = worked_out(path)
    assert len(formulas(path)) == 7
    assert found == pytest.approx(held, rel=1e-9)
    assert round(fmean(float(value) for value in VALUES), 3) in held.values()
    assert "no lot" in lots.run("report", "--lot", "mat-9", "-o", str(path), code=2).stderr


@pytest.mark.parametrize(("schedule", "limits", "count"), [
    ("florida-percent", 'lower = "91.0"\nupper = "95.0"', 8),
    ("colorado-quality-level", 'upper = "93.0"', 6),
    ("faa-p-401", 'lower = "92.0"', 5),
    ("corps-mat-density", "", 3),
])  # fmt: skip
def test_other_schedules_in_a_workbook(site: Site, schedule: str, limits: str, count: int) -> None:
    rule = GAUGE.replace("florida-percent", schedule).replace('lower = "92.0"', limits)
    site.plan.write_text(PLAN.replace("[[plants]]", f"{rule}[[plants]]", 1), encoding="utf-8")
    site.run("import", str(site.plan), "--by", "ana")
    site.add("shift-open", shift="2026-05-12/a/day", at="2026-05-12T06:30:00-03:00")
    for number, value in enumerate(VALUES, 1):
        place = site.add("draw", "step=place", "lot=mat-1", f"number={number}", "station=3+100")
        body = ("basis=maximum", "method=gauge", "purpose=acceptance", f"percent={value} %")
        site.add("density", *body, f"draw={place}", "lift=binder", "station=3+100")
    path = site.folder / "lot.xlsx"
    site.run("report", "--lot", "mat-1", "-o", str(path))
    found, held = worked_out(path)
    assert found == pytest.approx(held, rel=1e-9)
    assert len(formulas(path)) == count
