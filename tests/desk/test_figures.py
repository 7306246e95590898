"""Every number opens: value as shown, formula in words, inputs with their sources, range, flags."""

from typing import Any

import pytest

from tests.desk.asked import ask, busy, demo_book, opened
from tests.shift.cooled import laid, skin, uneven
from tests.shift.hauled import bursts
from tests.shift.site import US_PLAN, Site, at, on


def figure(site: Site, name: str, **arguments: Any) -> dict[str, Any]:
    found: dict[str, Any] = ask(site, "figure", name=name, **arguments)
    return found


def test_a_deviation_opens_to_the_spread_it_is_made_from() -> None:
    site = Site()
    site.lay(["22.00 t"] * 5)
    found = figure(site, "yield.shift/deviation")
    assert (found["title"], found["value"]) == ("Yield of the shift: over plan", "+4.8 %")
    assert found["formula"] == "100 x (rate / target - 1)"
    assert found["source"]
    rate, target = found["inputs"]
    assert rate == {"name": "rate", "title": "spread laid", "value": "125.7 kg/m²",
                    "from": {"figure": "yield.shift/rate"}}  # fmt: skip
    assert (target["value"], target["from"]["plan"]) == (
        "120.0 kg/m²",
        "lifts/spread, or mass per station",
    )
    assert (found["range"]["low"], found["range"]["high"]) == ("−1.3 %", "+5.2 %")
    assert found["range"]["is"].startswith("95 % range, from reading stations")
    mass, area = figure(site, rate["from"]["figure"])["inputs"]
    assert (mass["title"], mass["value"], mass["from"]["count"]) == ("mass", "110.0 t", 5)
    assert (area["value"], len(area["from"]["entries"])) == ("875 m²", 5)


def test_a_net_mass_opens_to_gross_and_tare_of_its_entry() -> None:
    site = Site()
    load = site.load("101", net=None, gross="33.40 t", tare="12.10 t")
    found = figure(site, "net/101")
    assert (found["title"], found["value"]) == ("Net mass of load 101", "21.30 t")
    assert found["inputs"][0] == {"name": "gross_kg", "title": "gross", "value": "33.40 t",
                                  "from": {"entry": load.id, "is": "Load 101"}}  # fmt: skip


def test_a_reading_is_what_was_written() -> None:
    site = busy()
    depth = next(e for e in site.entries if e.kind == "loose-depth")
    found = figure(site, f"reading/{depth.id}/loose-depth")
    assert (found["title"], found["value"]) == ("Loose depth 0+210.0", "75 mm")
    assert found["formula"] == "as written in the entry"
    assert (found["range"], found["limit"], found["source"]) == (None, None, "")
    assert found["inputs"][0]["title"] == "Loose depth"


def test_thickness_and_finish_say_what_they_hold_for() -> None:
    site = busy()
    thick = figure(site, "yield.lift/E/binder/thickness")
    assert (
        thick["title"]
        == "Yield of a lane and lift in a shift, Eastbound, Binder: equivalent thickness"
    )
    assert thick["value"].endswith("mm")
    assert thick["flags"] == ["if the base is even"]
    density = next(one for one in thick["inputs"] if one["name"] == "density_kg_m3")
    assert density["value"] == "2400 kg/m³"
    finish = figure(site, "finish.mass/binder", language="es")
    assert finish["title"] == "Masa para terminar Binder"
    assert finish["inputs"][0]["from"] is None
    assert figure(site, "finish.rate/binder")["value"].endswith("kg/m²")


def test_figures_are_shown_in_the_units_of_the_job() -> None:
    site = busy(US_PLAN)
    assert figure(site, "yield.shift/rate")["value"].endswith("lb/yd²")


@pytest.mark.parametrize(("job", "language"), [("harrow", "en"), ("kestrel", "fr")])
def test_every_figure_in_the_list_opens_and_shows_the_same(job: str, language: str) -> None:
    book = demo_book(job)
    for shift in book.shifts():
        listed = book.ask("figures", {"shift": shift, "language": language})
        assert len(listed) > 20
        for row in listed[:: max(1, len(listed) // 60)]:
            said = book.ask("figure", {"shift": shift, "name": row["name"], "language": language})
            assert (said["value"], said["title"]) == (row["value"], row["title"])
            assert said["exact"]["value"] == row["exact"]


def test_a_slope_and_a_ramp_are_shown_with_their_inputs() -> None:
    site = Site()
    site.write("slope", {"reading": "24 mm", "board": "1.2 m"}, 5, place=at(20))
    site.write("ramp", {"step": "50 mm", "length": "2 m"}, 6, place=at(20))
    site.write("weather", {"air": "12 degC"}, 7)
    shown = {r["title"]: r["value"] for r in ask(site, "figures")}
    assert shown["Cross slope 0+020.0"] == "2.0 %"
    assert shown["Air temperature"] == "12 °C"
    slope = next(r["name"] for r in ask(site, "figures") if r["title"].startswith("Cross"))
    assert [one["value"] for one in figure(site, slope)["inputs"]] == ["24 mm", "1.2 m"]
    assert opened(site).ask("figures", {"language": "es"})[0]["title"]


def test_a_contested_net_has_the_range_of_all_versions() -> None:
    site = Site()
    load = site.load("101", 0, place=on("E", "binder", 0, 50))
    for net, by in (("21.40 t", "ana"), ("21.90 t", "greta")):
        site.load(
            "101", 1, net=net, by=by, place=on("E", "binder", 0, 50), strikes=load.id, why="x"
        )
    found = figure(site, "net/101")
    assert (found["range"]["low"], found["range"]["high"]) == ("21.40 t", "21.90 t")
    assert found["range"]["is"] == "from the lowest to the highest of the contested entries"


def test_the_chance_of_a_stop_opens_to_the_trucks_times() -> None:
    """Its share, what the legs took, and how sure so few futures are."""
    found = ask(bursts(), "figure", 105, name="haul/P1")
    assert found["title"] == "Chance that First paver stands still within the hour"
    assert (found["value"], found["range"]["low"], found["range"]["high"]) == (
        "100 %", "96 %", "100 %"
    )  # fmt: skip
    assert found["source"].startswith("own method, event by event")
    assert [(one["title"], one["value"]) for one in found["inputs"]] == [
        ("from one load to the next", "8.0 min"),
        ("from the plant to the paver", "21.0 min"),
        ("from the paver until loaded again", "15.0 min"),
        ("trucks in the round", "3"),
        ("futures played", "100"),
    ]


def test_how_uneven_the_surface_is_opens_to_its_readings() -> None:
    site = laid(uneven(US_PLAN))
    reading = skin(site, 12, 60, "141 degC", across=["122 degC"])
    found = figure(site, f"uneven/{reading.id}/across")
    assert found["value"] == "34 °F"
    assert found["title"] == "Hottest less coldest of the surface, across the mat at 0+060.0"
    assert found["formula"] == "hottest - coldest"
    assert [row["value"] for row in found["inputs"]] == ["141 °C", "122 °C"]
    assert {row["from"]["entry"] for row in found["inputs"]} == {reading.id}
