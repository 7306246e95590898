"""Lots on the command line: shown, opened, and put into a report and a workbook."""

import pypdfium2
import pytest
import python_calamine

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
    sheet = python_calamine.load_workbook(site.folder / "few.xlsx").get_sheet_by_index(0)
    assert 92.4 in [row[1] for row in sheet.to_python()]


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
