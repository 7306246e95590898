"""Calls in words: every one reads as a sentence, in the units of the job."""

import json
import re
from datetime import timedelta
from functools import cache
from importlib import resources
from typing import Any

import pytest

from matbook.book.pen import Pen
from matbook.plan.quantities import quantities
from matbook.shift.calls import Call
from matbook.shift.speak import limit_words, quantity_words, spoken
from matbook.words import sentences
from tests.shift import cooled, hauled
from tests.shift.placed import creeping, depth, spread
from tests.shift.site import NAME, PLAN, US_PLAN, Site, at, clock, limit, moment, on

NOBODY = "01890000-0000-7000-8000-00000000000f"


def deliveries(plan: str) -> Site:
    """A morning on which everything goes wrong with the loads."""
    site = Site(plan)

    def load(number: str, minute: float, **body: Any) -> str:
        site.load(number, minute, **body)
        return site.entries[-1].id

    load("101", 0, temp="101 degC", loaded=moment(-200), gross="37.00 t", tare="12.00 t")
    load("102", 1, gross="11.00 t", tare="12.00 t", signs=["Blue smoke"])
    load("103", 2, net=None, mix="ac22", job_on_ticket="FC-8")
    site.load("105", 3, mix="ac8", place=on("E", "binder", 0, 50))
    load("104", 4, decision="turned away", truck="12")
    load("106", 20, truck="12")
    site.load("106", 20, by="pia", witness="plant", truck="14", net="21.40 t")
    site.load("107", 21, by="pia", witness="plant")
    load("109", 22)
    load("109", 23)
    first = load("110", 24)
    for by in ("ana", "greta"):
        site.load("110", 24, by=by, strikes=first, why="x")
    over = load("111", 25)
    site.write("placed", {"load": over, "to": "waste", "mass": "22 t"}, 25)
    site.load("112", 26, place=on("E", "binder", 50))
    site.load("114", 30, place=on("E", "binder", 60, 110))
    site.load("115", 31, place=on("E", "binder", 100, 150), plant="nowhere")
    load("116", 32, loaded="2026-05-12T23:00:00-03:00")
    refused = load("113", 27, decision="turned away")
    site.write("placed", {"load": refused, "to": "area"}, 28)
    site.write("weigh-back", {"load": NOBODY, "net": "2 t"}, 29)
    site.write("tie-out", {"plant": "north", "count": 99, "mass": "1000 t"}, 200, by="pia")
    return site


def paving(plan: str) -> Site:
    """A mat that is too thick and uneven, and pavers that stand."""
    site = Site(plan)
    site.lay(["26.50 t"] * 6)
    for n in range(5):
        site.load(str(201 + n), 70 + n, place=on("E", "level", 10 * n, 10 * n + 10, "P2"))
    site.write("loose-depth", {"depth": "80 mm"}, 10, place=at(40))
    site.write("slope", {"slope": "-3.1 %", "planned": "-2.0 %"}, 11, place=at(40))
    site.write("slope", {"reading": "600 mm", "board": "0.3 m"}, 11.5, place=at(40))
    site.write("weather", {"air": "-6 degC"}, 12)
    site.write("overlap", {"overlap": "-4 mm"}, 13, place=at(40))
    site.write("ramp", {"step": "50 mm", "length": "0.5 m"}, 14, place=at(40))
    site.write("roller", {"roller": "R1", "event": "rolling", "speed": "9 km/h"}, 15)
    site.write("paver", {"event": "stop", "reason": "weather"}, 30, place={"paver": "P1"})
    site.write("paver", {"event": "start"}, 60, place=at(60))
    site.write("paver", {"event": "stop"}, 100, place=at(60, paver="P2"))
    site.write("paver", {"event": "at"}, 61, place=at(480))
    site.write("straightedge", {"length": "3 m", "gap": "2 mm"}, 8, place=at(40))
    return site


def writing(plan: str) -> Site:
    """A book with everything in it that a book can have against it."""
    site = Site(plan)
    site.write("loda", {"x": "1"}, 1)
    note = site.write("note", {"text": "x"}, 2)
    site.write("note", {"text": "y"}, 3, by="wyn", strikes=note.id, why="no")
    first = site.write("width", {"width": "3.50 m"}, 4, place=at(10))
    for by in ("ana", "greta"):
        body = {"width": "3.52 m"}
        site.write("width", body, 4, by=by, strikes=first.id, why="x", place=at(10))
    site.write("note", {"text": "x"}, 10, strikes=NOBODY, why="x")
    site.write("note", {"text": "x"}, 60, late=-3)
    site.write("note", {"text": "x"}, 300)
    site.write("note", {"text": "x"}, 61, by="zed")
    site.write("loose-depth", {"depth": "62 mm"}, 5, by="cole", place=at(10))
    pen = site.scribes["wyn"].pen
    site.write("note", {"text": "x"}, 62, by="wyn")
    site.scribes["wyn"].pen = pen
    site.write("note", {"text": "z"}, 63, by="wyn")
    pen = site.scribes["greta"].pen
    site.scribes["greta"].pen = Pen(pen.device, pen.by, pen.seq, "0" * 64)
    change = {"path": "lifts/binder/spread", "old": "130 kg/m2", "new": "125 kg/m2"}
    site.write("plan", change, 64, why="agreed", by="greta")
    body = {"stage": "laydown", "temp": "140 degC"}
    site.write("temperature", body, 65, place=at(10), instrument="probe-1")
    site.write("defect", {"sign": "tear"}, 66, place={"lane": "E", "station": "x"})
    told = [
        site.write("notice", {"to": ["cole", "pia"], "how": "spoken", "text": "Too thick."}, n)
        for n in (70, 71)
    ]
    site.write("reply", {"notice": told[0].id, "text": "Yes.", "settles": "no"}, 72)
    site.write("disagreement", {"about": note.id, "says": "It was dry."}, 73, by="cole")
    return site


def mended(plan: str) -> Site:
    """Yield that stood too high for a while, and what traffic meets at the end."""
    site = Site(plan)
    site.lay([*["22.50 t"] * 6, *["21.00 t"] * 6])
    site.load("401", 140, place=on("E", "binder"))
    site.write("markings", {"item": "edge line", "state": "missing"}, 130)
    return site


def evening(plan: str) -> Site:
    """A joint half done, mat that ends without a ramp, an edge that stood open for a day."""
    listed = 'tonight = ["Centre line"]\n'
    adopted = plan.replace("matbook = 1\n", 'matbook = 1\nadopt = ["ohio-pn-415/open-edge"]\n')
    waits = """[[checklists]]
id = "before"
name = "Before the shift"
at = ["start", "stop"]
lines = [{ item = "Plan read" }, { item = "Word of the engineer", hold = "yes" }]
[[checklists]]
id = "again"
name = "After a stop"
at = ["start", "stop"]
lines = [{ item = "One" }, { item = "Two" }, { item = "Three" }, { item = "Four" }]
[[checklists]]
id = "after"
name = "After the shift"
at = ["end"]
lines = [{ item = "Tickets tied out" }]
[[checks]]
id = "joint-edge"
name = "Straightedge where the screed stood"
kind = "straightedge"
at = ["start", "stop"]
"""
    site = Site(adopted.replace("[[roads]]", f"[joints]\n{listed}{waits}[[roads]]", 1))
    site.write("paver", {"event": "start"}, -1, place=at(0))
    site.lay(["21.00 t"])
    site.write("joint-transverse", {"step": "face", "held": "not done"}, 1, place=at(0))
    site.write("joint-transverse", {"step": "restarted", "held": "done"}, 2, place=at(0))
    edge = {"joint": "butt", "edge": "open", "height": "50 mm"}
    site.write("joint-longitudinal", edge, -25 * 60, place=on("E", "binder", 0, 50))
    site.write("paver", {"event": "stop"}, 40, place=at(50))
    site.write("paver", {"event": "start"}, 50, place=at(50))
    unread = {"list": "before", "item": "Plan read", "state": "not done", "note": "Not here."}
    site.write("checklist", unread, 55)
    site.write("paver", {"event": "end"}, 60, place=at(50))
    return site


def placed(plan: str) -> tuple[tuple[Site, int], ...]:
    """Tack that can't be, depth that drifts, a screed set anew, clocks gone wrong, the end near."""
    tack, arm = '[tack]\nmaterial = "emulsion"\nresidue = "60 %"\n', '\ntow_arm = "2.5 m"'
    plan = plan.replace("[[roads]]", f"{tack}[[roads]]", 1)
    plan = plan.replace('holds = "6 t"', f'holds = "6 t"{arm}', 1)
    tank, drifts = Site(plan), creeping(plan)
    spread(tank)
    spread(tank, 9, before="600 L", after="700 L")
    spread(tank, 12, before="700 L", after="600 L", diluted="100 %")
    tank.load("101", 30, loaded=moment(20), arrived=moment(10))
    tank.load("102", 35, loaded=moment(5))
    waits, due = creeping(plan), creeping(plan)
    for site, reached in ((waits, 70), (due, 90)):
        depth(site, 8, 66.0, "down")
        site.load("101", 20, place=on("E", "binder", 0, reached))
    heights = " ".join("5" if n % 300 < 150 else "0" for n in range(1500))
    rough = {"spacing": "100 mm", "unit": "mm", "heights": heights}
    smooth = limit("rough", "iri", "max", "0.50", "m/km", "watch", "contractor")
    bumpy = Site(plan.replace('[[limits]]\nid = "warm"', f'{smooth}[[limits]]\nid = "warm"', 1))
    bumpy.write("profile", rough, 9, place=on("E", "binder", 0, 149.9))
    few, enough = (hauled.morning(plan=plan.replace('"2+000"', end, 1)) for end in ENDS)
    return (bumpy, 40), (tank, 40), (drifts, 20), (waits, 30), (due, 30), (few, 106), (enough, 106)


ENDS = '"0+900"', '"0+760"'


def checks(plan: str) -> Site:
    site = Site(plan)
    site.load("101", 0, temp="140 degC", place=on("E", "binder", 0, 100))
    return site


@cache
def said(plan: str) -> tuple[tuple[Site, Call], ...]:
    made = (
        deliveries(plan),
        paving(plan),
        mended(plan),
        writing(plan),
        checks(plan),
        evening(plan),
        Site(""),
    )
    late, soon, doubt = cooled.troubled(plan), cooled.close(plan), cooled.doubtful(plan)
    moments = [*((site, 240) for site in made), (late, 55), (soon, 52), (doubt, 55)]
    moments += [(cooled.stood(plan), 14), (cooled.slow(plan), 51), (cooled.unlikely(plan), 50)]
    moments += [(hauled.bursts(plan), 105), *placed(plan)]
    return tuple((site, call) for site, minute in moments for call in site.calls(minute=minute))


CODES = sorted(
    code.removeprefix("call.").removesuffix(".line")
    for code in sentences("en")
    if re.fullmatch(r"call\.(?!(?:lot|draw|core|custody|gauge|strip)\.).+\.line", code)
)
"""The others are made above it, and tested in tests/lots and tests/desk/test_draws.py."""
UNITS = pytest.mark.parametrize("plan", [PLAN, US_PLAN], ids=["metric", "us"])


@UNITS
@pytest.mark.parametrize("code", CODES)
def test_every_call_reads_as_a_sentence(code: str, plan: str) -> None:
    found = [(site, call) for site, call in said(plan) if call.code == code]
    assert found, "no shift above makes this call"
    for site, call in found:
        words = spoken(call, site.view().plan, clock(240))
        assert words.head
        assert words.line.rstrip("”")[-1] == "."
        for text in (words.head, words.line, words.small):
            assert not re.search(r"[{}]|  |“”|\( ?\)| [.;:,?]|[;:,] ?[.;:,]|: ?:|\bNone\b", text), (
                text
            )
            assert text == text.strip()


def test_no_call_is_made_that_has_no_sentence() -> None:
    assert {call.code for _, call in said(PLAN)} == set(CODES)


def text_of(site: Site, code: str) -> list[str]:
    return [
        " | ".join((words.head, words.line, words.small))
        for call in site.calls(code)
        for words in [spoken(call, site.view().plan, clock(240))]
    ]


# Units


def test_masses_in_the_units_of_the_job() -> None:
    assert text_of(deliveries(PLAN), "load.overweight") == [
        "1.00 t overweight | Load 101, truck 11: gross 37.00 t, legal 36.00 t. | 4 h 00 min ago",
    ]
    assert "1.10 ton overweight" in text_of(deliveries(US_PLAN), "load.overweight")[0]
    assert "gross 40.79 ton, legal 39.68 ton" in text_of(deliveries(US_PLAN), "load.overweight")[0]


def test_a_temperature_is_shown_in_the_jobs_unit_and_its_limit_as_printed() -> None:
    assert text_of(deliveries(PLAN), "load.temperature") == [
        "101 °C | Load 101: 14 °C below the limit on delivery (at least 115 °C (4.1)). Taken. | "
        "4 h 00 min ago",
    ]
    us = text_of(deliveries(US_PLAN), "load.temperature")[0]
    assert us.startswith("214 °F | Load 101: 14 °C below the limit on delivery (at least 115 °C")


def test_how_far_beyond_is_never_shown_as_nothing() -> None:
    """114.5 is beyond 115 once rounded half to even: by half a degree, not by none."""
    site = Site()
    site.load("101", temp="114.5 degC")
    assert "0.5 °C below the limit" in text_of(site, "load.temperature")[0]


def test_a_yield_with_its_range_and_its_thickness() -> None:
    """26.5 t on 175 m2: 151.4 kg/m2, 26.2 % over 120; 63.1 mm at 2.4 t/m3. Five of them: 265 kg
    for each station, 3,395 kg for what the paver holds at each end: 4.6 % either way."""
    (text,) = [t for t in text_of(paving(PLAN), "yield.last") if "binder" in t]
    head, line, small = text.split(" | ")
    assert head == "26.2 % over"
    assert "last 5 loads" in line
    assert "63 mm if the base is even" in line
    assert re.fullmatch(r"within ±5\.0 % · range 21\.6 to 30\.8 % · .+ ago", small)
    (us,) = [t for t in text_of(paving(US_PLAN), "yield.last") if "binder" in t]
    assert "2.48 in if the base is even" in us


def test_levelling_has_no_thickness_to_speak_of() -> None:
    texts = [t for t in text_of(paving(PLAN), "yield.last") if "binder" not in t]
    assert len(texts) == 1
    assert "if the base is even" not in texts[0]


def test_under_is_said_as_under() -> None:
    site = Site()
    site.lay(["19.74 t"] * 5)
    assert text_of(site, "yield.last")[0].startswith("6.0 % under")


def test_a_slope_that_falls_the_other_way() -> None:
    (text,) = [t for t in text_of(paving(PLAN), "reading.beyond") if "Cross slope" in t]
    assert text.startswith("−3.1 % | Cross slope at 0+040.0: 0.6 % beyond the limit")


def test_a_reading_that_names_no_station() -> None:
    (text,) = [t for t in text_of(paving(PLAN), "reading.beyond") if "Air" in t]
    assert text.startswith("−6 °C | Air temperature: 11 °C below the limit (at least 5 °C)")


@pytest.mark.parametrize(
    ("plan", "overdue"),
    [
        (PLAN, {"edge": "6 loads", "depth": "200 m", "slope": "80 t", "weather": "2 h 20 min"}),
        (
            US_PLAN,
            {"edge": "6 loads", "depth": "656 ft", "slope": "88 ton", "weather": "2 h 20 min"},
        ),
    ],
    ids=["metric", "us"],
)
def test_checks_by_what_they_count(plan: str, overdue: dict[str, str]) -> None:
    """Seven loads, 300 m and 180 t; the weather was never written in 200 minutes."""
    site = Site(plan)
    site.lay(["26.50 t"] * 6, minute=40)
    site.load("107", 100)
    heads = {c.subject: spoken(c, site.view(240).plan, clock(240)).head
             for c in site.calls("check.overdue")}  # fmt: skip
    assert heads.pop("delivery") == "Overdue by 6 loads"
    assert heads == {check: f"Overdue by {amount}" for check, amount in overdue.items()}


def test_people_plants_pavers_and_mixes_are_named() -> None:
    assert "Cole Reed, Pia Holt: Too thick." in text_of(writing(PLAN), "notice.unanswered")[0]
    assert "North plant: the plant counts 99 loads" in text_of(deliveries(PLAN), "tie.count")[0]
    assert "First paver stood" in text_of(paving(PLAN), "paver.stood")[0]
    assert "AC 8 surface; AC 16 binder is planned" in text_of(deliveries(PLAN), "load.mix-wrong")[0]
    assert "ticketed as ac22" in text_of(deliveries(PLAN), "load.mix-unknown")[0]
    assert "zed wrote entries" in text_of(writing(PLAN), "book.writer-unknown")[0]


def test_a_tie_for_one_mix_names_it() -> None:
    site = Site()
    tie = {"plant": "north", "mix": "ac16", "count": 3, "mass": "0 t"}
    site.write("tie-out", tie, 200, by="pia")
    assert "North plant, AC 16 binder: the plant counts 3" in text_of(site, "tie.count")[0]


def test_ids_that_are_no_longer_in_the_plan_are_said_as_they_are() -> None:
    site = Site()
    site.load("101", plant="east")
    site.load("101", 5, plant="east", truck="12")
    call = Call("ticket.repeated", "x", "act", clock(0),
                {"number": "101", "count": 2, "plant": "east"})  # fmt: skip
    assert spoken(call, site.view().plan, clock(0)).line.startswith("east: 2 different loads")
    says = {"paver": "P9", "minutes": 12.0, "reason": "screed", "station": "0+040"}
    stood = Call("paver.stood", "x", "note", clock(0), says)
    assert spoken(stood, site.view().plan, clock(0)).line == "P9 stood at 0+040: screed."


def test_an_age_is_never_below_nothing() -> None:
    call = Call("plan.missing", "x", "act", clock(10))
    plan = Site().view().plan
    assert spoken(call, plan, clock(0)).small == "0 min ago"
    assert spoken(call, plan, clock(10) + timedelta(days=3)).small == "3 d 0 h ago"


def test_a_limit_is_said_as_printed() -> None:
    plan = Site().view().plan
    said_as = {limit.id: limit_words(limit) for limit in plan.limits}
    assert said_as["depth"] == "within ±6 mm"
    assert said_as["ramp"] == "at least 20"
    assert said_as["rolling"] == "at most 5.0 km/h"
    assert said_as["ac16-delivery-low"] == "at least 115 °C (4.1)"


def test_every_quantity_that_limits_speak_of_has_a_name() -> None:
    assert quantity_words("loose-depth") == "Loose depth"
    file = resources.files("matbook.words") / "en.json"
    names = json.loads(file.read_text(encoding="utf-8"))
    assert {f"quantity.{name}" for name in quantities()} <= names.keys()
    assert NAME.job == "ridge"
