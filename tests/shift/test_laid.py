"""What was laid in the lanes: pieces with their areas, and runs that begin again."""

import pytest

from matbook.shift.laid import Piece, pieces, unplaced
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


def test_after_a_load_whose_end_nobody_wrote_the_next_start_is_not_known() -> None:
    """Its mass lies somewhere before the next load: to measure on from the end before would
    spread one load's mass over two loads' length."""
    site = Site()
    site.load("101", 0, place=on("E", "binder", 0, 50))
    site.load("102", 10, place=on("E", "binder"))
    site.load("103", 20, place=on("E", "binder", end=150))
    site.load("104", 30, place=on("E", "binder", end=200))
    assert missing(site) == ["to", "from"]
    assert [(p.part.load.number, p.from_m) for p in pieces(site.facts)] == [
        ("101", 0.0), ("104", 150.0),
    ]  # fmt: skip


# What is missing


@pytest.mark.parametrize(
    ("place", "lacks"),
    [
        (on("N", "binder", 0, 50), "lane"),
        (on("E", "wearing", 0, 50), "lift"),
        (on("E", "binder", 0), "to"),
        ({**on("E", "binder", 0), "to": "here"}, "to"),
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
