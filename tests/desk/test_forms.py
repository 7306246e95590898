"""Forms as data: titles, the job's units, ranges in them, choices, cautions."""

from typing import Any

import pytest

from matbook.book.kinds import EXAMPLES, kinds
from matbook.desk.forms import ANY, CAUTIONS, COMMONEST, USUAL
from matbook.engine import units
from matbook.words import languages
from tests.desk.asked import ask
from tests.shift.site import US_PLAN, Site


def form(kind: str, plan: str | None = None, **arguments: Any) -> dict[str, Any]:
    said = ask(Site(plan) if plan else Site(), "kinds", None, **arguments)
    found: dict[str, Any] = next(one for one in said["kinds"] if one["name"] == kind)
    return found


def field(kind: str, name: str, plan: str | None = None, **arguments: Any) -> dict[str, Any]:
    found: dict[str, Any] = next(
        f for f in form(kind, plan, **arguments)["fields"] if f["name"] == name
    )
    return found


def test_every_kind_but_the_installations_is_a_form_and_eight_are_commonest() -> None:
    said = ask(Site(), "kinds", None)
    assert [one["name"] for one in said["kinds"]] == [name for name in kinds() if name != "seal"]
    assert said["commonest"] == list(COMMONEST)
    assert len(set(COMMONEST) & kinds().keys()) == 8
    assert said["groups"]["paving"] == "At the paver"


def test_a_field_knows_its_unit_and_range() -> None:
    assert field("load", "net") == {
        "name": "net", "title": "Net", "type": "quantity", "need": False, "many": False,
        "of": "mass", "most": 2000, "units": ["t", "kg"], "signs": ["t", "kg"], "low": "0 t",
        "high": "80 t", "usual": ["2 t", "45 t"], "choices": [],
    }  # fmt: skip
    us = field("load", "temp", US_PLAN)
    assert (us["units"][0], us["signs"][0]) == ("degF", "°F")
    assert (us["low"], us["high"], us["usual"]) == ("32 degF", "482 degF", ["194 degF", "374 degF"])
    assert field("crew", "count")["high"] == 200


def test_amounts_of_anything_offer_the_usual_units() -> None:
    assert field("quantity", "amount")["units"][0] == "t"
    assert field("quantity", "amount", US_PLAN)["units"][0] == "ton"


def test_every_unit_offered_measures_what_the_field_takes() -> None:
    for kind in kinds().values():
        for plan in (None, US_PLAN):
            for one in form(kind.name, plan)["fields"] if kind.name != "seal" else ():
                of = kind.fields[one["name"]].of
                if one["type"] == "quantity" and of != "any":
                    assert {units.dimension(unit) for unit in one["units"]} == {of}
                    assert of in EXAMPLES
    assert {
        units.dimension(u)
        for table in (*USUAL.values(), ANY)
        for row in table.values()
        for u in row
    }


def test_choices_are_in_words_and_the_plan_gives_its_own() -> None:
    event = field("paver", "event")
    assert event["choices"][1] == {"value": "at", "title": "passing"}
    assert field("traffic-control", "state")["choices"][0]["title"] == "set up"
    assert field("load", "plant")["choices"][0] == {"value": "north", "title": "North plant"}
    assert field("load", "truck")["choices"][0] == {"value": "11", "title": "11"}
    assert {"value": "cole", "title": "Cole Reed"} in field("notice", "to")["choices"]
    assert field("notice", "to")["title"] == "To whom"
    assert field("load", "signs")["choices"] == []


def test_a_place_offers_what_the_plan_has() -> None:
    place = {one["name"]: one for one in form("density")["place"]}
    assert place["lane"]["choices"] == [
        {"value": "E", "title": "Eastbound"}, {"value": "W", "title": "Westbound"},
    ]  # fmt: skip
    assert (place["station"]["type"], place["lane"]["type"]) == ("station", "choice")
    assert (place["offset"]["type"], place["offset"]["units"][0]) == ("quantity", "m")


@pytest.mark.parametrize("language", languages())
def test_forms_are_whole_in_every_language(language: str) -> None:
    """No title falls back to the bare name of a field, in any language."""
    for one in ask(Site(), "kinds", None, language=language)["kinds"]:
        for f in one["fields"]:
            assert f["title"][:1] == f["title"][:1].upper(), (one["name"], f["name"])
            if f["type"] == "choice" and language != "en":
                assert all(choice["title"] for choice in f["choices"])
    spanish = form("loose-depth", language="es")
    assert spanish["about"].startswith("Espesor de la carpeta suelta")


@pytest.mark.parametrize("language", languages())
def test_cautions_stand_where_the_hazard_is_and_defer(language: str) -> None:
    for kind in CAUTIONS:
        said = form(kind, language=language)["cautions"]
        assert len(said) == len(CAUTIONS[kind]) + 1
    assert form("load")["cautions"] == [
        "A truck backs up here: stay out of its path and in the driver's sight (NIOSH 2014).",
        "Never climb a bed to probe: use the platform or the probe hole.",
        "Hot mix burns through gloves and boots.",
        "Look up before a bed is raised: overhead lines, 10 ft (3 m) at the least up to 50 kV "
        "(29 CFR 1910.269).",
        "Follow the site safety plan, local law and the owner's specification.",
    ]
    assert form("weather")["cautions"] == []
    assert kinds().keys() >= CAUTIONS.keys()
