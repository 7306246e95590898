"""What is laid of a lot, what is in doubt about it, and lots paid together, as people read them."""

import json
from typing import Any

import pypdfium2
import pytest

from matbook.desk.job import JobBook
from matbook.records.daily import daily_record
from matbook.records.lot import make_lot_report
from matbook.records.pdf import attachments_of
from matbook.words import languages
from tests.desk.asked import ask
from tests.lots.mat import WITH_LOTS, Mat
from tests.lots.test_calls import in_doubt
from tests.lots.test_doubts import FAR, streaked
from tests.lots.test_together import MAT, all_of_florida, result, with_joints
from tests.scribe import SHIFT
from tests.shift.site import NEXT, Site, clock

HUNDRED = WITH_LOTS.replace('size = "1000 t"', 'size = "100 t"', 1)


def lot(site: Site, name: str = "mat-1", **arguments: Any) -> dict[str, Any]:
    found: dict[str, Any] = ask(site, "lot", 600, name=name, **arguments)
    return found


def short_lot(schedule: str = "florida-percent", lower: str = 'lower = "92.0"\n') -> Mat:
    """50 t of 100 t in loads of 20, 20 and 10 t, three cores, and nothing more to come."""
    plan = HUNDRED.replace('lower = "92.0"\n', lower, 1)
    mat = Mat(plan.replace("florida-percent", schedule, 1))
    mat.site.lay(["20.00 t", "20.00 t", "10.00 t"])
    mat.cores(93.0, 93.4, 94.4)
    mat.site.write("draw", {"step": "revealed", "lot": "mat-1", "number": "7"}, 500, by="greta")
    return mat


def test_what_is_laid_of_a_lot_and_of_its_sublots() -> None:
    mat = Mat(HUNDRED)
    mat.site.lay(["21.00 t"] * 3)
    mat.cores(92.4)
    found = lot(mat.site)
    assert found["laid"] == [
        "63.0 t of 100.0 t laid; 3 loads, 101 to 103; Eastbound 0+000 to 0+150",
        "Sublot 1: 20.0 t of 20.0 t, Eastbound 0+000 to 0+047.6",
        "Sublot 2: 20.0 t of 20.0 t, Eastbound 0+047.6 to 0+095.2",
        "Sublot 3: 20.0 t of 20.0 t, Eastbound 0+095.2 to 0+142.9",
        "Sublot 4: 3.0 t of 20.0 t, Eastbound 0+142.9 to 0+150",
        "Sublot 5: nothing laid yet",
    ]
    assert found["line"].endswith(" · provisional · 63.0 t of 100.0 t laid")


def test_a_lot_that_nothing_is_tested_of_yet() -> None:
    mat = Mat(HUNDRED)
    mat.site.load("101", net="21.00 t", place={"lane": "E", "lift": "binder", "paver": "P1"})
    found = lot(mat.site)
    assert found["line"] == "lot mat-1: 21.0 t of 100.0 t laid, nothing tested yet"
    assert found["laid"][0] == "21.0 t of 100.0 t laid; 1 load, 101 to 101; where isn’t written"
    assert (found["mean"], found["results"]) == ("—", "0 of 5")
    answers = ask(mat.site, "now", 600)["answers"]
    assert next(one for one in answers if one["name"] == "density")["number"] == "—"


def test_lots_by_length_and_by_the_day() -> None:
    mat = Mat(WITH_LOTS.replace('"1000 t"', '"500 m"', 1))
    mat.site.lay(["21.00 t"] * 3)
    assert lot(mat.site)["laid"][0].startswith("150.0 m of 500.0 m laid; 3 loads")
    daily = WITH_LOTS.replace('size = "1000 t"\n', "", 1).replace('price = "100.00"\n', "", 1)
    mat = Mat(daily)
    mat.site.lay(["21.00 t"] * 3)
    assert lot(mat.site, "mat-2026-05-12")["laid"][0].startswith("63.0 t laid that day")


def test_unequal_sublots_weigh_and_the_money_is_for_what_was_laid() -> None:
    found = lot(short_lot().site)
    assert found["laid"][0].startswith("50.0 t laid, and no more comes: 100.0 t was planned")
    assert found["laid"][-2:] == [
        "Its sublots are of unequal size: their results weigh 0.400; 0.400; 0.200, "
        "the weighted mean is 93.44 %.",
        "Percent within limits has no published form with weights: it counts every result alike.",
    ]
    texts = [step["text"].replace("\u202f", " ") for step in found["steps"]]
    assert texts[-1].startswith("Money for what is laid: 1.00 × ")
    assert "× 50 t × 100.00" in texts[-1]
    assert "× 100 t × 100.00" in texts[-2]
    assert texts[-1].endswith(found["money"])
    by_mean = lot(short_lot("corps-mat-density", "").site)
    assert "unequal" in by_mean["laid"][-1]
    assert any("Weighted mean: (0.4000 × 93.0" in step["text"] for step in by_mean["steps"])
    assert by_mean["factor"] == "0.991"


@pytest.mark.parametrize("name", ["mean.weighted", "money.laid"])
def test_figures_of_what_is_laid_open(name: str) -> None:
    assert ask(short_lot().site, "figure", 600, name=f"lot/mat-1/{name}")["source"]


@pytest.mark.parametrize(("rule", "said"), [
    ('size = "1000 t"', "Cut: every 1 000 t of what is laid on the lift"),
    ('size = "100 t"\ncut = "load"', "Cut: every 100 t of what is laid on the lift, at the end"),
    ('size = "500 m"', "Cut: every 500 m of what is laid"),
    ("", "Cut: by the working day"),
    ('size = "100 t"\nretests = "instead"', "A retest counts instead of the result before it."),
    ('size = "100 t"\noutlier = "0.05"', "A result beyond Grubbs’s limit (0.05, both sides"),
])  # fmt: skip
def test_a_lot_says_by_which_rules(rule: str, said: str) -> None:
    plan = WITH_LOTS.replace('size = "1000 t"', rule, 1)
    mat = Mat(plan if rule else plan.replace('price = "100.00"\n', "", 1))
    mat.cores(92.4)
    rules = [one.replace("\u202f", " ") for one in lot(mat.site)["rule"]]
    assert any(one.startswith(said) for one in rules)


def test_lots_smaller_than_a_load_say_so() -> None:
    mat = Mat(WITH_LOTS.replace('"1000 t"', '"15 t"', 1))
    mat.site.lay(["21.00 t"])
    mat.cores(92.4)
    assert "smaller than a load" in " ".join(lot(mat.site)["notes"])


@pytest.mark.parametrize("language", languages())
def test_what_is_in_doubt(language: str) -> None:
    mat = in_doubt()
    third = mat.site.facts.of("core")[2]
    mat.site.write("disagreement", {"about": third.id, "says": "No."}, 210, by="cole")
    found = lot(mat.site, language=language)
    assert len(found["doubts"]) == 5  # the dispute, the outlier, three places
    body = {"test": "density", "value": "92.9 %", "purpose": "process", "lot": "mat-1"}
    mat.site.write("test-result", {**body, "sample": "mat-1/3"}, 300, by="cole")
    said = lot(mat.site, language=language)["doubts"][0]
    assert "92.9 %" in said
    assert said != found["doubts"][0]


def test_an_outlier_left_out_and_a_place_of_no_name() -> None:
    rule = 'size = "100 t"\noutlier = "0.05"\noutliers = "left out"\nmethod = "gauge"'
    mat = Mat(WITH_LOTS.replace('size = "1000 t"', rule, 1))
    mat.site.lay(["20.00 t"] * 5)
    needs = {"basis": "maximum", "method": "gauge", "purpose": "acceptance"}
    for number, percent in enumerate(FAR, 1):
        drawn = {"draw": mat.place(str(number)).id, "percent": f"{percent} %"}
        place = {"lane": "E", "lift": "binder", "station": "0+125"}
        mat.site.write("density", {**needs, **drawn}, 100 + number, by="tess", place=place)
    assert "is left out." in " ".join(lot(mat.site)["rule"])
    said = lot(mat.site)["doubts"]
    assert "By the plan’s rule it is left out." in said[0]
    assert said[1].startswith("a result, sublot 1, at 0+125: ")
    assert lot(mat.site)["rows"][-1]["state"].startswith("too far from the rest")


def test_a_disputed_lot_says_so_wherever_it_stands() -> None:
    mat = Mat()
    mat.cores(92.4, 93.1, 91.2, 92.8, 91.9)
    third = mat.site.facts.of("core")[2]
    mat.site.write("disagreement", {"about": third.id, "says": "No."}, 210, by="cole")
    (row,) = ask(mat.site, "lots", 600)
    assert row["state"].endswith("disputed")
    assert lot(mat.site)["line"].endswith("provisional · disputed")


def test_a_contested_result_says_what_each_correction_makes_of_the_lot() -> None:
    mat = Mat()
    mat.cores(92.4, 93.1, 91.2, 92.8)
    fifth = mat.core("5", "2.2975")
    for by, dry in (("tess", "1010 g"), ("greta", "1015 g")):
        body = {**fifth.body, "dry": dry, "ssd": "1015 g"}
        mat.site.write("core", body, 100, by=by, strikes=fifth.id, why="weighed again")
    (said,) = lot(mat.site)["doubts"]
    assert said.startswith("Sublot 5 was corrected more than once.")


def test_what_events_take_away() -> None:
    mat = streaked()
    mat.cores(92.4, 93.1, 91.2, 92.8)
    found = lot(mat.site)
    texts = [step["text"].replace("\u202f", " ") for step in found["steps"]]
    assert texts[-2] == "Streaks: 2 × 500.00 = 1 000.00 taken away"
    assert texts[-1].endswith(found["money"].replace("\u202f", " "))
    opened = ask(mat.site, "figure", 600, name="lot/mat-1/taken/streaks")
    assert opened["value"].replace("\u202f", " ") == "1 000.00"


# Lots paid together


def joined(plan: str = MAT) -> Mat:
    mat = with_joints(plan)
    mat.site.lay(["20.00 t"] * 5)
    mat.cores(93.2, 93.2, 93.2)
    result(mat, "joint-1", "joint density", "91.5 %", "1")
    return mat


@pytest.mark.parametrize("language", languages())
def test_mat_and_joint_together(language: str) -> None:
    found = lot(joined().site, "whole-1", language=language)
    assert (found["factor"], found["results"].split()[0]) == ("0.977", "2")
    assert len(found["steps"]) == 5
    assert len(found["rule"]) == 2
    assert (found["rows"], found["why"]) == ([], "")
    row = ask(joined().site, "lots", 600, language=language)[-1]
    assert (row["lot"], row["money"]) == ("whole-1", found["money"])
    assert "," in row["state"]


def test_with_the_maximum_gravity_in_nothing_of_them_is_provisional() -> None:
    mat = joined()
    mat.maximum()
    assert ask(mat.site, "lots", 600)[-1]["state"] == "open"


@pytest.mark.parametrize(("name", "value"), [
    ("composite", "0.977"), ("joint", "0.9769"), ("part.mat", "0.9830"), ("money", "−207.90"),
])  # fmt: skip
def test_figures_of_lots_together_open(name: str, value: str) -> None:
    assert ask(joined().site, "figure", 600, name=f"lot/whole-1/{name}")["value"] == value


def test_what_lots_together_wait_for() -> None:
    mat = with_joints(MAT.replace("tell", 'source = "x"\ntell', 1))
    mat.cores(93.2, 93.2, 93.2)
    found = lot(mat.site, "whole-1")
    assert found["why"] == "whole-1: no factor yet; it waits for joint-1"
    result(mat, "joint-1", "joint density", "89.0 %", "1")
    found = lot(mat.site, "whole-1")
    assert "Rejected by its own schedule: joint-1." in found["doubts"][0]
    assert "how much of it is laid isn’t known" in found["doubts"][1]


def test_several_characteristics_need_no_clause() -> None:
    found = lot(all_of_florida().site, "cpf-1")
    assert len(found["rule"]) == 1
    assert "(0.35 × " in found["steps"][-2]["text"]
    assert found["state"] == "open, provisional"


def test_a_report_of_lots_together_has_the_working_of_each() -> None:
    book = JobBook(joined().site.entries)
    raw = make_lot_report(book, SHIFT, "whole-1", None, clock(600))
    inside = attachments_of(raw)
    parts = json.loads(inside["lot.json"])["parts"]
    assert [one["lot"] for one in parts] == ["mat-1", "joint-1"]
    assert inside["lot-entries.jsonl"].count(b"\n") == 5  # the plan and four results
    with pypdfium2.PdfDocument(raw) as document:
        words = "".join(page.get_textpage().get_text_bounded() for page in document)
    assert "Lot joint-1: Joint density" in words
    assert "100 × 2.3300 / 2.500 = 93.2 %" in words


# Closing, handing over, and the daily record


def test_open_lots_stand_in_closing_handover_and_the_record() -> None:
    mat = Mat(HUNDRED.replace('stop = "0.70"', 'stop = "0.99"'))
    mat.site.lay(["21.00 t"] * 6)
    mat.cores(91.4, 91.1, 91.2)
    said = "\n".join(ask(mat.site, "close", 600)["open"])
    assert "Not told to anybody: Lot mat-1: factor 0.550, below the owner’s stop" in said
    assert "Lot still open: lot mat-1: mean 91.23 % of maximum, 3 of 5 results" in said
    assert "Lot still open: lot mat-2: 26.0 t of 100.0 t laid, nothing tested yet" in said
    handed = ask(mat.site, "handover", 600)["text"]
    assert "lot mat-2: 26.0 t of 100.0 t laid, nothing tested yet" in handed
    lines = ["lot mat-1: mean 91.23 %"]
    sections = daily_record(mat.site.view(), None, lots=lines).data["sections"]
    (section,) = (one for one in sections if one["title"] == "Lots")
    assert section["blocks"][1]["items"][0]["text"] == lines[0]
    assert "Lots" not in [
        one["title"] for one in daily_record(mat.site.view(), None).data["sections"]
    ]


def test_lots_that_wait_together_are_handed_over_too() -> None:
    assert "whole-1: pay factor 0.977 from mat-1, joint-1" in ask(
        joined().site, "handover", 600
    )["text"]  # fmt: skip


def test_a_lot_that_is_done_is_no_matter_of_a_later_shift() -> None:
    mat = Mat()
    mat.cores(93.4, 93.9, 93.1, 93.6, 93.5)
    mat.maximum()
    assert "lot mat-1" in ask(mat.site, "handover", 600)["text"]
    after = SHIFT.replace("2026-05-12", "2026-05-13")
    mat.site.write("note", {"text": "x"}, 1500, shift=after)
    assert "lot mat-1" not in ask(mat.site, "handover", None, shift=after)["text"]


def test_a_lot_goes_on_in_the_next_shift_where_the_paver_stopped() -> None:
    mat = Mat(HUNDRED)
    mat.site.lay(["21.00 t"] * 2)
    place = {"lane": "E", "lift": "binder", "paver": "P1", "to": "0+150.0"}
    mat.site.load("103", 1500, place=place, shift=NEXT)
    found = ask(mat.site, "lot", None, shift=NEXT, name="mat-1")
    assert found["laid"][0] == (
        "63.0 t of 100.0 t laid; 3 loads, 101 to 103; Eastbound 0+000 to 0+150"
    )
    before = ask(mat.site, "lot", None, shift=SHIFT, name="mat-1")
    assert before["laid"][0].startswith("42.0 t of 100.0 t laid; 2 loads, 101 to 102")
