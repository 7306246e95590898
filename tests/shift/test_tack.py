"""Tack coat from its entries: rates by hand, and what a tank's readings can't be."""

from typing import Any

import pytest

from matbook.shift.tack import Sprayed, spreads, tally
from tests.shift.placed import PLACED, reach, spread
from tests.shift.site import PLAN, Site, clock


def only(site: Site) -> Sprayed:
    ((_, found),) = spreads(site.facts)
    return found


def test_the_worked_example_of_the_reference() -> None:
    """Dips 1,850 and 1,340 gal at 140 degF over 2,640 ft of 12 ft: 0.1420 gal/yd2; residue 57 %:
    0.0809 residual, 0.0405 diluted 1:1 (worked by hand in the placement reference, section 6)."""
    site = Site(PLACED.replace('residue = "60 %"', 'residue = "57 %"'))
    body: dict[str, Any] = {
        "before": "1850 gal",
        "after": "1340 gal",
        "temp": "140 degF",
        "area": "3520 yd2",
    }
    spread(site, **body)
    found = only(site)
    assert found.applied is not None
    assert found.residual is not None
    per = 0.003785411784 / 0.83612736  # a US gallon on a square yard, m3/m2
    assert found.applied.value / per == pytest.approx(0.1420, abs=5e-5)
    assert found.residual.value / per == pytest.approx(0.0809, abs=5e-5)
    half = Site(PLACED.replace('residue = "60 %"', 'residue = "57 %"'))
    spread(half, diluted="50 %", **body)
    diluted = only(half).residual
    assert diluted is not None
    assert diluted.value / per == pytest.approx(0.0405, abs=5e-5)


def test_the_area_comes_from_the_stations_where_none_is_written() -> None:
    """Two readings of 10 L either way, on 175 L: 14.1 L, 8.1 %; two stations of 0.5 m on 100 m."""
    site = Site(PLACED)
    entry = spread(site)
    found = only(site)
    assert found.area is not None
    assert found.area.value == pytest.approx(350.0)
    assert found.residual is not None
    assert found.residual.value == pytest.approx(0.3e-3)
    assert found.residual.high == pytest.approx(0.3e-3 * 1.0811, rel=1e-3)
    opened = dict(site.view().figures())[f"reading/{entry.id}/tack.rate"].open(2)
    assert opened["function"] == "matbook.engine.tack.residual_rate"
    assert opened["inputs"]["applied_m3_m2"]["inputs"]["before_m3"]["written"] == "1000 L"
    assert site.calls("reading.beyond") == ()


def test_too_thin_is_a_call_to_those_the_limit_names() -> None:
    site = Site(PLACED)
    spread(site, after="900 L")  # 100 L: 0.29 applied, 0.17 stay
    (call,) = site.calls("reading.beyond")
    assert (call.says["quantity"], call.tell) == ("tack.rate", ("cole",))


@pytest.mark.parametrize(
    ("body", "why"),
    [
        ({"after": None}, "tack.why.readings"),
        ({"before": "800 L"}, "tack.why.filled"),
        ({"diluted": "100 %"}, "tack.why.water"),
    ],
)
def test_what_can_not_be_is_said_and_nothing_is_made_of_it(body: dict[str, Any], why: str) -> None:
    site = Site(PLACED)
    spread(site, **body)
    assert (only(site).why, only(site).residual) == (why, None)
    assert tally(site.facts, site.view().plan) is None or why == "tack.why.water"
    calls = {call.code for call in site.calls() if call.code.startswith("tack.")}
    assert calls == {"tack.why.filled": {"tack.filled"}, "tack.why.water": {"tack.water"}}.get(
        why, set()
    )


def test_without_a_place_there_is_no_area() -> None:
    for place in ({}, {"lane": "E"}, {"lane": "E", "from": "0+010", "to": "0+010"}):
        site = Site(PLACED)
        site.write("tack", {"before": "1000 L", "after": "900 L"}, 1, place=place)
        assert only(site).why == "tack.why.area"


@pytest.mark.parametrize(
    ("plan", "temp", "flag"),
    [
        (PLACED, None, "tack.flag.no-temp"),
        (PLACED, "150 degC", "tack.flag.temp"),
        (PLAN, "50 degC", "tack.flag.no-plan"),
    ],
)
def test_a_volume_that_could_not_be_corrected_says_so(
    plan: str, temp: str | None, flag: str
) -> None:
    site = Site(plan)
    spread(site, temp=temp)
    found = only(site)
    assert found.applied is not None
    assert found.applied.flags == (flag,)
    assert found.applied.value == pytest.approx(0.5e-3)
    assert (found.residual is None) == (plan is PLAN)


def test_the_day_together_and_what_the_tank_still_covers() -> None:
    """350 m2 at 0.30 and 350 m2 at 0.24; 685 L left, of which 60 % stay: 1,644 m2 at 0.25."""
    site = Site(PLACED)
    spread(site)
    site.write(
        "tack",
        {"before": "825 L", "after": "685 L", "temp": "60 degF"},
        50,
        place=reach(100, 200),
    )
    whole = site.view().tacked
    assert whole is not None
    assert whole.residual is not None
    assert whole.residual.value == pytest.approx(0.27e-3)
    assert (whole.count, whole.area_m2) == (2, 700.0)
    assert whole.reaches_m2 == pytest.approx(1644.0)
    assert "tack/all/residual" in dict(site.view().figures())
    assert site.calls("tack.unwritten") == ()


def test_a_spread_without_a_residual_rate_leaves_no_mean() -> None:
    site = Site(PLACED)
    spread(site)
    spread(site, 9, before="825 L", after="800 L", diluted="100 %")
    whole = tally(site.facts, site.view().plan)
    assert whole is not None
    assert whole.residual is None
    bare = Site(PLAN)
    spread(bare)
    found = tally(bare.facts, bare.view(30).plan)
    assert found is not None
    assert found.reaches_m2 is None


def test_what_went_out_of_the_tank_unwritten() -> None:
    """After 825 L the next begins at 700: 125 L that nobody wrote. Filled up: nothing to say."""
    site = Site(PLACED)
    spread(site)
    spread(site, 60, before="700 L", after="600 L")
    spread(site, 90, before="1500 L", after="1400 L")
    spread(site, 95, before="1400 L", after=None)
    spread(site, 97, before="1300 L")
    (call,) = site.calls("tack.unwritten")
    assert call.grade == "note"
    assert call.says["litres_m3"] == pytest.approx(0.125)
    assert clock(60) == call.at
