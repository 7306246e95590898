"""What was laid in the lanes: pieces with their areas, and runs that begin again."""

from random import Random

import pytest

from matbook.shift.laid import Piece, pieces, unplaced
from matbook.shift.yields import rows
from tests.shift.site import Site, at, on


def only(site: Site) -> Piece:
    (piece,) = pieces(site.facts)
    return piece


def missing(site: Site) -> list[str]:
    return [lost.missing for lost in unplaced(site.facts)]


# Areas


def test_a_piece_has_the_planned_width_of_its_lane() -> None:
    site = Site()
    site.load("101", place=on("E", "binder", 0, 50))
    assert (only(site).area_m2, only(site).width_by) == (175.0, "planned")
    assert (only(site).length_m, only(site).inferred) == (50.0, False)


def test_a_widening_lane_has_its_area_in_either_direction() -> None:
    """From 3.8 m at 0+800 to 4.0 m at 1+000: 3.9 x 200 = 780 m2."""
    for start, end in ((1000, 800), (800, 1000)):
        site = Site()
        site.load("101", place=on("W", "binder", start, end))
        assert only(site).area_m2 == pytest.approx(780.0, rel=1e-12)


def test_widths_measured_within_a_piece_replace_the_planned_one() -> None:
    """(3.60 + 3.70) / 2 x 50 = 182.5 m2; widths of other lanes, lifts and stations stay out."""
    site = Site()
    site.load("101", 60, place=on("E", "binder", 100, 150))
    for minute, (width, place) in enumerate(
        [
            ("3.60 m", at(100)),
            ("3.70 m", at(150)),
            ("9.00 m", at(151)),
            ("9.00 m", at(99)),
            ("9.00 m", at(120, "W")),
            ("9.00 m", at(120, "E", "surface")),
            ("9.00 m", {"lane": "E", "lift": "binder"}),
        ]
    ):
        site.write("width", {"width": width}, minute, place=place)
    assert only(site).area_m2 == pytest.approx(182.5, rel=1e-12)
    assert only(site).width_by == "measured"


def test_a_width_measured_later_still_counts() -> None:
    site = Site()
    site.load("101", 0, place=on("E", "binder", 0, 50))
    assert only(site).area_m2 == 175.0
    facts = site.facts
    assert pieces(facts)[0].area_m2 == 175.0
    facts.add(site.write("width", {"width": "3.60 m"}, 90, place=at(25)))
    assert pieces(facts)[0].area_m2 == pytest.approx(180.0, rel=1e-12)


@pytest.mark.parametrize(
    ("body", "area", "by"),
    [
        ({"width": "3.20 m"}, 160.0, "measured"),
        ({"measured_area": "171 m2"}, 171.0, "area"),
        ({"measured_area": "171 m2", "width": "3.20 m"}, 171.0, "area"),
        ({}, 175.0, "planned"),
    ],
)
def test_a_part_may_bring_its_own_width_or_area(body: dict[str, str], area: float, by: str) -> None:
    site = Site()
    load = site.load("101")
    place = on("E", "binder", 150, 100)
    site.write("placed", {"load": load.id, "to": "mainline", **body}, 5, place=place)
    assert (only(site).area_m2, only(site).width_by) == (area, by)


# Where a piece begins


def test_a_piece_without_its_start_goes_on_where_the_one_before_ended() -> None:
    site = Site()
    site.load("101", 0, place=on("E", "binder", 0, 50))
    site.load("102", 10, place=on("E", "binder", end=95))
    first, second = pieces(site.facts)
    assert (second.from_m, second.to_m, second.inferred) == (50.0, 95.0, True)
    assert (first.run, second.run) == (1, 1)


def test_a_paver_goes_on_where_it_ended_the_shift_before() -> None:
    site = Site()
    site.load("101", 0, place=on("E", "binder", end=50))
    assert missing(site) == ["from"]
    (piece,) = pieces(site.facts, {("E", "binder", "P1"): 10.0})
    assert (piece.from_m, piece.inferred) == (10.0, True)


def test_each_paver_lane_and_lift_has_an_end_of_its_own() -> None:
    site = Site()
    site.load("101", 0, place=on("E", "binder", 0, 50))
    site.load("102", 10, place=on("E", "binder", end=95, paver="P2"))
    site.load("103", 20, place=on("W", "binder", end=95))
    site.load("104", 30, mix="ac8", place=on("E", "surface", end=95))
    assert missing(site) == ["from", "from", "from"]


# A station every few loads


def reaches(site: Site) -> list[tuple[str, float, float]]:
    return [(p.part.load.number, p.from_m, p.to_m) for p in pieces(site.facts)]


def test_loads_whose_end_nobody_wrote_lie_up_to_the_next_end_each_by_its_mass() -> None:
    """42 t over 100 m are 0.42 t/m: 10.5 t end after 25 m, 31.5 t cover the other 75 m."""
    site = Site()
    site.load("101", 0, place=on("E", "binder", 0, 50))
    site.load("102", 10, net="10.50 t", place=on("E", "binder"))
    assert (missing(site), len(pieces(site.facts))) == (["station"], 1)
    site.load("103", 20, net="31.50 t", place=on("E", "binder", end=150))
    site.load("104", 30, place=on("E", "binder", end=200))
    assert missing(site) == []
    assert reaches(site) == [
        ("101", 0.0, 50.0), ("102", 50.0, 75.0), ("103", 75.0, 150.0), ("104", 150.0, 200.0),
    ]  # fmt: skip
    assert [p.area_m2 for p in pieces(site.facts)] == [175.0, 87.5, 262.5, 175.0]
    assert {p.run for p in pieces(site.facts)} == {1}
    assert [p.ends_as_written for p in pieces(site.facts)] == [True, False, True, True]


def test_a_station_written_later_gives_the_area_of_those_before() -> None:
    site = Site()
    site.load("101", 0, place=on("E", "binder", 0))
    facts = site.facts
    assert pieces(facts) == ()
    facts.add(site.load("102", 10, place=on("E", "binder", end=100)))
    assert [(p.from_m, p.to_m) for p in pieces(facts)] == [(0.0, 50.0), (50.0, 100.0)]
    assert pieces(facts) == pieces(site.facts)


@pytest.mark.parametrize("seed", range(6))
def test_in_whatever_order_they_arrive_the_same_loads_share_a_station(seed: int) -> None:
    site = Site()
    for n in range(9):
        end = 50 * n + 50 if n % 3 == 2 else None
        kg = f"{15 + n}.50 t"
        site.load(str(101 + n), 10 * n, net=kg, place=on("E", "binder", 0 if n == 0 else None, end))
    site.write("width", {"width": "3.60 m"}, 35, place=at(70))
    whole = Site().facts
    for entry in Random(seed).sample(site.entries, len(site.entries)):
        whole.add(entry)
        pieces(whole)
        rows(whole, {})
    assert pieces(whole) == pieces(site.facts)
    found, scratch = (
        [figure.open() for row in rows(facts, {}) for one in (row.own, row.last) if one
         for figure in (one.rate, one.deviation) if figure]
        for facts in (whole, site.facts)
    )  # fmt: skip
    assert found == scratch
    assert [p.shared != "" for p in pieces(whole)] == [True] * 9


def test_two_pavers_wait_each_for_its_own_station() -> None:
    site = Site()
    site.load("101", 0, place=on("E", "binder", 0))
    site.load("102", 5, place=on("W", "binder", 0, paver="P2"))
    site.load("103", 10, place=on("E", "binder", end=100))
    site.load("104", 15, place=on("W", "binder", end=80, paver="P2"))
    assert reaches(site) == [
        ("101", 0.0, 50.0), ("102", 0.0, 40.0), ("103", 50.0, 100.0), ("104", 40.0, 80.0),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("place", "mix"),
    [
        (on("E", "binder", 130, 180), "ac16"),
        (on("W", "binder", 130, 180), "ac16"),
        (on("E", "surface", 130, 180), "ac8"),
        (on("E", "binder", end=180), "ac8"),
    ],
    ids=["begins elsewhere", "lane", "lift", "mix"],
)
def test_after_a_break_nobody_knows_where_the_one_before_ended(
    place: dict[str, str], mix: str
) -> None:
    """From where the paver went on, it can't be known how far it came before."""
    site = Site()
    site.load("101", 0, place=on("E", "binder", 0, 50))
    site.load("102", 10, place=on("E", "binder"))
    site.load("103", 20, mix=mix, place=place)
    assert missing(site)[0] == "to"
    assert [number for number, *_ in reaches(site)][:1] == ["101"]


def test_what_makes_the_whole_stretch_unknown_makes_each_of_it_so() -> None:
    for start, end, lacks in ((None, 100, "from"), (0, 0, "length"), (0, 9000, "range")):
        site = Site()
        site.load("101", 0, place=on("E", "binder", start))
        site.load("102", 10, place=on("E", "binder", end=end))
        assert missing(site) == [lacks, lacks]
    site = Site()
    site.load("101", 0, place=on("E", "binder", 0))
    site.load("102", 10, net=None, place=on("E", "binder", end=100))
    assert [p.part.load.number for p in pieces(site.facts)] == []


# What is missing


@pytest.mark.parametrize(
    ("place", "lacks"),
    [
        (on("N", "binder", 0, 50), "lane"),
        (on("E", "wearing", 0, 50), "lift"),
        (on("E", "binder", 0), "station"),
        ({**on("E", "binder", 0), "to": "here"}, "station"),
        (on("E", "binder", end=50), "from"),
        (on("E", "binder", 50, 50), "length"),
    ],
    ids=["lane", "lift", "end", "unreadable end", "start", "length"],
)
def test_what_a_mainline_part_lacks_is_said(place: dict[str, str], lacks: str) -> None:
    site = Site()
    site.load("101", place=place)
    assert missing(site) == [lacks]
    assert pieces(site.facts) == ()


def test_a_part_of_no_mass_has_no_yield() -> None:
    site = Site()
    load = site.load("101")
    for mass in ("21.00 t", ""):
        body = {"load": load.id, "to": "mainline", **({"mass": mass} if mass else {})}
        site.write("placed", body, 5, place=on("E", "binder", 0, 50))
    assert missing(site) == ["mass"]
    assert len(pieces(site.facts)) == 1


def test_a_measured_area_of_nothing_is_no_area() -> None:
    site = Site()
    load = site.load("101")
    body = {"load": load.id, "to": "mainline", "measured_area": "0 m2"}
    site.write("placed", body, 5, place=on("E", "binder", 0, 50))
    assert missing(site) == ["length"]


def test_only_mainline_parts_become_pieces() -> None:
    site = Site()
    load = site.load("101")
    for to in ("area", "waste", "returned"):
        site.write("placed", {"load": load.id, "to": to, "mass": "2.00 t"}, 5)
    site.write("placed", {"load": load.id, "to": "mainline"}, 5, place=on("E", "binder", 0, 50))
    assert only(site).mass_kg == 15_000.0


# Runs: windows begin again


@pytest.mark.parametrize(
    ("change", "body"),
    [
        (on("W", "binder", 100, 150), {}),
        (on("E", "surface", 100, 150), {"mix": "ac8"}),
        (on("E", "binder", 100, 150), {"mix": "ac8"}),
        (on("E", "binder", 100.1, 150), {}),
        (on("E", "binder", 90, 150), {}),
    ],
    ids=["lane", "lift", "mix", "skip", "step back"],
)
def test_a_run_ends_at_a_change_or_a_skip(change: dict[str, str], body: dict[str, str]) -> None:
    site = Site()
    site.lay(["21.00 t", "21.00 t"])
    site.load("103", 20, place=change, mix=body.get("mix", "ac16"))
    assert [piece.run for piece in pieces(site.facts)] == [1, 1, 2]


def test_stations_written_with_fewer_digits_are_no_skip() -> None:
    site = Site()
    site.lay(["21.00 t"])
    site.load("102", 10, place={**on("E", "binder"), "from": "0+050.04", "to": "0+100"})
    assert [piece.run for piece in pieces(site.facts)] == [1, 1]


def test_two_pavers_side_by_side_run_each_for_itself() -> None:
    site = Site()
    for n in range(3):
        site.load(str(101 + n), 10 * n, place=on("E", "binder", 50 * n, 50 * n + 50))
        place = on("W", "binder", 1000 - 50 * n, 950 - 50 * n, "P2")
        site.load(str(201 + n), 10 * n + 5, place=place)
    runs = {piece.paver: set() for piece in pieces(site.facts)}  # type: dict[str, set[int]]
    for piece in pieces(site.facts):
        runs[piece.paver].add(piece.run)
    assert [len(seen) for seen in runs.values()] == [1, 1]
    assert runs["P1"] != runs["P2"]


# A paver that went elsewhere, or ended, holds nothing of its last piece any more


def emptied(site: Site) -> list[bool]:
    return [piece.emptied for piece in pieces(site.facts)]


def test_the_paver_still_holds_mix_while_its_run_goes_on() -> None:
    site = Site()
    site.lay(["21.00 t", "21.00 t"])
    assert emptied(site) == [False, False]


def test_the_paver_is_empty_where_a_run_ended() -> None:
    site = Site()
    site.lay(["21.00 t", "21.00 t"])
    site.load("103", 20, place=on("E", "binder", 500, 550))
    assert emptied(site) == [False, True, False]


def test_the_paver_is_empty_at_its_end() -> None:
    site = Site()
    site.lay(["21.00 t", "21.00 t"])
    site.write("paver", {"event": "end"}, 30, place=at(100))
    assert emptied(site) == [False, True]
    site.write("paver", {"event": "start"}, 60, place=at(100))
    assert emptied(site) == [False, False]
