"""Pay schedules on the command line: listed, opened, checked as files, simulated, imported."""

import signal
import sys
import threading
import time

import pypdfium2

from tests.cli.conftest import PLAN, Site
from tests.lots.mat import RULE
from tests.plan.test_own_schedules import OURS


def test_a_schedule_is_looked_at_before_there_is_a_book(site: Site) -> None:
    said = site.run("show", "schedules").stdout
    assert "faa-p-401: FAA P-401, price schedule" in said
    assert "from memory" in said
    picture = site.folder / "curve.svg"
    said = site.run("show", "schedule", "faa-p-401", "--results", "4", "-o", str(picture)).stdout
    assert "0.9250 – 0.9950" in said
    assert picture.read_text().startswith("<svg")
    assert "no curve" in site.run("show", "schedule", "corps-lot", "-o", "x.svg", code=2).stderr
    assert "say which schedule" in site.run("show", "schedule", code=2).stderr


def test_a_file_is_checked_and_taken_into_the_plan(site: Site) -> None:
    ours = site.folder / "ours.toml"
    ours.write_text(OURS.replace("from = 3", "from = 1"), encoding="utf-8")
    said = site.run("show", "schedule", str(ours), code=1).stdout
    assert "line 6: groups[1].from: percent within limits takes at least 3 results." in said
    rule = RULE.replace('"florida-percent"', '"ours"').replace('tell = ["contractor"]\n', "")
    site.plan.write_text(PLAN.replace("[[plants]]", f"{rule}[[plants]]", 1), encoding="utf-8")
    assert "“ours”, text: groups[1].from" in site.run("import", str(site.plan), code=2).stderr
    ours.write_text(OURS, encoding="utf-8")
    site.run("import", str(site.plan), "--by", "ana")
    ours.unlink()
    first, *_ = site.json("show", "schedules")
    assert (first["name"], first["lots"]) == ("ours", "mat")
    assert "· lots: mat" in site.run("show", "schedules").stdout
    assert "Ours (ours)" in site.run("show", "schedule", "ours").stdout
    page = site.folder / "risk.pdf"
    said = site.run("risk", "--lots", "mat", "--sd", "1", "--points", "3", "-o", str(page)).stdout
    assert "The contractor’s risk: work with 90 % truly within limits (mean 93.28 %)" in said
    text = pypdfium2.PdfDocument(page)[0].get_textpage().get_text_range()
    assert "The owner’s risk" in text
    curve = site.folder / "risk.svg"
    found = site.json("risk", "ours", "--sd", "1", "--lower", "92", "--points", "2",
                      "-o", str(curve))  # fmt: skip
    assert found["finished"]
    assert curve.read_text().startswith("<svg")


def interrupt_within(function: str) -> None:
    """Press Ctrl-C once the main thread is at work within a function."""
    main = threading.main_thread().ident or 0
    for _ in range(6_000):
        frame = sys._current_frames().get(main)
        while frame is not None and frame.f_code.co_name != function:
            frame = frame.f_back
        if frame is not None:
            signal.raise_signal(signal.SIGINT)
            return
        time.sleep(0.01)


def test_a_simulation_that_is_stopped_leaves_a_sentence_and_no_file(site: Site) -> None:
    page = site.folder / "risk.pdf"
    stop = threading.Thread(target=interrupt_within, args=["pay_curve"])
    stop.start()
    asked = ("faa-p-401", "--sd", "1", "--lower", "92", "--results", "10", "--points", "1000")
    done = site.run("risk", *asked, "-o", str(page), code=130)
    stop.join()
    assert done.stderr.strip() == "matbook: Stopped. What was being written was not kept."
    assert done.stdout == ""
    assert not page.exists()
