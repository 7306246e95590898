"""What of strips, gauges and cores needs a person; and that each reads as a sentence."""

import re
from dataclasses import replace
from typing import Any

import pytest

from matbook.lots.testing import calls
from matbook.shift.calls import Call
from matbook.shift.speak import observed, spoken
from matbook.words import languages, sentences
from tests.lots.mat import Mat
from tests.lots.tested import BARE, COLD, FALLING, PLAN, TOMORROW, Bench
from tests.shift.site import clock


def grown(readings: object, *later: float) -> Bench:
    """A strip, and densities of a later section in percent of its target."""
    bench = Bench()
    bench.grow(readings)
    for n in range(3):
        bench.density("2300 kg/m3", 30 + n, strip="S")
    for n, share in enumerate(later):
        bench.density(f"{23 * share:.1f} kg/m3", 40 + n, basis="strip", reference="S")
    bench.count(2850)
    return bench


def counted(*counts: int) -> Bench:
    bench = Bench()
    for n, count in enumerate(counts):
        bench.count(count, n)
    return bench


def read(**more: object) -> Bench:
    bench = counted(2850)
    bench.density("2300 kg/m3", 10, **more)
    return bench


def due() -> Bench:
    bench = grown(FALLING[:3])
    for n in range(5):
        bench.site.load(str(n), 60 + n)
    return bench


def no_strip() -> Bench:
    bench = Bench()
    bench.site.load("1", 10)
    bench.site.load("2", 12)
    bench.site.load("3", 14, mix="nobody's")
    return bench


def unchecked() -> Bench:
    bench = Bench()
    bench.density("2300 kg/m3", 10)
    return bench


def certificate() -> Bench:
    bench = Bench(PLAN.replace("2026-12-31", "2026-05-11"))
    bench.count(2850)
    return bench


def cored(**body: Any) -> Bench:
    bench = Bench()
    bench.core("K1", **body)
    return bench


def broken() -> Bench:
    bench = cored()
    bench.custody("K1", "received", 90)
    return bench


MASSES: dict[str, Any] = {"dry": "1500 g", "ssd": "1513 g", "water": "870 g"}
MADE = {
    "strip.falling": lambda: grown(FALLING),
    "strip.cold": lambda: grown(COLD),
    "strip.section": lambda: grown(FALLING[:3], 97, 98, 97, 98, 97),
    "strip.due": due,
    "strip.none": no_strip,
    "gauge.drift": lambda: counted(2850, 2900),
    "gauge.failed": lambda: counted(2850, 2900, 2901),
    "gauge.unchecked": unchecked,
    "gauge.turned": lambda: read(readings=["2260 kg/m3", "2340 kg/m3"]),
    "gauge.near": lambda: read(to_source="2 m"),
    "gauge.near-correct": lambda: read(to_edge="0.1 m"),
    "gauge.certificate": certificate,
    "core.absorbs": lambda: cored(**MASSES),
    "core.open": lambda: cored(voids="open"),
    "core.refused": lambda: cored(dry="1500 g", ssd="1400 g", water="870 g"),
    "custody.broken": broken,
}
"""Each call once, by the shift that gives rise to it and to no other."""


@pytest.mark.parametrize("code", MADE)
def test_what_a_shift_gives_rise_to(code: str) -> None:
    bench = MADE[code]()
    found = bench.calls()
    assert found.keys() == {code}
    assert found[code].grade == ("act" if code in ACTED else "watch")


ACTED = ("strip.section", "gauge.drift", "gauge.failed", "gauge.certificate")


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("code", MADE)
def test_every_call_reads_as_a_sentence(code: str, language: str) -> None:
    bench = MADE[code]()
    call, plan = bench.calls()[code], bench.work().plan
    words = spoken(call, plan, clock(240), language)
    told = observed(call, plan, language)
    assert words.line[-1] == told[-1] == "."
    for text in (words.head, words.line, words.small, told):
        assert text
        assert not re.search(r"[{}]|  |\bNone\b| [.,]", text), text


def test_every_call_is_made() -> None:
    found = r"call\.((?:strip|gauge|core|custody)\..+)\.line"
    said = (re.fullmatch(found, code) for code in sentences("en"))
    assert {match[1] for match in said if match} == set(MADE)


def test_nothing_is_called_for_in_a_good_shift() -> None:
    assert grown(FALLING[:3], 99, 99, 99, 99, 99).calls() == {}
    assert read(readings=["2290 kg/m3", "2310 kg/m3"], to_edge="1 m").calls() == {}
    assert counted(2850, 2900, 2851).calls() == {}


def test_only_the_latest_shift_is_spoken_of() -> None:
    """What was can't be read again; a chain that breaks today is told today."""
    bench = grown(FALLING, 90)
    bench.core("K1", **MASSES)
    bench.custody("K2", "received", 90)
    bench.count(2900, 95)
    assert len(bench.calls()) == 5
    bench.count(2851, TOMORROW)
    assert bench.calls(TOMORROW + 60) == {}


def test_a_strip_is_missed_only_where_the_plan_asks_for_one() -> None:
    bench = Bench(BARE)
    bench.site.load("1", 10)
    assert bench.calls() == {}
    assert list(calls(Mat(BARE).work(), bench.found())) == []


def test_who_is_told() -> None:
    def told(code: str) -> Call:
        return MADE[code]().calls()[code]

    assert told("strip.falling").tell == ("cole",)
    assert told("gauge.failed").tell == ("greta",)
    assert told("custody.broken").tell == ("greta",)
    assert told("strip.falling").says["drop"] == "38 kg/m³"


def test_a_book_without_shifts_has_nothing() -> None:
    work = replace(Bench().work(), shifts=())
    assert list(calls(work, Bench().found())) == []
