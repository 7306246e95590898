"""Placement as the app is told: tack, depth, edges and smoothness, each number with its range."""

from typing import Any

from tests.desk.asked import ask
from tests.shift.placed import PLACED, creeping, depth, spread
from tests.shift.site import PLAN, Site, at, on


def parts(site: Site, **arguments: Any) -> dict[str, dict[str, Any]]:
    return {part["name"]: part for part in ask(site, "placement", **arguments)["parts"]}


def test_an_empty_shift_has_every_subject_and_nothing_in_it() -> None:
    site = Site()
    site.write("shift-open", {}, 0)
    found = parts(site)
    assert [*found] == ["tack", "depth", "shape", "smooth"]
    assert all(part["rows"] == [] and part["numbers"] == [] for part in found.values())


def test_tack_by_spread_against_its_limit_and_the_tank() -> None:
    """175 L on 350 m2, 60 % stay: 0.300 L/m2, 0.276 to 0.324; 825 L left are 1,980 m2 at 0.25."""
    site = Site(PLACED)
    entry = spread(site)
    spread(site, 60, before="700 L", after="800 L")
    tack = parts(site)["tack"]
    assert tack["lines"] == [
        "Tack so far: 350 m² at 0.300 L/m² residual (0.276 to 0.324)",
        "left in the tank: 800 L, enough for 1 920 m² at the target".replace(" 920", "\u202f920"),
    ]
    first, second = tack["rows"]
    assert (first["value"], first["state"]) == ("0.300 L/m²", "fine")
    assert first["words"] == "0.500 L/m² applied on 350 m², tank 1000 L to 825 L"
    assert (second["value"], second["state"]) == ("—", "unknown")
    assert "doesn't fill while it sprays" in second["words"]
    assert tack["limits"] == ["Residual rate of tack coat: at least 0.20 L/m²"]
    (number,) = tack["numbers"]
    assert (number["value"], number["range"]) == ("0.300 L/m²", "0.276 L/m² to 0.324 L/m²")
    opened = ask(site, "figure", name=f"tack/{entry.id}/applied")
    assert (opened["title"], opened["value"]) == ("Tack applied 0+000.0", "0.500 L/m²")
    inputs = {one["title"]: one["value"] for one in opened["inputs"]}
    assert inputs["Tank before"] == "1000 L"
    assert ask(site, "figure", name=first["figure"])["value"] == "0.300 L/m²"


def test_what_is_not_corrected_says_so_and_us_jobs_have_gallons() -> None:
    site = Site(PLACED)
    spread(site, temp=None)
    assert parts(site)["tack"]["rows"][0]["words"].endswith("the tank's was not read")
    us = Site(PLACED.replace('units = "metric"', 'units = "us"'))
    spread(us)
    assert parts(us)["tack"]["rows"][0]["value"] == "0.066 gal/yd²"
    bare = Site(PLAN)
    spread(bare)
    assert "no residual rate" in parts(bare)["tack"]["lines"][0]
    assert parts(bare)["tack"]["lines"][1] == "left in the tank: 825 L"
    assert parts(bare)["tack"]["rows"][0]["value"] == "—"


def test_depth_says_what_to_set_how_it_drifts_and_where_to_check() -> None:
    site = creeping()
    found = parts(site)["depth"]
    assert found["lines"][0].startswith("Loose depth 66 mm for 62 mm; it drifts: +5.5 mm / 100 m")
    names = {one["name"]: one["value"] for one in found["numbers"]}
    assert names["depth/E/binder/P1/set"] == "62.5 mm"
    assert names["depth/E/binder/P1/drift"] == "+5.5 mm / 100 m"
    assert found["rows"][0]["words"] == "planned 62 mm"
    depth(site, 8, 66.5, "down")
    assert parts(site)["depth"]["lines"][1].startswith("Screed set down")
    site.write("loose-depth", {"depth": "66 mm"}, 30, place=at(84))
    found = parts(site)["depth"]
    assert found["lines"] == [
        "A trend needs three loose depths since the last stop or change",
        "Screed set down: check again from 0+087.5, all but done at 0+091.5",
        "1 reading since then came too early to judge the change",
    ]
    opened = ask(site, "figure", name="depth/E/binder/P1/recheck")
    assert opened["value"] == "7.5 m"
    site.write("loose-depth", {"depth": "63 mm"}, 31, place=at(99))
    assert "Screed" not in str(parts(site)["depth"]["lines"])


def test_the_jobs_own_cores_stand_beside_the_plan() -> None:
    site = creeping(rise=0.0)
    for n in range(3):
        site.write("core", {"core": f"C{n}", "thickness": "51 mm"}, 60, by="tess", place=at(20 * n))
    assert any(line.startswith("By 3 cores of this job") for line in parts(site)["depth"]["lines"])
    bare = Site(PLAN)
    bare.write("loose-depth", {"depth": "40 mm"}, 1, place=at(10, lift="level"))
    assert parts(bare)["depth"]["lines"][0].startswith("No depth to set")
    assert parts(bare)["depth"]["rows"][0]["state"] == "unknown"


def test_edges_and_smoothness_with_their_states() -> None:
    site = Site(PLACED)
    site.write("edge", {"height": "60 mm"}, 1, place=at(10))
    site.write("overlap", {"overlap": "10 mm"}, 2, place=at(20))
    site.write("straightedge", {"length": "3 m", "gap": "6 mm"}, 3, place=at(30))
    found = parts(site)
    assert [(row["state"], row["words"]) for row in found["shape"]["rows"]] == [
        ("watch", "Overlap at the joint"),
        ("act", "Height of an edge beside traffic"),
    ]
    assert found["smooth"]["rows"][0]["state"] == "watch"


def test_now_says_it_in_the_yields_answer() -> None:
    site = creeping()
    spread(site)
    site.load("101", 20, place=on("E", "binder", 0, 50))
    (answer,) = [one for one in ask(site, "now")["answers"] if one["name"] == "yield"]
    lines = [line.partition(" ")[0] for line in answer["lines"]]
    assert {"Loose", "Tack", "left"} <= {*lines}
    (call,) = [one for one in ask(site, "now")["calls"] if one["code"] == "depth.drift"]
    assert call["figure"] == "depth/E/binder/P1/drift"
    assert "leaves its limit" in call["line"]
    before = Site(PLACED)
    spread(before)
    (answer,) = [one for one in ask(before, "now")["answers"] if one["name"] == "yield"]
    assert answer["lines"][1].startswith("Tack so far")
    depth(site, 8, 66.5, "down")
    (answer,) = [one for one in ask(site, "now")["answers"] if one["name"] == "yield"]
    assert any("check again from 0+087.5" in line for line in answer["lines"])
