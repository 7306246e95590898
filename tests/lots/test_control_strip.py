"""Control strips folded from entries: growth, pattern, target, later sections, when one is due."""

import pytest

from matbook.lots.control_strip import ControlStrip
from tests.lots.tested import BARE, COLD, FALLING, HOT, NEEDS, PLAN, TOMORROW, Bench
from tests.shift.site import at

PCF = 16.01846337


def strip(bench: Bench, minute: float = 600) -> ControlStrip:
    (found,) = bench.found(minute).strips
    return found


def grown(readings: object, plan: str = PLAN) -> ControlStrip:
    bench = Bench(plan)
    bench.grow(readings)
    return strip(bench)


@pytest.mark.parametrize(
    ("readings", "state", "passes"),
    [(HOT, "top", 6), (HOT[:3], "rising", None), (FALLING, "falling", 6), (COLD, "cold", None)],
)
def test_what_a_strip_says_to_roll(readings: object, state: str, passes: int | None) -> None:
    found = grown(readings)
    assert found.best is not None
    assert (found.best.mean.state, found.best.passes) == (state, passes)
    assert [spot.growth.state for spot in found.spots if spot.growth] == [state]
    names = {name.rpartition("/")[2] for name in found.figures()}
    assert ("passes" in names) is (passes is not None)


def test_the_gauges_own_repeatability_judges() -> None:
    """What a steady gauge tells apart, a restless one doesn't."""
    steady = grown(HOT, PLAN.replace('repeats = "8 kg/m3"', 'repeats = "2 kg/m3"'))
    assert steady.best is not None
    assert steady.best.mean.state == "rising"
    assert grown(HOT, BARE).repeats == 8.0


def test_the_mix_says_when_it_is_cold() -> None:
    """By itself at 175 degF; by its own documents where the plan has them."""
    plan = PLAN.replace('name = "AC 16 binder"', 'name = "AC 16 binder"\nrolling_ends = "105 degC"')
    found = grown(HOT, plan)
    assert found.best is not None
    assert found.best.passes is None  # that it rises no more showed at 98 degC
    assert found.best.mean.state == "cold"


def test_places_are_told_apart_and_repeats_averaged() -> None:
    bench = Bench()
    bench.grow(HOT, 100)
    bench.grow(HOT, 130, minute=1)
    bench.density("2325 kg/m3", 20, 130, strip="S", passes=8, temp="96 degC")
    first, second = strip(bench).spots
    assert (first.where[2], second.where[2]) == ("0+100.0", "0+130.0")
    assert second.readings[-1].density_kg_m3 == 2320.0  # of 2315 and 2325
    assert second.readings[-1].temp_c == 96.0


def test_what_is_not_written_is_left_out_and_said() -> None:
    bench = Bench()
    bench.grow(HOT)
    bench.density("2330 kg/m3", 20, strip="S", passes=9)
    bench.density(None, 21, strip="S", passes=10, temp="90 degC", percent="93.0 %")
    (spot,) = strip(bench).spots
    assert (len(spot.readings), spot.untold) == (5, 2)
    alone = Bench()
    alone.density("2330 kg/m3", 20, strip="S", passes=9)
    (spot,) = strip(alone).spots
    assert (spot.growth, spot.why[:8]) == (None, "readings")
    assert strip(alone).best is None
    assert strip(alone).figures().keys() == {"strip/S/laid"}
    assert "at least one" in strip(alone).why


def test_places_that_share_no_passes_have_no_mean() -> None:
    bench = Bench()
    bench.grow(HOT, 100)
    bench.grow([(3, 2280, 120), (5, 2300, 110)], 130)
    found = strip(bench)
    assert found.best is None
    assert "no pass was read at all" in found.why


def test_the_target_is_the_mean_at_random_places() -> None:
    bench = Bench()
    bench.density("2340 kg/m3", 5, 110, strip="S")
    first = strip(bench).target
    assert first is not None
    assert (first.value, first.low) == (2340.0, None)
    assert not strip(bench).complete
    bench.density("2350 kg/m3", 6, 140, strip="S")
    bench.density("2345 kg/m3", 7, 170, strip="S")
    found = strip(bench)
    assert found.complete
    assert found.target is not None
    assert found.target.value == 2345.0
    assert found.target.low == pytest.approx(2345 - 4.302653 * 5 / 3**0.5, abs=1e-4)  # t tables
    assert found.length_m == 60.0


def test_a_section_against_its_strip() -> None:
    """Virginia method, gauge maker's manual p. 43 (98 and 95 %); densities constructed in pcf."""
    bench = Bench()
    for n in range(3):
        bench.density("143.6 pcf", n, strip="S")
    for n, pcf in enumerate(("141.2", "142.0", "140.6", "141.9", "140.8")):
        bench.density(f"{pcf} pcf", 10 + n, basis="strip", reference="S")
    (section,) = strip(bench).sections
    assert section.mean.value == pytest.approx(98.40, abs=0.005)
    assert section.least.value == pytest.approx(97.91, abs=0.005)
    assert section.meets is True


@pytest.mark.parametrize(
    ("share", "count", "plan", "meets"),
    [
        (97.94, 5, PLAN, False),  # 97.9
        (97.96, 5, PLAN, True),  # 98.0, rounded as the limit is printed
        (97.0, 4, PLAN, None),  # not all five yet
        (94.0, 1, PLAN, False),  # a single value is under its own limit at once
        (94.0, 5, BARE, None),  # nothing agreed
        (94.0, 5, PLAN.replace('mean = "98.0"\nsingle = "95.0"\n', ""), None),
    ],
)
def test_when_a_section_meets(share: float, count: int, plan: str, meets: bool | None) -> None:
    bench = Bench(plan)
    for n in range(3):
        bench.density("2400 kg/m3", n, strip="S")
    for n in range(count):
        bench.density(f"{24 * share:.2f} kg/m3", 10 + n, basis="strip", reference="S")
    assert strip(bench).sections[-1].meets is meets


def test_without_a_target_nothing_is_held_against_it() -> None:
    bench = Bench()
    bench.grow()
    bench.density("2300 kg/m3", 30, basis="strip", reference="S")
    bench.density(None, 31, basis="strip", reference="S", percent="98.0 %")
    bench.density("2300 kg/m3", 31, basis="strip", reference="other")
    found = strip(bench)
    assert (found.target, found.sections) == (None, ())


def test_a_new_strip_is_due_after_so_much_of_its_mix() -> None:
    bench = Bench()
    bench.grow(minute=30)
    bench.site.load("1", 10)  # before its last reading
    for n in range(4):
        bench.site.load(str(2 + n), 60 + 10 * n)
    bench.site.load("9", 95, decision="turned away")
    bench.site.load("10", 96, mix="ac8")
    bench.site.load("11", 97, net=None)
    found = strip(bench)
    assert found.laid is not None
    assert (found.laid.value, found.due) == (84_000.0, False)
    bench.site.load("12", 110)
    assert strip(bench).due
    assert not strip(bench, 100).due  # as it was then
    assert not grown(HOT, BARE).due


def test_a_strip_of_no_known_mix() -> None:
    bench = Bench()
    body = {**NEEDS, "strip": "S", "density": "2340 kg/m3"}
    bench.site.write("density", body, 5, by="tess", place={"lane": "E"})
    found = strip(bench)
    assert (found.mix, found.laid, found.length_m) == (None, None, None)
    assert found.facts[0].place("lane") == "E"
    assert {name.rpartition("/")[2] for name in found.figures()} == {"target"}


def test_what_rolled_there() -> None:
    """Of each roller the last, in its lane, on the strip, with its passes, for density."""
    phase = '[[phases]]\nid = "finish"\nname = "Finish"\nends = "60 degC"\ndensity = "no"\n'
    bench = Bench(PLAN.replace("[[roads]]", f"{phase}[[roads]]", 1))
    bench.grow(HOT, 100, minute=40)
    bench.grow(HOT, 140, minute=41)

    def roll(roller: str, minute: float, start: float, lane: str = "E", **more: object) -> None:
        body = {"roller": roller, "event": "rolling", "passes": 4, **more}
        place = {"lane": lane, "from": f"0+{start:05.1f}", "to": f"0+{start + 30:05.1f}"}
        bench.site.write("roller", body, minute, place=place)

    roll("R1", 20, 90)
    roll("R1", 30, 120, speed="4 km/h")
    roll("R2", 5, 100)  # long before
    roll("R2", 50, 100)  # after the last reading
    roll("R3", 42, 145)  # further on
    roll("R4", 42, 100, lane="W")
    roll("R5", 42, 100, phase="finish")
    bench.site.write("roller", {"roller": "R6", "event": "standing"}, 42, place=at(120))
    bench.site.write("roller", {"roller": "R7", "event": "rolling", "passes": 2}, 42,
                     place={"lane": "E"})  # fmt: skip
    (rolled,) = strip(bench).rolled
    assert (rolled.text("roller"), rolled.text("speed")) == ("R1", "4 km/h")


def test_a_name_is_a_name_however_it_is_written() -> None:
    bench = Bench()
    bench.grow(strip="S 1")
    bench.density("2340 kg/m3", 20, strip=" s  1")
    bench.density("2340 kg/m3", 30, basis="strip", reference="s 1")
    found = strip(bench)
    assert (found.name, len(found.aimed), len(found.sections)) == ("S 1", 1, 1)


def test_a_strip_goes_on_the_next_day() -> None:
    bench = Bench()
    bench.grow()
    bench.density("2340 kg/m3", TOMORROW, strip="S")
    found = strip(bench, TOMORROW + 60)
    assert found.shift.startswith("ridge/2026-05-13")
    assert len(found.facts) == 6
    assert at(100)["station"] == found.facts[-1].place("station")
