"""Lots as they are asked for: tables, one lot opened, the answer on density, what roles see."""

from typing import Any

import pytest

from matbook.engine.sampling import commit
from matbook.errors import NotFound
from matbook.words import languages
from tests.desk.asked import ask
from tests.lots.mat import WITH_LOTS, Mat
from tests.shift.site import Site


def failing() -> Mat:
    mat = Mat()
    mat.cores(92.4, 93.1, 91.2, 92.8)
    return mat


def density(site: Site, **arguments: Any) -> dict[str, Any]:
    answers: list[dict[str, Any]] = ask(site, "now", 600, **arguments)["answers"]
    return next(one for one in answers if one["name"] == "density")


def test_a_plan_without_lots_has_none() -> None:
    site = Site()
    site.write("shift-open", {})
    assert ask(site, "lots") == []
    with pytest.raises(NotFound, match="none yet"):
        ask(site, "lot", name="mat-1")


def test_one_row_for_each_lot() -> None:
    mat = failing()
    mat.core("1", "2.31", lot="mat-2", minute=200)
    first, second = ask(mat.site, "lots", 600)
    assert (first["lot"], first["results"], first["mean"]) == ("mat-1", "4 of 5", "92.38 %")
    assert first["state"] == "open, provisional"
    assert second["within"] == "percent within limits: too few results yet"
    assert (second["factor"], second["money"]) == ("—", "")


def test_a_lot_is_named_among_those_there_are() -> None:
    with pytest.raises(NotFound, match=r"no lot “mat-7”; there is: mat-1"):
        ask(failing().site, "lot", 600, name="mat-7")


@pytest.mark.parametrize("language", languages())
def test_a_lot_opened(language: str) -> None:
    mat = failing()
    found = ask(mat.site, "lot", 600, name="mat-1", language=language)
    assert [row["value"] for row in found["rows"]] == ["92.4 %", "93.1 %", "91.2 %", "92.8 %"]
    assert found["within"] in found["line"]
    assert len(found["steps"]) == 12
    assert all(one["text"] for one in found["steps"])
    assert len(found["ahead"]) == 3
    assert found["notes"]


def test_what_a_lot_says_beside_its_figures() -> None:
    mat = Mat(WITH_LOTS.replace('floor = "90.0"\n', "").replace('lower = "92.0"', 'upper = "94.0"'))
    mat.cores(92.4, 93.1, 91.2, 92.8)
    mat.maximum()
    core = mat.core("1", "2.30", minute=200)
    mat.site.write("disagreement", {"about": core.id, "says": "No."}, 210, by="cole")
    for number, percent in enumerate((93.9, 94.1, 94.0), 1):
        body = {"test": "density", "value": f"{percent} %", "purpose": "process", "lot": "mat-1"}
        body["sample"] = f"mat-1/{number}"
        mat.site.write("test-result", body, 300 + number, by="cole")
    secret = "00112233445566778899aabbccddeeff"
    for step, said, by in (("committed", commit(secret), "greta"), ("contributed", "7", "cole")):
        mat.site.write("draw", {"step": step, "lot": "mat-1", "number": said}, 1, by=by)
    found = ask(mat.site, "lot", 600, name="mat-1")
    assert [row["state"] for row in found["rows"] if "retest" in row["state"]] == [
        "retest: kept beside the first, doesn’t count, disputed"
    ]
    assert found["rule"][0] == "Upper limit: 94.0 %"
    assert len(found["sides"]) == 4
    assert found["draw"][-1] == "The number is not revealed yet."
    assert "no failure" in " ".join(found["notes"])
    mat.site.write("draw", {"step": "revealed", "lot": "mat-1", "number": secret}, 400, by="greta")
    late = ask(mat.site, "lot", 600 + 48 * 60, name="mat-1")
    assert "nobody could choose" in late["draw"][-1]


def test_sides_of_unequal_spread_and_too_few() -> None:
    mat = failing()
    for number, percent in enumerate((80.0, 99.0, 70.0, 98.0, 60.0, 95.0), 1):
        body = {"test": "density", "value": f"{percent} %", "purpose": "process", "lot": "mat-1"}
        mat.site.write("test-result", body, 300 + number, by="cole")
    assert "unequal" in ask(mat.site, "lot", 600, name="mat-1")["sides"][2]
    few = failing()
    body = {"test": "density", "value": "93.0 %", "purpose": "process", "lot": "mat-1"}
    few.site.write("test-result", body, 300, by="cole")
    assert "1 results" in ask(few.site, "lot", 600, name="mat-1")["sides"][-1]


def test_no_next_result_brings_full_pay() -> None:
    mat = Mat()
    mat.cores(90.4, 90.1, 91.2, 90.8)
    ahead = ask(mat.site, "lot", 600, name="mat-1")["ahead"]
    assert "No next result" in ahead[1]
    mat = Mat()
    mat.cores(93.4, 93.1, 93.9, 93.8)
    assert "next result gives full pay" in ask(mat.site, "lot", 600, name="mat-1")["ahead"][1]


def test_why_there_is_no_percentage() -> None:
    mat = Mat()
    mat.core("1", "2.31")
    assert "fewer than three" in ask(mat.site, "lot", 600, name="mat-1")["why"]
    mat = Mat()
    mat.core("9", "2.31")
    found = ask(mat.site, "lot", 600, name="mat-1")
    assert (found["mean"], found["within"]) == ("—", "no percent within limits")


# Now


def test_the_answer_on_density_has_the_lot_with_its_range() -> None:
    mat = failing()
    found = density(mat.site)
    assert found["number"] == "92.4 %"
    assert found["lines"] == [
        "lot mat-1: mean 92.38 % of maximum, 4 of 5 results; "
        "65.0 % within limits (27 to 93 %) · provisional"
    ]
    assert (found["state"], found["figure"]) == ("watch", "lot/mat-1/mean")


def test_after_a_reading_the_lot_stands_under_it() -> None:
    mat = failing()
    needs = {"basis": "maximum", "method": "gauge", "purpose": "process"}
    mat.site.write("density", {"percent": "94.1 %", **needs}, 400, by="tess")
    found = density(mat.site)
    assert found["number"] == "94.1 %"
    assert len(found["lines"]) == 2


def test_never_fine_while_provisional() -> None:
    mat = Mat()
    mat.cores(93.4, 93.1, 93.9, 93.8, 93.5)
    assert density(mat.site)["state"] == "unknown"
    mat.maximum()
    assert density(mat.site)["state"] == "fine"


def test_a_lot_without_a_counting_result_has_no_number() -> None:
    mat = Mat()
    mat.core("9", "2.31")
    assert (density(mat.site)["number"], density(mat.site)["figure"]) == ("—", None)


def test_calls_of_lots_stand_among_the_others_and_open() -> None:
    mat = failing()
    calls = {call["code"]: call for call in ask(mat.site, "now", 600)["calls"]}
    assert calls["lot.failing"]["figure"] == "lot/mat-1/pay"
    assert "65.0 % within limits, 27 to 93 %" in calls["lot.failing"]["line"]


@pytest.mark.parametrize(("name", "value"), [
    ("mean", "92.38 %"), ("sd", "0.834 %"), ("quality.lower", "0.4496"), ("within", "65.0 %"),
    ("pay", "0.875"), ("money", "−12 510.00"),
])  # fmt: skip
def test_every_figure_of_a_lot_opens(name: str, value: str) -> None:
    found = ask(failing().site, "figure", 600, name=f"lot/mat-1/{name}")
    assert found["title"].startswith("Lot mat-1")
    assert found["source"]
    assert found["value"].replace("\u202f", " ") == value


def test_a_single_result_opens_down_to_the_masses() -> None:
    mat = failing()
    row = ask(mat.site, "lot", 600, name="mat-1")["rows"][0]
    found = ask(mat.site, "figure", 600, name=row["figure"])
    assert found["value"] == "92.4 %"
    assert "AASHTO T 269" in found["source"]


# Roles


def released(mat: Mat) -> list[Any]:
    return [row["lot"] for row in ask(mat.site, "lots", 600, role="contractor")]


def test_the_contractor_sees_nothing_of_a_lot_until_their_own_results_are_in() -> None:
    mat = failing()
    assert released(mat) == []
    assert density(mat.site, role="contractor")["lines"] == ["no lot has a result yet"]
    body = {"test": "density", "value": "93.9 %", "purpose": "process", "lot": "mat-1"}
    mat.site.write("test-result", body, 300, by="cole")
    assert released(mat) == ["mat-1"]


def test_an_inspector_sees_a_lot_whose_places_are_still_secret() -> None:
    (row,) = ask(failing().site, "lots", 600, role="inspector")
    assert row["results"] == "4 of 5"
    place = failing().site.facts.of("draw")[0].id
    with pytest.raises(NotFound):
        ask(failing().site, "entry", 600, role="inspector", id=place)
