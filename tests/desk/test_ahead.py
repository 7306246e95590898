"""Can we pave? The table in words, what is refused, and what is said where something lacks."""

from typing import Any

import pytest

from matbook.desk.ahead import hours_ahead
from matbook.desk.open_book import OpenBook
from matbook.errors import Refused
from matbook.plan.changes import NO_PLAN
from matbook.plan.reader import read_plan
from tests.desk.asked import ask
from tests.shift.cooled import PHASES, rolled
from tests.shift.site import PLAN, US_PLAN, Site, clock
from tests.shift.test_ahead import OPENS

WEATHER: list[dict[str, str]] = [
    {"at": "07:00", "air": "-6 degC", "wind": "3 m/s", "sky": "overcast", "surface": "2 degC"},
    {"at": "08:00", "air": "15 degC", "sky": "clear"},
]


def text(phases: str = PHASES, of: str = PLAN) -> str:
    plan = rolled(of, phases=phases).replace('rolling_ends = "80 degC"', OPENS)
    order = '[[orders]]\nid = "j"\nwhere = "crown"\nfirst = "edges"\n'
    return plan.replace("[[plants]]", f"{order}[[plants]]", 1)


def page(plan: str | None = None, **given: Any) -> dict[str, Any]:
    asked = {"lift": "binder", "laid": "150 degC", "thickness": "50 mm, 40 mm", "hours": WEATHER}
    found = read_plan(text() if plan is None else plan) if plan != "" else NO_PLAN
    return hours_ahead(found, {**asked, **given}, clock(0))


def test_hours_stand_against_thicknesses_with_minutes_in_the_cells() -> None:
    found = page()
    assert [one["words"] for one in found["columns"]] == ["40 mm", "50 mm"]
    assert [one["planned"] for one in found["columns"]] == [False, True]
    first, second = found["rows"]
    assert (first["at"], second["at"]) == ("07:00", "08:00")
    assert first["weather"] == "−6 °C, wind 11 km/h, overcast, base 2 °C"
    assert second["weather"] == "15 °C, wind 11 km/h, clear, base 2 °C"
    for row in found["rows"]:
        thin, thick = ([int(n) for n in one["words"][:-4].split("–")] for one in row["cells"])
        assert thin[0] < thin[1]
        assert thin[0] < thick[0]
        assert row["cool"] > row["at"]
    assert found["line"].startswith("AC 16 binder, 50 mm, 150 °C behind the screed")
    assert found["orders"] == ["Crown: the edges first"]


def test_the_owners_limits_stand_beside_the_hour() -> None:
    first, second = page()["rows"]
    assert next(one["words"] for one in first["limits"]) == (
        "Air temperature: the plan asks at least 5 °C"
    )
    assert all("Air" not in one["words"] for one in second["limits"])


def test_what_the_rollers_need_and_what_works_is_said() -> None:
    found = page()
    assert found["needs"] == [
        "Breakdown: needs 17 min from laying, in strips of 40 m; ends at 110 °C"
    ]
    assert found["works"][0] == "50 mm: none of these hours works."
    short = page(text(PHASES.replace('strip = "40 m"', 'strip = "10 m"')))
    assert short["works"][0].startswith("50 mm: the first hour that works is 0")
    assert short["works"][1].startswith("The thinnest lift that works at 0")
    assert "°C behind the screed" in short["works"][2]
    endless = page(text(PHASES.replace('strip = "40 m"', 'strip = "500 m"')))
    assert "neither a thicker lift nor hotter mix" in endless["works"][1]


def test_opening_and_the_wait_are_said() -> None:
    late = page(opens="23:00")["closure"]
    assert late[0].startswith("Laid at 07:00, it is down to 60 °C, for traffic or the next lift,")
    assert late[1].startswith("Mix laid up to 08:00, the last of these hours")
    early = page(opens="07:30")["closure"]
    assert early[1].startswith("To open at 07:30 at 60 °C, even mix laid at the first")
    between = page(opens="08:20")["closure"][1]
    assert between.startswith("To open at 08:20, the last mix must be laid by 0")
    never = page(rolled(), opens="08:20")["closure"]
    assert never == ["The plan names no temperature at which traffic or the next lift may come."]


def test_without_a_plan_it_works_from_what_is_given() -> None:
    place = {"lift": "", "latitude": "45", "longitude": "-64", "ends": "80 degC"}
    found = page("", **place, thickness="50 mm")
    assert found["line"].startswith("Dense hot mix, 50 mm")
    assert [one["words"] for one in found["columns"]] == ["40 mm", "50 mm", "60 mm", "75 mm"]
    assert {one["state"] for row in found["rows"] for one in row["cells"]} == {"unknown"}
    assert found["needs"][0].startswith("The plan names no phase that makes density")
    assert page("", **place, thickness="50 mm", opens_below="55 degC")["rows"][0]["cool"]


def test_what_the_plan_lacks_for_the_rollers_is_said() -> None:
    found = page(text(PHASES.replace('speed = "4.8 km/h"\n', "")))
    assert found["needs"] == ["Not held against the rollers: the plan lacks its speed."]
    nowhere = text().replace('pace = "4.69 m/min"', "")
    assert page(nowhere)["needs"] == [
        "Not held against the rollers: the plan lacks the paver's pace."
    ]


def test_mix_that_stays_warm_for_hours_says_hours() -> None:
    mild = [
        {"at": "12:00", "air": "45 degC", "wind": "0 m/s", "sky": "clear", "surface": "60 degC"}
    ]
    found = page("", lift="", latitude="0", longitude="0", ends="40 degC", opens_below="40 degC",
                 thickness="150 mm", laid="190 degC", hours=mild, until="13:00")  # fmt: skip
    assert found["rows"][0]["cells"][-1]["words"] == "hours"
    assert found["rows"][0]["cool"] is None
    assert found["closure"][0] == "The mat takes longer than ten hours to come down to 40 °C."


def test_us_jobs_have_us_thicknesses() -> None:
    found = page(text(of=US_PLAN), thickness="", laid="300 degF")
    assert [one["words"] for one in found["columns"]] == [
        "1.50 in",
        "1.97 in",
        "2.50 in",
        "3.00 in",
    ]


BAD: list[tuple[dict[str, Any], str]] = [
    ({"laid": ""}, "laid is “”; it is needed"),
    ({"laid": "500 degC"}, "laid is “500 degC”; a temperature from 40 degC to 200 degC"),
    ({"laid": "12 m"}, "laid is “12 m”; a temperature"),
    ({"laid": "hot"}, "laid is “hot”; a temperature"),
    ({"lift": "none"}, "lift is “none”; one of the plan's lifts"),
    ({"thickness": "0 mm"}, "thickness is “0 mm”; a length from 10 mm to 150 mm"),
    ({"thickness": ",".join(["50 mm"] * 9)}, "thickness is “9 of them”; at most 8"),
    ({"hours": []}, "hours is “”; the weather of at least one hour"),
    ({"hours": "07:00"}, "hours is “”; the weather of at least one hour"),
    ({"hours": ["x"]}, "hours is “x”; each with at"),
    ({"hours": [WEATHER[0]] * 25}, "hours is “25 of them”"),
    ({"hours": [{"at": "07:00", "wind": "3 m/s"}]}, "air is “”; it is needed"),
    ({"hours": [{"at": "07:00", "air": "5 degC", "wind": "80 m/s"}]}, "wind is “80 m/s”; a speed"),
    ({"hours": [{**WEATHER[0], "sky": "blue"}]}, "sky is “blue”; one of clear"),
    ({"hours": [{**WEATHER[0], "at": "25:00"}]}, "at is “25:00”; a time such as 07:30"),
    ({"hours": [{**WEATHER[0], "surface": "74 degC"}], "laid": "60 degC", "ends": "50 degC"},
     "start_c is “74 °C below the lift”; no base hotter than the mix"),
    ({"until": "06:00"}, "until is “2026-05-12T06:00-03:00”; a time after the first hour"),
    ({"opens": "noon"}, "opens is “noon”; a time such as 07:30"),
    ({"latitude": "91", "longitude": "0"}, "latitude is “91”; degrees from -70 to 70"),
    ({"latitude": "x", "longitude": "0"}, "latitude is “x”; degrees"),
]  # fmt: skip


@pytest.mark.parametrize(("given", "said"), BAD)
def test_what_cannot_be_taken_is_refused_with_a_sentence(given: dict[str, Any], said: str) -> None:
    with pytest.raises(Refused) as refused:
        page(**given)
    assert str(refused.value).startswith(said)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"ends": "80 degC"}, "latitude is “”; the plan doesn't say where the job lies"),
        ({"ends": "80 degC", "latitude": "45"}, "longitude is “”; the plan doesn't say"),
        ({"latitude": "45", "longitude": "0"}, "ends is “”; it is needed"),
    ],
)
def test_without_a_plan_what_is_missing_is_asked_for(given: dict[str, Any], said: str) -> None:
    with pytest.raises(Refused) as refused:
        page("", **{"lift": "", **given})
    assert str(refused.value).startswith(said)


def test_progress_is_told_up_to_the_end() -> None:
    told: list[tuple[int, int]] = []
    asked = {"lift": "binder", "laid": "150 degC", "thickness": "50 mm, 40 mm", "hours": WEATHER}
    hours_ahead(read_plan(text()), asked, clock(0), "en", lambda done, of: told.append((done, of)))
    assert [done for done, _ in told] == sorted({done for done, _ in told})
    assert told[-1][0] == told[-1][1]


def test_the_book_is_asked_before_and_during_a_shift() -> None:
    asked: dict[str, Any] = {"lift": "binder", "laid": "150 degC", "thickness": "50 mm"}
    asked["hours"] = WEATHER
    site = Site(text())
    site.write("shift-open", {}, 0)
    assert len(ask(site, "ahead", **asked)["rows"]) == 2
    assert len(ask(site, "ahead", None, **asked, language="fr")["rows"]) == 2
    empty = OpenBook("ridge")
    first = [{**WEATHER[0], "at": "2026-05-12T07:00:00-03:00"}]
    place = {"latitude": "45", "longitude": "-64", "ends": "80 degC", "thickness": "50 mm"}
    found = empty.ask(
        "ahead", {"laid": "150 degC", "hours": first, "until": "2026-05-12T07:30:00-03:00", **place}
    )
    assert [row["at"] for row in found["rows"]] == ["07:00"]
    with pytest.raises(Refused, match="hours"):
        empty.ask("ahead", {"laid": "150 degC", **place, "at": "2026-05-12T07:00:00-03:00"})
