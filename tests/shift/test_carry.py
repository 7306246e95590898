"""What a shift hands to the next one: numbers, totals, fronts, restarts, open matters and edges."""

from matbook.book.pen import ShiftName
from matbook.shift.carry import NOTHING, Carry, added, carry_of
from matbook.shift.facts import Facts
from matbook.shift.view import view
from matbook.shift.yields import Total
from tests.shift.site import NEXT, Site, clock, on

TOMORROW = 24 * 60


def handed_on(site: Site, before: Carry = NOTHING) -> Carry:
    return carry_of(site.facts, before)


def test_the_last_ticket_of_each_plant() -> None:
    site = Site()
    for n, number in enumerate(["101", "103", "102"]):
        site.load(number, n)
    site.load("7001", 5, plant="south")
    site.load("by hand", 6, plant="mobile")
    carry = handed_on(site, Carry(tickets={"north": 90, "old": 5}))
    assert carry.tickets == {"north": 103, "south": 7001, "old": 5}


def test_where_each_lane_and_lift_and_each_paver_stands() -> None:
    site = Site()
    site.load("101", 0, place=on("E", "binder", 0, 50))
    site.load("102", 5, place=on("E", "binder", 50, 90, "P2"))
    carry = handed_on(
        site, Carry(covered={("W", "binder"): ((0.0, 7.0),)}, restarts={("W", "x", "y"): 7.0})
    )
    assert {course: reaches[-1] for course, reaches in carry.covered.items()} == {
        ("E", "binder"): (0.0, 90.0), ("W", "binder"): (0.0, 7.0),
    }  # fmt: skip
    assert carry.restarts == {
        ("E", "binder", "P1"): 50.0, ("E", "binder", "P2"): 90.0, ("W", "x", "y"): 7.0,
    }  # fmt: skip


def test_a_paver_whose_last_end_nobody_wrote_restarts_nowhere_known() -> None:
    site = Site()
    site.lay(["21.00 t"])
    site.load("102", 10, place=on("E", "binder"))
    assert handed_on(site).restarts == {}


def test_totals_add_up_shift_by_shift() -> None:
    site = Site()
    site.lay(["21.00 t"] * 2)
    one = handed_on(site)
    assert one.totals == {("E", "binder"): Total(42_000.0, 350.0, 42_000.0, 100.0, 2)}
    site.load("103", TOMORROW, place=on("E", "binder", end=150), shift=NEXT)
    following = Facts(ShiftName.read(NEXT), site.entries)
    two = carry_of(following, one)
    assert two.totals == {("E", "binder"): Total(63_000.0, 525.0, 63_000.0, 150.0, 3)}
    assert view(following, clock(TOMORROW + 60), one).totals == two.totals
    assert two.shift == NEXT


def test_totals_of_lanes_that_only_one_of_two_shifts_laid() -> None:
    total = Total(1.0, 2.0, 3.0, 4.0, 5)
    assert added({("E", "a"): total}, {("W", "a"): total}) == {
        ("E", "a"): total, ("W", "a"): total,
    }  # fmt: skip


def joint(site: Site, minute: float, lane: str, edge: str) -> str:
    body = {"joint": "butt", "edge": edge}
    return site.write("joint-longitudinal", body, minute, place={"lane": lane, "lift": "binder"}).id


def left_open(carry: Carry) -> dict[tuple[str, str], str]:
    return {course: edge.id for course, edge in carry.open_edges.items()}


def test_edges_left_open_are_handed_on_until_they_are_closed() -> None:
    site = Site()
    first = joint(site, 0, "E", "open")
    joint(site, 1, "W", "open")
    joint(site, 2, "W", "closed")
    site.write("joint-longitudinal", {"joint": "butt"}, 3, place=on("E", "binder", 0, 10))
    assert left_open(handed_on(site)) == {("E", "binder"): first}


def test_what_says_nothing_of_the_edge_leaves_it_as_it_was() -> None:
    site = Site()
    first = joint(site, 0, "E", "open")
    place = {"lane": "E", "lift": "binder"}
    site.write("joint-longitudinal", {"joint": "butt", "height": "4 mm"}, 5, place=place)
    carry = handed_on(site)
    assert left_open(carry) == {("E", "binder"): first}
    following = Site()
    assert handed_on(following, carry).open_edges == carry.open_edges
    joint(following, 9, "E", "closed")
    assert handed_on(following, carry).open_edges == {}


def test_the_first_shift_starts_from_nothing() -> None:
    assert handed_on(Site(), NOTHING) == Carry(shift=str(Site().facts.shift))


def test_without_a_plan_there_is_still_a_carry() -> None:
    site = Site("")
    site.load("101")
    assert carry_of(site.facts).tickets == {"north": 101}
