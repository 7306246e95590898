"""Every number opens: formula in words, source, inputs down to what was written, range, limit."""

import json
from typing import Any

import pytest

from matbook.engine.spread import spread_rate
from matbook.errors import OutOfRange
from matbook.shift.figure import Agreed, Figure, Read, Whole, figure, plain, shown
from tests.shift.site import PLAN, US_PLAN, Site, at, on


def busy(plan: str = PLAN) -> Site:
    """A shift with every kind of figure in it."""
    site = Site(plan)
    site.lay(["21.00 t", "20.60 t", "21.40 t", "21.20 t", "21.10 t", "20.90 t"])
    load = site.load("107", 70, net=None, gross="33.20 t", tare="12.00 t")
    body = {"load": load.id, "to": "area", "mass": "1.2 t"}
    site.write("placed", body, 71)
    place = on("W", "binder", 1000, 960)
    site.write("placed", {"load": load.id, "to": "mainline", "width": "3.9 m"}, 72, place=place)
    site.load("108", 80, mix="ac8", net="16.80 t", place=on("E", "surface", 0, 50))
    site.load("109", 90, place=on("E", "level", 0, 100))
    site.write("loose-depth", {"depth": "66 mm"}, 20, place=at(40))
    site.write("slope", {"reading": "24 mm", "board": "1.2 m", "planned": "2.0 %"}, 20, place=at(4))
    site.load("110", 95, net=None)
    return site


def leaves(opened: Any) -> list[dict[str, Any]]:
    """The inputs at the ends of a derivation."""
    if isinstance(opened, dict) and "inputs" in opened:
        return [leaf for value in opened["inputs"].values() for leaf in leaves(value)]
    return [opened]


@pytest.mark.parametrize("plan", [PLAN, US_PLAN], ids=["metric", "us"])
def test_every_figure_opens_to_plain_data_that_leads_to_what_was_written(plan: str) -> None:
    site = busy(plan)
    seen = site.view()
    written = {entry.id for entry in site.entries}
    names = [name for name, _ in seen.figures()]
    assert len(names) == len(set(names)), "a name opens one number"
    assert {name.partition("/")[0] for name in names} == {
        "net", "yield.load", "yield.last", "yield.lift", "yield.shift", "finish.mass",
        "finish.rate", "yield.cumulative", "reading", "joint", "depth",
    }  # fmt: skip
    for name, found in seen.figures():
        opened = json.loads(json.dumps(found.open(depth=9)))
        assert float(opened["value"]) == pytest.approx(found.value, rel=1e-11), name
        assert opened["unit"] == found.unit
        if found.made_by is not None:
            assert opened["formula"]
            assert opened["source"]
            assert opened["function"].startswith("matbook.engine.")
        for leaf in leaves(opened):
            assert {"entry", "entries", "plan", "value"} & leaf.keys(), name
            assert {leaf.get("entry"), *leaf.get("entries", ())} - {None} <= written
            if "entries" in leaf:
                assert len(leaf["entries"]) == leaf["count"]
            if "plan" in leaf:
                assert leaf["plan"]


def test_what_a_figure_says_can_be_worked_out_again_from_what_it_opens_to() -> None:
    site = busy()
    opened = dict(site.view().figures())["yield.load/E/binder/102/rate"].open()
    mass, area = (float(opened["inputs"][name]["value"]) for name in ("mass_kg", "area_m2"))
    assert float(opened["value"]) == pytest.approx(mass / area, rel=1e-11)
    low, high = (float(opened["range"][end]) for end in ("low", "high"))
    assert low < float(opened["value"]) < high
    assert opened["range"]["is"] == "range.95"


def test_a_deviation_opens_to_its_rate_and_that_to_its_mass() -> None:
    found = dict(busy().view().figures())["yield.load/E/binder/102/deviation"]
    shallow = found.open(depth=0)["inputs"]["rate"]
    assert shallow.keys() == {"value", "unit"}
    deep = found.open()["inputs"]["rate"]
    assert deep["inputs"]["mass_kg"]["of"] == "mass on the tickets"
    assert found.open()["inputs"]["target"]["plan"]


def test_net_opens_to_the_ticket_as_written() -> None:
    opened = dict(busy().view().figures())
    assert opened["net/101"].open()["inputs"]["net"]["written"] == "21.00 t"
    weighed = opened["net/107"].open()
    assert weighed["inputs"]["gross_kg"]["written"] == "33.20 t"
    assert weighed["formula"] == "gross - tare"


def test_loads_that_share_a_number_each_have_a_name() -> None:
    site = Site()
    for n in range(2):
        site.load("101", n, place=on("E", "binder", 50 * n, 50 * n + 50))
    site.load("101", 5, plant="south")
    names = [name for name, _ in site.view().figures()]
    assert len(names) == len(set(names))
    assert {"net/101", "net/101#2", "net/101#3"} <= set(names)


def test_a_target_for_a_reading_opens_to_the_plan() -> None:
    (reading,) = busy().view().readings("loose-depth")
    assert reading.target is not None
    inputs = reading.target.open()["inputs"]
    assert inputs["compacted_m"] == {"value": "0.05", "plan": "lifts/binder/thickness"}
    assert reading.value.open()["inputs"]["depth"]["written"] == "66 mm"


# Figures themselves


def test_a_figure_is_its_function_of_its_inputs() -> None:
    made = figure(
        spread_rate, "kg/m2", mass_kg=Agreed(21_000.0, "x"), area_m2=Read(175.0, "e", "f", "w")
    )
    assert made.value == 120.0
    assert made.open() == {
        "value": "120",
        "unit": "kg/m2",
        "formula": "mass / area",
        "source": spread_rate.source,  # type: ignore[attr-defined]
        "function": "matbook.engine.spread.spread_rate",
        "inputs": {
            "mass_kg": {"value": "21000", "plan": "x"},
            "area_m2": {"written": "w", "entry": "e", "field": "f"},
        },
    }


def test_what_the_engine_refuses_is_refused() -> None:
    with pytest.raises(OutOfRange):
        figure(spread_rate, "kg/m2", mass_kg=1.0, area_m2=0.0)


def test_a_function_without_words_is_named_and_called_a_definition() -> None:
    def half(value: float) -> float:
        return value / 2

    opened = figure(half, "m", value=3).open()
    assert (opened["formula"], opened["source"], opened["value"]) == ("half", "definition", "1.5")
    assert opened["inputs"] == {"value": {"value": "3"}}


def test_a_figure_shows_its_flags_and_the_limit_it_is_set_against() -> None:
    site = Site()
    limit = next(limit for limit in site.view().plan.limits if limit.id == "ac16-delivery-low")
    made = Figure(120.0, "degC", None, {}, flags=("flag.provisional",), limit=limit)
    opened = made.open()
    assert opened["flags"] == ["flag.provisional"]
    assert opened["limit"] == {
        "number": "115",
        "unit": "degC",
        "side": "min",
        "clause": "4.1",
        "source": limit.source,
        "standing": limit.standing,
    }
    assert "formula" not in opened
    assert "range" not in opened


def test_the_value_of_any_input() -> None:
    whole = Whole(5.0, "mass", 2, lambda: ["a", "b"])
    assert [plain(v) for v in (3, 3.5, whole, Agreed(1.0, "p"))] == [3, 3.5, 5.0, 1.0]


def test_a_number_leaves_the_core_at_twelve_digits() -> None:
    assert shown(1 / 3) == "0.333333333333"
    assert shown(0.1 + 0.2) == "0.3"
