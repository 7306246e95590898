"""Where every load went: parts add up to what the truck brought."""

import pytest

from matbook.book.entry import Entry
from matbook.shift.parts import Account, accounts, orphans
from tests.shift.site import Site, on


def account(site: Site) -> Account:
    (found,) = accounts(site.facts)
    return found


def placed(site: Site, load: Entry, to: str, mass: str = "", **more: str) -> Entry:
    place = on("E", "binder", 0, 50) if to == "mainline" else {}
    body = {"load": load.id, "to": to, **({"mass": mass} if mass else {}), **more}
    return site.write("placed", body, 5, place=place)


def went(site: Site) -> list[tuple[str, float, str]]:
    return [(part.to, part.mass_kg, part.how) for part in account(site).parts]


def test_a_load_with_its_place_went_there_whole() -> None:
    site = Site()
    site.load("101", place=on("E", "binder", 0, 50))
    assert went(site) == [("mainline", 21_000.0, "rest")]
    assert account(site).state == "placed"


def test_a_load_for_an_area_outside_the_lane_is_no_mainline() -> None:
    site = Site()
    site.load("101", place={"area": "drive-7"})
    assert went(site) == [("area", 21_000.0, "rest")]
    assert account(site).state == "placed"


def test_a_load_without_a_place_is_not_placed_yet() -> None:
    site = Site()
    site.load("101")
    assert (account(site).state, account(site).left_kg) == ("not placed", 21_000.0)


@pytest.mark.parametrize("decision", ["turned away", "void"])
def test_a_load_that_was_not_taken_went_nowhere(decision: str) -> None:
    site = Site()
    site.load("101", decision=decision, place=on(end=50))
    assert (account(site).state, account(site).left_kg, account(site).parts) == (decision, 0.0, ())


def test_a_load_taken_without_a_mass_has_nothing_to_divide() -> None:
    site = Site()
    site.load("101", net=None, place=on(end=50))
    assert (account(site).parts, account(site).left_kg) == ((), 0.0)


def test_a_load_split_over_a_lane_and_a_driveway() -> None:
    site = Site()
    load = site.load("101")
    placed(site, load, "area", "1.5 t", area="drive-7", how="weighed")
    placed(site, load, "mainline")
    assert went(site) == [("area", 1_500.0, "weighed"), ("mainline", 19_500.0, "rest")]
    assert account(site).mass_to("mainline") == 19_500.0
    assert account(site).mass_to("area", "waste") == 1_500.0


def test_parts_without_a_mass_share_the_rest_as_an_estimate() -> None:
    site = Site()
    load = site.load("101")
    placed(site, load, "waste", "1.0 t")
    placed(site, load, "mainline")
    placed(site, load, "mainline")
    assert went(site) == [
        ("waste", 1_000.0, "estimated"),
        ("mainline", 10_000.0, "estimated"),
        ("mainline", 10_000.0, "estimated"),
    ]


def test_what_is_weighed_back_was_returned_and_the_rest_was_laid() -> None:
    site = Site()
    load = site.load("101", place=on("E", "binder", 0, 40))
    site.write("weigh-back", {"load": load.id, "net": "4.20 t"}, 30, by="pia")
    assert went(site) == [("mainline", 16_800.0, "rest"), ("returned", 4_200.0, "weighed")]
    assert account(site).state == "part used"


@pytest.mark.parametrize(
    ("to", "mass", "state"),
    [
        ("waste", "", "wasted"),
        ("waste", "21.00 t", "wasted"),
        ("returned", "", "returned"),
        ("mainline", "21.00 t", "placed"),
        ("mainline", "20.00 t", "not placed"),
        ("mainline", "21.60 t", "over-placed"),
    ],
)
def test_the_state_of_a_load_by_where_it_went(to: str, mass: str, state: str) -> None:
    site = Site()
    placed(site, site.load("101"), to, mass)
    assert account(site).state == state


def test_a_part_without_a_mass_gets_nothing_when_nothing_is_left() -> None:
    site = Site()
    load = site.load("101")
    placed(site, load, "mainline", "21.00 t")
    placed(site, load, "area")
    assert went(site) == [("mainline", 21_000.0, "estimated"), ("area", 0.0, "rest")]
    assert account(site).state == "placed"


def test_more_weighed_back_than_brought_is_over_placed() -> None:
    site = Site()
    load = site.load("101", place=on("E", "binder", 0, 40))
    site.write("weigh-back", {"load": load.id, "net": "21.20 t"}, 30)
    assert (account(site).state, account(site).left_kg) == ("over-placed", -200.0)


def test_a_whole_load_weighed_back_was_returned() -> None:
    site = Site()
    load = site.load("101")
    site.write("weigh-back", {"load": load.id, "net": "21.00 t"}, 30)
    assert account(site).state == "returned"


def test_a_part_follows_its_load_through_corrections_and_witnesses() -> None:
    """The part names the entry that was struck, or the plant's own line: it is the same truck."""
    for witness in ("", "plant"):
        site = Site()
        load = site.load("101")
        plant = site.load("101", by="pia", witness="plant")
        placed(site, plant if witness else load, "mainline", "21.00 t")
        site.load("101", strikes=load.id, why="truck misread", truck="12")
        assert account(site).state == "placed"
        assert orphans(site.facts) == ()


def test_a_part_of_a_load_that_is_not_here_is_kept_and_counted_nowhere() -> None:
    site = Site()
    site.load("101", place=on(end=50))
    lost = site.write("placed", {"load": "01890000-0000-7000-8000-000000000001", "to": "waste"})
    back = site.write(
        "weigh-back", {"load": "01890000-0000-7000-8000-000000000002", "net": "2.0 t"}, 5
    )
    assert [fact.id for fact in orphans(site.facts)] == [lost.id, back.id]
    assert account(site).mass_to("mainline") == 21_000.0
