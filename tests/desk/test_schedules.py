"""Pay schedules and their risk in words: listed, opened, checked as files, simulated."""

import re
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from matbook.desk.open_book import OpenBook
from matbook.desk.risk import risk_of, setting_of
from matbook.desk.schedules import line_of, list_of, page_of
from matbook.engine.acceptance import pay_schedules, read_schedule
from matbook.engine.schedules import PaySchedule
from matbook.errors import NotFound, OutOfRange, Refused
from matbook.plan.changes import NO_PLAN
from matbook.plan.own_schedules import with_schedules
from matbook.plan.reader import read_plan
from matbook.words import languages
from tests.plan.test_own_schedules import OURS
from tests.plan.test_own_schedules import PLAN as WITH_OURS

PLAN = read_plan(with_schedules(WITH_OURS, {"ours": OURS}.get))
DOCS = Path(__file__).parents[2] / "docs" / "schedules.md"


def risk(plan: Any = NO_PLAN, **given: Any) -> Any:
    return risk_of(plan, {"name": "florida-percent", "sd": "1", "points": "2", **given})


def test_the_plans_own_come_first_and_say_who_is_paid_by_them() -> None:
    first, second, *_ = list_of(PLAN)
    assert (first["name"], first["from"], first["lots"]) == ("ours", "the plan’s own", "mat")
    assert (second["name"], second["edition"]) == (pay_schedules()[0], "—")
    assert OpenBook("x").ask("schedules") == list_of(NO_PLAN)


@pytest.mark.parametrize("name", pay_schedules())
def test_every_schedule_that_ships_opens_and_is_drawn(name: str) -> None:
    page = page_of(NO_PLAN, {"name": name, "width": 360})
    assert page["rows"]
    assert page["about"]
    if page["chart"] is not None:
        root = ElementTree.fromstring(page["chart"]["svg"])
        assert root.get("viewBox") == "0 0 360 260"
        assert len(list(root.iter("{http://www.w3.org/2000/svg}path"))) >= 1


def test_what_puts_factors_together_says_how() -> None:
    both = OURS.partition("measure")[0] + 'composite = "weighted"\ncap = 1.05\n[weights]\na = 2\n'
    page = page_of(NO_PLAN, {"name": "both", "text": both})
    assert page["about"] == ["Factors of several characteristics, weighted", "At most 1.05"]
    assert page["rows"] == [{"measured": "a", "factor": "2.000"}]


def test_a_schedule_speaks_every_language() -> None:
    for language in languages():
        asked = {"name": "washington-compaction", "results": "12", "language": language}
        assert OpenBook("x").ask("schedule", asked)["results"] == 12


def test_what_a_schedule_says_of_itself() -> None:
    said = " ".join(page_of(NO_PLAN, {"name": "colorado-quality-level", "results": 12})["about"])
    assert "shown for 12" in said
    assert "blended" in said
    assert "At most 1.045" in said
    read = " ".join(page_of(NO_PLAN, {"name": "colorado-quality-level", "results": 30})["about"])
    assert "This part of it: from memory" in read
    whole = OURS + (
        "reject_below = 0.6\nleft_in_place = 0.5\nshare_below = 0.6\nplaces = 1\n"
        "tries = [{ lower = 92.0, cap = 1.0 }, { cap = 0.9 }]\n"
    )
    head, _, groups = whole.partition("[[groups]]")
    rows, keys = groups.split("reject_below", 1)
    page = page_of(NO_PLAN, {"text": f"{head}reject_below{keys}[[groups]]{rows}", "name": "mine"})
    said = " ".join(page["about"])
    for words in ("rejected", "is paid 0.5", "below it 0.6", "1 decimals", "Its own limits: 92"):
        assert words in said
    assert page["rows"][-1] == {"measured": "40", "factor": "0.7000"}
    deviations = page_of(NO_PLAN, {"name": "ours", "text": OURS.replace(
        '"percent within limits"', '"mean deviation"\ntarget = 4').replace(
        "polynomial = [0.5, 0.5]", "bands = [{ to = 1, factor = 1 }, { from = 1, factor = 0.9 }]"
    )})  # fmt: skip
    assert "Its target: 4" in deviations["about"]
    assert [row["measured"] for row in deviations["rows"]] == ["0 – 1", "from 1 on"]


def test_the_page_on_schedules_holds_one_that_works_as_it_says_by_hand() -> None:
    """Worked by hand on the page itself: 0.90 for four results, 1.00 for five."""
    (text,) = re.findall(r"```toml\n(.*?)```", DOCS.read_text(encoding="utf-8"), re.DOTALL)
    found = read_schedule(text, "ours")
    assert isinstance(found, PaySchedule)
    assert found.curve_at(71.0, 4).factor == pytest.approx(0.90)
    assert found.curve_at(90.0, 5).factor == pytest.approx(1.00)
    assert found.curve_at(20.0, 5) == (0.50, True)
    page = page_of(NO_PLAN, {"text": text, "name": "ours", "results": 4})
    assert [row["factor"] for row in page["rows"]] == ["1.0200", "0.7500 – 1.0000", "rejected"]


def test_every_fault_of_a_file_is_a_sentence_with_its_line() -> None:
    gap = OURS.replace("mean", "mean").replace("from = 3\n", "from = 3\nto = 4\n")
    gap += "[[groups]]\nfrom = 6\npolynomial = [1]\n[[groups]]\nfrom = 7\nkind = 1\n"
    page = page_of(NO_PLAN, {"text": gap, "name": "ours"})
    faults = {fault["words"]: fault["line"] for fault in page["faults"]}
    assert faults["groups: there is an overlap between 6 to 10000 and 7 results."] == 6
    assert faults["groups: there is a gap between 3 to 4 and 6 results."] == 6
    assert next(line for words, line in faults.items() if "groups[3].kind" in words) == 13
    (broken,) = page_of(NO_PLAN, {"text": "title = \n", "name": "x"})["faults"]
    assert (broken["line"], broken["words"][:15]) == (1, "This is no TOML")
    assert line_of("", "measure: it must be there.") is None
    assert line_of("", "what: else") is None
    assert line_of("", "Nothing of the sort") is None


def test_what_can_not_be_asked_of_a_schedule() -> None:
    for given, error, words in (
        ({"name": "mine"}, NotFound, "no pay schedule “mine”; there is: ours, colorado"),
        ({"name": "ours", "results": "some"}, Refused, "whole number"),
        ({"name": "ours", "results": "2"}, OutOfRange, "is for 3"),
        ({"name": "ours", "width": "wide"}, Refused, "width"),
        ({"text": 5}, Refused, "text"),
    ):
        with pytest.raises(error, match=words):
            page_of(PLAN, given)


# The risk


def test_a_risk_curve_in_portions_is_the_whole_one() -> None:
    whole = risk(lower="92")
    part = risk(lower="92", most=1)
    assert (part["done"], part["of"], part["finished"]) == (1, 2, False)
    assert part["risks"] == []
    assert "as far as point 1 of 2" in part["notes"][0]
    assert risk(lower="92", have=part["points"]) == whole
    bands = risk(name="corps-voids", results="4", points=2, most=1)["points"]
    assert risk(name="corps-voids", results="4", points=2, have=bands)["finished"]
    assert OpenBook("x").ask("risk", {"name": "florida-percent", "sd": 1, "lower": 92, "points": 2,
                                      "have": whole["points"]}) == whole  # fmt: skip


def test_each_sides_risk_on_a_straight_line_is_what_the_line_gives() -> None:
    """Percent within limits is unbiased: 0.55 + 0.5 x 0.9 = 1.0, and 0.55 + 0.5 x 0.5 = 0.8."""
    good, poor = risk(lower="92", points=1)["risks"]
    assert "90 % truly within limits (mean 93.28) is paid 1.000 on average" in good
    assert "50 % truly within limits (mean 92.00) is paid 0.800 on average" in poor


def test_lots_of_the_plan_bring_their_own_terms() -> None:
    found = risk_of(PLAN, {"lots": "mat", "sd": "0,8", "points": 1, "good": "95"})
    assert found["line"] == "5 results a lot, standard deviation 0.8; ≥ 92"
    assert "(mean 93.32 %)" in found["risks"][0]


def test_where_a_curve_runs_by_itself() -> None:
    for given, low, high in (
        ({"lower": "92"}, "89", "96"),
        ({"upper": "97"}, "93", "100"),
        ({"lower": "92", "upper": "97"}, "89", "100"),
        ({"name": "washington-compaction"}, "89", "96"),
        ({"name": "corps-mat-density"}, "91.28", "98.72"),
        ({"name": "corps-voids", "results": "4"}, "1.669", "6.331"),
        ({"lower": "92", "from": "91", "to": "94"}, "91", "94"),
    ):
        found = setting_of(NO_PLAN, {"name": "florida-percent", "sd": "1", **given})
        assert (f"{found.means[0]:g}", f"{found.means[-1]:g}") == (low, high), given
        assert len(found.means) == 200


def test_risks_that_can_not_be_said_in_percent() -> None:
    deviations = risk(name="corps-voids", results="4", points=1)
    assert "read the risks off" in deviations["risks"][0]
    assert "target 4" in deviations["line"]
    tight = risk(lower="92", upper="93", points=1)
    assert "with this spread it is at most 38.3" in tight["risks"][0]
    assert [row["within"] for row in tight["rows"]] == ["0.1"]
    assert "≥ 92" in risk(name="washington-compaction", points=1)["line"]


def test_what_can_not_be_simulated() -> None:
    points = risk(lower="92", most=1)["points"]
    for given, words in (
        ({"sd": ""}, "say how much the work spreads"),
        ({"sd": "0"}, "above 0"),
        ({"sd": "wide"}, "it must be a number"),
        ({"sd": True}, "it must be a number"),
        ({"lower": "92", "points": "1.5"}, "whole number, 1 to 1000"),
        ({"lower": "92", "from": "95", "to": "94"}, "must be below to"),
        ({"name": "corps-lot"}, "puts factors together"),
        ({"lower": "92", "have": "all"}, "as they were handed out"),
        ({"lower": "92", "have": [{**points[0], "full": "1"}]}, "as they were handed out"),
        ({"lower": "93", "have": points}, "another setting"),
        ({"lots": "mix"}, "no lots “mix”"),
        ({}, "a lower limit, an upper limit or both"),
    ):
        with pytest.raises((Refused, NotFound), match=words):
            risk(PLAN, **given)
    assert risk(text=OURS, name="ours", lower="92", points=1)["title"].startswith("What Ours")
    bands = "bands = [{ to = 1, factor = 1 }, { from = 1, factor = 0.9 }]"
    own = risk(PLAN, text=OURS.replace('"percent within limits"', '"mean deviation"\ntarget = 4')
               .replace("polynomial = [0.5, 0.5]", bands),
               results=3, points=1, **{"from": 3.5, "to": 4.5})  # fmt: skip
    assert "target 4" in own["line"]


def test_progress_is_told_and_stops_it() -> None:
    told: list[tuple[int, int]] = []

    def progress(done: int, of: int) -> bool:
        told.append((done, of))
        return done < 2

    found = risk_of(NO_PLAN, {"name": "florida-percent", "sd": 1, "lower": 92, "points": 5},
                    progress=progress)  # fmt: skip
    assert told == [(1, 5), (2, 5)]
    assert not found["finished"]
