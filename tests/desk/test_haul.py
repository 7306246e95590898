"""The haul as the app is told: the hour, what would help, bunches, and the last load."""

from typing import Any

import pytest

from matbook.errors import Refused
from tests.desk.asked import ask
from tests.shift.hauled import STEP, bursts, morning
from tests.shift.site import Site, at
from tests.shift.test_cutoff import LEFT

END = 13 * STEP


def paver(site: Site, minute: float = END + 2, **arguments: Any) -> dict[str, Any]:
    (found,) = ask(site, "haul", minute, **arguments)["pavers"]
    return dict(found)


def test_three_trucks_and_what_would_keep_the_paver_moving() -> None:
    found = paver(bursts(), 105)
    assert found["figure"] == "haul/P1"
    assert [leg["takes"] for leg in found["legs"]] == ["21.0 min", "8.0 min", "15.0 min"]
    assert len(found["minutes"]) == 6
    assert found["minutes"][1]["words"].startswith("stands in 100 of a hundred cases")
    assert found["helps"][0].startswith("At ") or found["helps"][0].startswith("No pace")
    assert any("without a stop gets as far" in line for line in found["helps"])
    assert any(line.startswith(("No number of trucks", "1 ", "2 ")) for line in found["helps"])


def test_a_way_that_nobody_timed_is_left_out() -> None:
    legs = paver(morning(plan=LEFT, loaded=False))["legs"]
    assert [leg["leg"] for leg in legs] == [
        "from one load to the next", "from the paver until loaded again",
    ]  # fmt: skip


def test_when_nothing_is_soon_enough_it_says_so() -> None:
    """Two minutes before it stands no truck gets there, and no pace down to a quarter lasts."""
    found = paver(bursts(), 119.0)
    assert found["helps"][:2] == [
        "No pace down to a quarter would keep it moving through the hour.",
        "No number of trucks more is soon enough for the next stop.",
    ]


def test_six_trucks_need_no_help_and_the_last_load_is_told() -> None:
    site = morning(plan=LEFT)
    found = paver(site)
    assert found["helps"] == []
    assert found["last"] == [
        "Last load: 7 more (7 to 8) for the 500 m to 1+200",
        "3 loads are loaded and on the way.",
        "Left over at the end: 0.00 t",
    ]
    assert found["last_figure"] == "haul.last/E/binder/P1"
    assert ask(site, "figure", END + 2, name=found["last_figure"])["value"] == "7"
    assert found["bunched"].startswith("Trucks come no closer together than by chance")


def test_a_last_load_that_is_far_and_has_no_hour() -> None:
    """Twelve hours at 6.25 m/min are 4500 m of the 8300 m that are left."""
    site = morning(plan=LEFT.replace('to = "1+200"', 'to = "9+000"'))
    assert paver(site)["last"][0] == (
        "The last load is not near: 12 h at this pace get 4\u202f500 m of the 8\u202f300 m to 9+000"
    )


def test_an_hour_and_a_count_that_somebody_knows_better() -> None:
    site = morning(plan=LEFT)
    found = paver(site, closes="09:18", coming="2")
    assert found["last"][0].startswith("Last load: ")
    assert "it gets" in found["last"][0]
    assert found["last"][-1].startswith("The last truck leaves the plant by ")
    assert found["last"][1] == "2 loads are loaded and on the way."
    assert ask(site, "haul", END + 2, closes="09:18")["closes"] == "09:18"
    for wrong in ("x", "-1", "1000"):
        with pytest.raises(Refused, match="coming"):
            paver(site, coming=wrong)


def test_what_is_not_known_is_said() -> None:
    few = paver(morning(5), 4 * STEP + 1)
    assert few["bunched"].startswith("Whether trucks come in bunches shows once eight")
    assert (few["minutes"], few["legs"], few["figure"]) == ([], [], None)
    assert any("none are reckoned with" in line for line in few["last"])
    site = morning()
    site.write("paver", {"event": "end"}, END + 9, place=at(700))
    assert ask(site, "haul", END + 10)["pavers"] == []
    full = morning(plan=LEFT.replace("1+200", "0+700"))
    assert paver(full)["last"] == [
        "The last load isn't known yet: lane, pace or rhythm is missing."
    ]
    assert paver(full)["last_figure"] is None


def test_now_counts_the_last_loads_down() -> None:
    calls = ask(morning(plan=LEFT.replace("1+200", "0+900")), "now", END + 2)
    (call,) = [one for one in calls["calls"] if one["code"] == "haul.last"]
    assert call["figure"] == "haul.last/E/binder/P1"
    (answer,) = [one for one in calls["answers"] if one["name"] == "haul"]
    assert answer["lines"][-1].startswith("Last load: 1 more")
