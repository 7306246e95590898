"""Smoothness from the book: profiles by section against a limit, and straightedge surveys."""

from math import sin, tau

import pytest

from matbook.engine.smoothness import iri
from matbook.shift.smooth import Profile, profiles, surveys
from tests.desk.test_placement import parts
from tests.shift.placed import PLACED
from tests.shift.site import PLAN, Site, at, limit

ROUGH = PLAN.replace(
    '[[limits]]\nid = "warm"',
    limit("smooth-iri", "iri", "max", "1.20", "m/km", "watch", "contractor")
    + '[[limits]]\nid = "warm"',
)


def waves(length_m: float = 240.0, bump_at: float = 140.0) -> list[float]:
    """Waves of 15 m and 2 mm, spaced 0.1 m, with one bump of 25 mm [mm]."""
    places = [n * 0.1 for n in range(round(10 * length_m) + 1)]
    return [2 * sin(tau * x / 15.0) + (25.0 if 0 < x - bump_at < 0.4 else 0.0) for x in places]


def written(plan: str = ROUGH, lane: str = "E", heights: str = "", **body: str) -> Site:
    site = Site(plan)
    said = heights or " ".join(f"{one:.3f}" for one in waves())
    fields = {"spacing": "100 mm", "unit": "mm", "heights": said, "path": "right", **body}
    place = {"lane": lane, "lift": "binder", "from": "0+500"}
    site.write("profile", fields, 60, place=place)
    return site


def only(site: Site) -> Profile:
    (found,) = profiles(site.facts)
    return found


def test_a_profile_is_worth_its_index_section_by_section() -> None:
    """The same heights given straight to the published index (ASTM E1926) give the same."""
    found = only(written())
    assert found.whole is not None
    heights = [round(one, 3) / 1000.0 for one in waves()]
    assert found.whole.value * 1000 == pytest.approx(iri(heights, 0.1))
    assert [(part.from_m, part.to_m) for part in found.sections] == [
        (500.0, 600.0), (600.0, 700.0), (700.0, 740.0),
    ]  # fmt: skip
    worst = found.worst[0]
    assert worst.from_m < 640.0 < worst.to_m
    assert [len(part.judgements) for part in found.sections] == [1, 1, 0]
    opened = dict(written().view().figures())
    assert len([name for name in opened if name.startswith("smooth/")]) == 4


def test_the_section_with_the_bump_is_said_at_its_stations() -> None:
    site = written()
    (call,) = site.calls("smooth.rough")
    assert call.says["station"] == "0+600 – 0+700"
    assert call.tell == ("cole",)
    rows = parts(site)["smooth"]["rows"]
    assert [row["state"] for row in rows] == ["fine", "watch", "unknown"]
    assert rows[1]["station"] == "0+600 – 0+700"
    (line,) = parts(site)["smooth"]["lines"]
    assert line.startswith("Profile from 0+500, 240 m: ")
    assert parts(site)["smooth"]["limits"] == ["at most 1.20 m/km"]


def test_against_the_stations_and_off_the_lanes() -> None:
    down = only(written(lane="W"))
    assert (down.sections[0].from_m, down.sections[0].to_m) == (500.0, 400.0)
    nowhere = parts(written(lane="Z"))["smooth"]["rows"][0]
    assert nowhere["station"] == "500 – 600 m"


@pytest.mark.parametrize(
    ("heights", "why"),
    [
        ("1 2 3", "more than 110 points"),
        ("1 two 3", "could not convert"),
        (" ".join(["1"] * 200 + ["nan"] + ["1"] * 200), "finite number"),
    ],
)
def test_what_has_no_index_says_why_and_is_kept(heights: str, why: str) -> None:
    site = written(heights=heights)
    assert why in only(site).why
    (row,) = parts(site)["smooth"]["rows"]
    assert row["words"].startswith("no roughness index: ")
    assert row["state"] == "unknown"
    assert site.calls("smooth.rough") == ()
    assert len(site.facts.of("profile")) == 1


def test_a_survey_by_straightedge() -> None:
    site = Site(PLACED)
    for n, gap in enumerate(("2 mm", "6 mm", "1 mm")):
        site.write("straightedge", {"length": "3 m", "gap": gap}, n, place=at(10 * n))
    site.write("straightedge", {"length": "3 m", "gap": "9 mm", "along": "joint"}, 8, place=at(0))
    across = {"length": "3 m", "gap": "2 mm", "along": "across"}
    site.write("straightedge", across, 9, place={"station": "0+010"})
    first, second = surveys(site.facts)
    assert (first.count, len(first.over)) == (3, 1)
    assert first.mean_m == pytest.approx(0.003)
    assert parts(site)["smooth"]["lines"] == [
        "Straightedge along, Eastbound: 3 places, mean 3.0 mm, deepest 6 mm at 0+010.0; beyond "
        "the limit at 0+010.0",
        "Straightedge across, —: 1 place, mean 2.0 mm, deepest 2 mm at 0+010; none beyond a limit",
    ]
    assert second.over == ()
