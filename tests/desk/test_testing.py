"""Strips, gauges and cores as they are asked for: words in every language, figures that open."""

import xml.etree.ElementTree as ET
from typing import Any

import pytest

from matbook.errors import NotFound
from matbook.words import languages
from tests.desk.asked import ask, opened
from tests.lots.mat import Mat
from tests.lots.tested import BARE, COLD, FALLING, HOT, PLAN, TOMORROW, Bench
from tests.shift.site import Site, clock

QUESTIONS = ("strip", "gauges", "cores")


def busy(plan: str = PLAN) -> Bench:
    """One of everything that density is tested with and on."""
    bench = Bench(plan)
    bench.count(None)
    bench.count(2850, 1)
    bench.grow(HOT, 100, minute=5)
    bench.grow(FALLING, 130, minute=6)
    for n in range(3):
        bench.density("2320 kg/m3", 20 + n, 100 + 30 * n, strip="S", core=f"K{n}")
        bench.core(f"K{n}", 40 + n, around=["50 mm"] * 4)
        bench.bulk(f"K{n}", f"2.35{n}", 60 + n)
    bench.density("2300 kg/m3", 30, strip="S", passes=9)
    for n, percent in enumerate((99, 99, 99, 99, 99, 98)):
        bench.density(f"{23.2 * percent:.1f} kg/m3", 31 + n, basis="strip", reference="S")
    bench.density("2300 kg/m3", 70, to_edge="0.1 m", readings=["2260 kg/m3", "2340 kg/m3"])
    bench.density("2300 kg/m3", 71, to_source="1 m")
    bench.density("2300 kg/m3", 72, readings=["2310 kg/m3", "2290 kg/m3"])
    bench.core("K5", 73, dry="1500 g", ssd="1513 g", water="870 g")
    bench.core("K6", 74, dry="1500 g", ssd="1400 g", water="870 g", voids="open")
    bench.site.write("sample", {"sample": "S1", "of": "mix"}, 75)
    for n, step in enumerate(("sealed", "handed over", "received")):
        bench.custody("K0", step, 100 + n, to="Laboratory")
    bench.custody("K1", "received", 110)
    bench.site.load("1", 120)
    return bench


def texts(said: dict[str, Any]) -> list[str]:
    lines = [line["text"] for part in said["parts"] for line in part["lines"]]
    notes = [note for part in said["parts"] for note in part["notes"]]
    return [said["title"], *lines, *notes, *said["notes"], *said["cautions"]]


@pytest.mark.parametrize("plan", [PLAN, PLAN.replace('"metric"', '"us"'), BARE])
@pytest.mark.parametrize("language", languages())
def test_everything_reads_as_a_sentence(language: str, plan: str) -> None:
    site = busy(plan).site
    for question in QUESTIONS:
        said = ask(site, question, 600, language=language)
        assert said["none"] == ""
        for text in texts(said):
            assert text
            assert "None" not in text
            assert "{" not in text


def test_before_anything_is_written() -> None:
    site = Site(BARE)
    site.write("shift-open", {})
    for question in QUESTIONS:
        said = ask(site, question, 600)
        assert (said["parts"], bool(said["none"])) == ([], True)


def test_every_figure_named_opens_to_what_stands_there() -> None:
    book, when, count = opened(busy().site), {"at": clock(600).isoformat()}, 0
    for question in QUESTIONS:
        for part in book.ask(question, when)["parts"]:
            named = [line for line in part["lines"] if line["figure"]]
            cells = [
                one for each in part["tables"] for row in each["rows"] for one in row
                if one["figure"]
            ]  # fmt: skip
            for one in (*named, *cells):
                figure = book.ask("figure", {**when, "name": one["figure"]})
                assert figure["value"] in one["text"], one
                assert figure["title"]
                count += 1
    assert count > 20


def test_a_figure_that_is_not_there() -> None:
    with pytest.raises(NotFound, match="strip/S/none"):
        ask(busy().site, "figure", 600, name="strip/S/none")


def lines(bench: Bench, question: str = "strip", minute: float = 600) -> list[str]:
    return texts(ask(bench.site, question, minute))


def said(bench: Bench, start: str, question: str = "strip", minute: float = 600) -> str:
    return next(text for text in lines(bench, question, minute) if text.startswith(start))


def test_the_pattern_and_every_place() -> None:
    bench = Bench()
    bench.grow(HOT)
    assert said(bench, "6 passes: more bring nothing").endswith("(11 kg/m³ apart)")
    assert "at the top; highest 2\u202f318 kg/m³, reached after 6 passes" in said(bench, "Place 1")
    falling = Bench()
    falling.grow(FALLING)
    assert "38 kg/m³ below the highest" in said(falling, "Place 1")
    cold = Bench()
    cold.grow(COLD)
    assert "already cold" in said(cold, "No number of passes:")
    rising = Bench()
    rising.grow(HOT[:3])
    assert "still rises" in said(rising, "No number of passes yet")
    few = Bench()
    few.grow(HOT[:2])
    assert "too few readings" in said(few, "No number of passes yet")


def test_what_rolled_there_and_the_strip_on_now() -> None:
    bench = Bench()
    bench.count(2850)
    assert "strip" not in str(ask(bench.site, "now", 600)["answers"])
    bench.grow(HOT[:3])
    now = str(ask(bench.site, "now", 600)["answers"])
    assert "strip S: — passes, target —" in now
    bench.grow(HOT, 130)
    place = {"lane": "E", "from": "0+090.0", "to": "0+120.0"}
    body = {"roller": "R9", "event": "rolling", "passes": 1}
    bench.site.write("roller", body, 2, place=place)
    more = {"roller": "R8", "phase": "breakdown", "mode": "static", "speed": "4.0 km/h"}
    bench.site.write("roller", {**body, **more}, 3, place=place)
    assert said(bench, "Rolled there, as it was written: ").endswith(
        "R9, 1 pass; R8, breakdown, static, 1 pass, 4.0 km/h"
    )
    for n in range(3):
        bench.density("2320 kg/m3", 20 + n, strip="S")
    answers = ask(bench.site, "now", 600)["answers"]
    assert "passes, target 2\u202f320 kg/m³" in " ".join(
        line for a in answers for line in a["lines"]
    )


def test_a_strip_read_with_two_gauges() -> None:
    bench = Bench()
    bench.grow(HOT)
    body = {"basis": "maximum", "method": "gauge", "purpose": "process", "strip": "S"}
    bench.site.write("density", {**body, "density": "2320 kg/m3"}, 20, instrument="another")
    assert said(bench, "Read with more than one gauge").endswith("another, Gauge 1")


def test_an_owner_who_asks_for_little() -> None:
    bench = Bench(BARE.replace("[[plants]]", "[control_strip]\nreadings = 4\n[[plants]]", 1))
    bench.grow(HOT)
    bench.density("2320 kg/m3", 20, strip="S", passes=4)
    bench.density("2300 kg/m3", 21, 130, strip="S", passes=4)
    rules = ask(bench.site, "strip", 600)["parts"][0]["notes"]
    assert rules[1:] == ["The target is the mean of 4 readings at random places."]
    assert "can’t be judged" in said(bench, "Place 2")


def test_what_keeps_a_strip_from_its_pattern() -> None:
    bench = Bench()
    bench.density("2300 kg/m3", 5, strip="S", passes=4)
    assert "can’t be judged" in said(bench, "Place 1")
    assert said(bench, "1 reading is left out")
    assert "at least one spot" in said(bench, "No number of passes yet")
    assert ask(bench.site, "strip", 600)["parts"][0]["chart"] is None


def test_target_so_far_length_and_what_is_due() -> None:
    bench = Bench()
    bench.grow(HOT)
    assert "it takes 3 readings" in said(bench, "No target yet")
    bench.density("2320 kg/m3", 20, 110, strip="S")
    bench.density("2330 kg/m3", 21, 140, strip="S")
    assert "2 of 3 readings" in said(bench, "No target yet")
    assert said(bench, "40 m from its first station")
    assert said(bench, "0 t of this mix")
    for n in range(5):
        bench.site.load(str(n), 60 + n)
    assert said(bench, "A new strip is due: 105 t")


def test_the_growth_is_drawn_for_the_hand_and_for_print() -> None:
    site = busy().site
    for size, wide in (("phone", "360"), ("print", "680")):
        (part,) = ask(site, "strip", 600, size=size)["parts"]
        root = ET.fromstring(part["chart"]["svg"])
        assert root.attrib["viewBox"].split()[2] == wide
        numbers = [one.text for one in root.iter("{http://www.w3.org/2000/svg}text")]
        assert {"1", "2"} <= set(numbers)
    assert "rolled past its peak" in part["chart"]["alt"]


def test_labels_of_many_passes_keep_apart() -> None:
    bench = Bench()
    bench.grow([(n, 2200 + 4 * n, 130 - n) for n in range(1, 25)])
    (part,) = ask(bench.site, "strip", 600)["parts"]
    assert 0 < part["chart"]["svg"].count("°") < 24


def test_gauges_in_words() -> None:
    bench = busy()
    assert said(bench, "Standard count 2850", "gauges").endswith("nothing to hold it against")
    assert said(bench, "Serial G-1; calibration due 2027-01-01", "gauges")
    assert "3 pairs kept, 0 dropped" in said(bench, "By cores of AC 16 binder", "gauges")
    assert said(bench, "1 of 22 readings: the two directions", "gauges")
    assert said(bench, "2 readings taken nearer", "gauges")
    cautions = ask(bench.site, "gauges", 600)["cautions"]
    assert "radioactive source" in cautions[0]
    readings = ask(bench.site, "gauges", 600)["parts"][0]["tables"][-1]["rows"]
    states = " | ".join(row[-1]["text"] for row in readings)
    for state in ("read again", "correct it by the manual", "it doesn’t count", "agree"):
        assert state in states


def test_a_gauge_that_fails_and_one_that_nobody_named() -> None:
    bench = Bench(PLAN.replace("2027-01-01", "2026-05-01"))
    bench.density("2300 kg/m3", 3)
    assert said(bench, "No standard count is written", "gauges")
    bench.count(2850, 4)
    bench.count(2900, 5)
    assert said(bench, "Standard count 2900", "gauges").endswith("take it again")
    bench.count(2851, 6)
    assert said(bench, "Standard count 2851", "gauges").endswith("holds")
    bench.count(2901, TOMORROW)
    bench.count(2902, TOMORROW + 5)
    assert said(bench, "Standard count 2902", "gauges", TOMORROW + 9).endswith("isn’t used")
    needs = {"basis": "maximum", "method": "gauge", "purpose": "process", "percent": "93.0 %"}
    bench.site.write("density", needs, 9)
    alone = Bench()
    alone.count(2850)
    assert len(ask(alone.site, "gauges", 600)["parts"][0]["tables"]) == 1
    titles = [part["title"] for part in ask(bench.site, "gauges", 600)["parts"]]
    assert titles == ["Gauge 1", "Readings that name no gauge"]


def test_a_correction_that_spreads_and_one_by_ratio() -> None:
    def cored(plan: str) -> Bench:
        bench = Bench(plan)
        for n, gravity in enumerate(("2.30", "2.40", "2.50")):
            bench.density("2320 kg/m3", n, core=f"K{n}")
            bench.core(f"K{n}", 40 + n)
            bench.bulk(f"K{n}", gravity, 60 + n)
        return bench

    assert said(cored(PLAN), "By cores", "gauges").endswith("more than is allowed.")
    few = Bench()
    few.density("2320 kg/m3", 1, core="K1")
    few.core("K1", 5)
    assert "0 pairs with a core’s result" in said(few, "No correction for AC 16", "gauges")
    ratio = cored(PLAN.replace("[gauge]", '[gauge]\ncorrection = "ratio"'))
    assert "1.031 times its readings" in said(ratio, "By cores", "gauges")


def test_cores_and_custody_in_words() -> None:
    bench = busy()
    assert said(bench, "K5 took up more than 2 %", "cores")
    assert said(bench, "K6 has voids open", "cores")
    assert said(bench, "K6: something can’t be worked out", "cores")
    assert said(bench, "Percent of maximum stands on", "cores").endswith("K0, K1, K2, K5")
    assert said(bench, "K0: chain whole. cut", "cores").endswith("Tess Lund, → Laboratory")
    assert "nobody wrote that it was sealed" in said(bench, "K1: broken", "cores")
    assert said(bench, "S1: not yet written: sealed, handed over, received. taken", "cores")


def test_a_core_on_its_lots_own_maximum_is_not_provisional() -> None:
    mat = Mat(PLAN)
    mat.core("1", "2.31")
    mat.maximum()
    assert ask(mat.site, "cores", 600)["parts"][0]["lines"] == []


def test_a_lot_tells_of_the_hands_its_cores_went_through() -> None:
    mat = Mat(PLAN)
    mat.core("1", "2.31")
    (line,) = ask(mat.site, "lot", 600, name="mat-1")["custody"]
    assert line.startswith("mat-1/1: not yet written: sealed, handed over, received. cut ")


def test_now_calls_and_opens_what_was_rolled_past_its_peak() -> None:
    bench = Bench()
    bench.grow(FALLING)
    bench.count(2850)
    (call,) = [one for one in ask(bench.site, "now", 600)["calls"] if one["code"][:5] == "strip"]
    assert call["figure"] == "strip/S/spot-1/highest"
    assert ask(bench.site, "figure", 600, name=call["figure"])["value"] == "2\u202f318 kg/m³"
