"""Trucks and pace before the shift, against published worked examples and in words."""

from typing import Any

import pytest

from matbook.desk.trucks import trucks_ahead
from matbook.errors import Refused
from matbook.plan.changes import NO_PLAN
from matbook.plan.reader import read_plan
from tests.desk.asked import ask
from tests.shift.site import PLAN, Site

HAUL = '[haul]\nload = "20 t"\ncycle = "60 min"\n[[roads]]'
PLANNED = PLAN.replace("[[roads]]", HAUL, 1)
FORM = {"mass": "2200 ton", "hours": "10 h", "load": "20 ton", "cycle": "85 min"}


def asked(plan: str = PLANNED, **given: Any) -> dict[str, Any]:
    return trucks_ahead(read_plan(plan), {"hours": "10 h", **given})


def test_the_trade_forms_worked_example() -> None:
    """2,200 ton in 10 h, loads of 20 ton, a round of 85 min: 16 trucks (a mix delivery production
    calculation form, worked in the placement reference, 5.2)."""
    found = trucks_ahead(NO_PLAN, FORM)
    assert found["trucks"] == 16
    assert found["needs"][-1].startswith("No pace")
    assert [row["trucks"] for row in found["rows"]] == [14, 15, 16, 17, 18]
    assert [row["trucks"] for row in found["rows"] if row["needed"]] == [16]


def test_pace_by_hand_and_the_plans_own() -> None:
    """120 t/h on 3.50 m at 120 kg/m2 are 285.7 m in an hour, 4.8 m/min."""
    paced = PLANNED.replace('holds = "6 t"', 'holds = "6 t"\npace = "6.0 m/min"', 1)
    found = asked(paced, mass="1200 t")
    assert found["trucks"] == 6
    assert "The pace that uses up what comes: 4.8 m/min." in found["needs"]
    assert "The plan's pace, 6.0 m/min, lays 151 t in an hour: 8 trucks." in found["needs"]
    assert found["line"].startswith("1\u202f200 t in 10.0 h: 120 t in an hour, 60 loads of 20.0 t")


def test_more_trucks_stand_less_and_bunches_stand_more() -> None:
    found = asked(mass="1200 t")
    low = [int(row["free"].partition("–")[2].split()[0]) for row in found["rows"]]
    held = [int(row["held"].partition("–")[2].split()[0]) for row in found["rows"]]
    assert low == sorted(low, reverse=True)
    assert sum(held) > sum(low)  # whole numbers
    assert found["cost"][0].startswith("With 4 trucks at 4.8 m/min it stands ")
    assert "A steady 3." in found["cost"][0]


def test_the_trucks_there_are_and_a_busy_road() -> None:
    found = asked(mass="1200 t", trucks="9", road="two-lane")
    assert [row["trucks"] for row in found["rows"]] == [4, 5, 6, 7, 8, 9]
    assert found["cost"] == []
    assert any("hardly ever waits" in line for line in found["needs"])


def test_the_lifts_budget_is_the_mass_where_none_is_given() -> None:
    assert asked()["line"].startswith("1\u202f700 t")
    # lane E 2,000 m of 3.50 m, lane W 3,500 + 4,000 m2: 14,500 m2 at 120 kg/m2
    no_budget = PLANNED.replace('budget = "1700 t"\n', "")
    assert asked(no_budget, lift="binder")["line"].startswith("1\u202f740 t")


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"mass": "x"}, "mass is “x”; a mass from 1 t to 100000 t"),
        ({"mass": "1200 t", "hours": ""}, "hours is “”; it is needed"),
        ({"mass": "1200 t", "trucks": "0"}, "trucks is “0”; a whole number from 1 to 200"),
        ({"mass": "1200 t", "lift": "z"}, "lift is “z”; one of the plan's lifts"),
        ({"mass": "1200 t", "road": "z"}, "road is “z”; one of free, two-lane"),
        ({"mass": "1200 t", "hours": "30 min"}, "hours is “30 min”; at least one round"),
        ({"mass": "20 t", "hours": "10 h"}, "a round takes longer than laying a load"),
    ],
)
def test_what_cannot_be_taken_is_refused_with_a_sentence(given: dict[str, str], said: str) -> None:
    with pytest.raises(Refused, match=said.replace("(", r"\(")):
        asked(**given)


def test_what_the_plan_lacks_is_asked_for() -> None:
    with pytest.raises(Refused, match="load is “”; it is needed"):
        asked(PLAN, mass="1200 t")
    with pytest.raises(Refused, match="mass is “”; it is needed"):
        asked(PLANNED, lift="level")
    with pytest.raises(Refused, match="mass is “”; it is needed"):
        trucks_ahead(NO_PLAN, {"hours": "10 h"})


def test_the_book_answers_too() -> None:
    found = ask(Site(PLANNED), "trucks", hours="10 h", language="fr")
    assert found["title"] == "Camions et avance"
