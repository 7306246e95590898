"""Cores folded from entries: gravities, voids, thickness; and the hands that they went through."""

from typing import Any

import pytest

from matbook.lots.cores import Core
from matbook.lots.custody import STEPS, Custody
from tests.lots.mat import Mat
from tests.lots.tested import PLAN, Bench


def core(bench: Bench) -> Core:
    (found,) = bench.found().cores
    return found


def of(**body: Any) -> Core:
    bench = Bench()
    bench.core("K1", **body)
    return core(bench)


def test_a_core_by_its_masses() -> None:
    """WAQTC FOP for AASHTO T 166: 2.465, 0.45 % (formula read, numbers from memory)."""
    found = of(dry="4833.6 g", ssd="4842.4 g", water="2881.3 g")
    assert found.figures["bulk"].value == pytest.approx(2.465, abs=0.0005)
    assert found.figures["absorption"].value == pytest.approx(0.45, abs=0.005)
    assert (found.holds, found.why) == (True, "")


def test_percent_of_maximum_and_voids() -> None:
    """AASHTO T 269 (from memory), constructed: 2.342 of 2.493 is 93.9 %, voids 6.1 %."""
    bench = Bench(PLAN.replace('maximum_gravity = "2.500"', 'maximum_gravity = "2.493"'))
    bench.core("K1")
    bench.bulk("K1", "2.342")
    found = core(bench)
    assert found.figures["percent"].value == pytest.approx(93.9, abs=0.05)
    assert found.figures["voids"].value == pytest.approx(6.1, abs=0.05)
    assert found.maximum is not None
    assert found.maximum.provisional
    assert found.holds is None


@pytest.mark.parametrize(
    ("ssd", "voids", "holds"),
    [("1512 g", "closed", True), ("1513 g", "closed", False), ("1505 g", "open", False)],
)
def test_when_the_method_no_longer_holds(ssd: str, voids: str, holds: bool) -> None:
    """WAQTC FOP for T 166 and Tex-207-F: more than 2.00 % absorbed, or open voids."""
    assert of(dry="1500 g", ssd=ssd, water="870 g", voids=voids).holds is holds


def test_a_core_that_cannot_be_says_so_and_keeps_the_rest() -> None:
    found = of(dry="1000 g", ssd="1001 g", water="1100 g", thickness="52 mm")
    assert "water_g" in found.why
    assert found.figures.keys() == {"thickness"}
    assert found.figures["thickness"].value == 0.052
    assert found.holds is None


def test_thickness_from_readings_around_it() -> None:
    """ASTM D3549, from memory: the mean of four or more."""
    found = of(around=["49 mm", "51 mm", "50 mm", "52 mm"], thickness="60 mm")
    assert found.figures["thickness"].value == pytest.approx(0.0505)
    few = of(around=["49 mm", "51 mm"])
    assert "four" in few.why
    assert few.figures == {}


def test_a_core_of_a_lot_stands_on_the_lots_own_maximum() -> None:
    mat = Mat(PLAN)
    mat.core("1", "2.375")
    mat.maximum("2.400 1")
    bench = Bench()
    bench.site = mat.site
    found = core(bench)
    assert found.lot == "mat-1"
    assert found.figures["percent"].value == pytest.approx(98.96, abs=0.005)
    assert found.maximum is not None
    assert not found.maximum.provisional


# Custody


def chain(
    *steps: tuple[str, float], tested: bool = False, cut: bool = True, **seal: str
) -> Custody:
    bench = Bench()
    if cut:
        bench.core("K1", 5)
    for step, minute in steps:
        more = {"seal": seal[step]} if step in seal else {}
        bench.custody("K1", step, minute, **more)
    if tested:
        bench.bulk("K1", "2.342", 200)
    return bench.found().custody["K1"]


WHOLE = (("sealed", 10), ("handed over", 50), ("received", 60))


@pytest.mark.parametrize(
    ("made", "state", "fault", "missing"),
    [
        (chain(), "open", "", STEPS[1:]),
        (chain(*WHOLE, tested=True), "whole", "", ()),
        (chain(*WHOLE[:2]), "open", "", ("received",)),
        (chain(*WHOLE[:2], tested=True), "broken", "received", ("received",)),
        (chain(*WHOLE[1:]), "broken", "sealed", ("sealed",)),
        (chain(*WHOLE, cut=False), "broken", "cut", ("cut",)),
        (chain(("cut", 4), *WHOLE, cut=False), "whole", "", ()),
        (chain(("sealed", 70), *WHOLE[1:]), "broken", "backwards", ()),
        (chain(*WHOLE, sealed="A 1", received="A 7"), "broken", "seals", ()),
        (chain(*WHOLE, sealed="A 1", received="A 1"), "whole", "", ()),
    ],
)
def test_a_chain(made: Custody, state: str, fault: str, missing: tuple[str, ...]) -> None:
    assert (made.state, made.fault, made.missing) == (state, fault, missing)
    assert made.latest.id in made.entries


def test_a_sample_has_a_chain_too_and_the_first_word_of_a_step_counts() -> None:
    bench = Bench()
    bench.site.write("sample", {"sample": "S1", "of": "mix"}, 5)
    bench.custody("S1", "sealed", 9, seal="A 1")
    bench.custody("S1", "sealed", 12, seal="A 2")
    found = bench.found().custody["S1"]
    assert (found.seals, found.missing) == (("A 1",), ("handed over", "received"))
    bench.custody("S1", "cut", 6)
    assert bench.found().custody["S1"].steps["cut"].entry.kind == "custody"
