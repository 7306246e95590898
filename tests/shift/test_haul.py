"""The haul as a shift saw it: rhythm and trucks from loads, what clocks spoil, what is said."""

import pytest

from matbook.shift.haul import FUTURES, Hauled, hauls
from matbook.shift.speak import spoken
from matbook.shift.view import view
from tests.shift.hauled import STEP, TRUCKS, bursts, morning, take
from tests.shift.site import PLAN, Site, at, clock, moment, on


def haul(site: Site, minute: float) -> Hauled:
    (found,) = hauls(site.facts, clock(minute))
    return found


END = 13 * STEP


def test_the_rhythm_of_a_morning() -> None:
    """By hand: 8 min to lay; out in 21; emptied 8 min after its turn, loaded 15 min later."""
    found = haul(morning(), END + 2)
    assert found.haul is not None
    legs = (found.haul.out, found.haul.laying, found.haul.back)
    assert [leg.mean_s / 60 for leg in legs] == pytest.approx([21.0, 8.0, 15.0])
    assert [leg.scatter_s for leg in legs] == pytest.approx([0.0, 0.0, 0.0], abs=1e-6)
    assert [leg.count for leg in legs] == [14, 13, 8]
    assert len(found.entries) == 14
    # 6 t in hopper and augers, 21 t in 8 min
    assert found.haul.spare_s == pytest.approx(6 / 21 * 480)


def test_where_the_trucks_are() -> None:
    """By hand, two minutes into the last load: it lays; the others left 8 min apart before it."""
    found = haul(morning(), END + 2)
    assert sorted((truck.place, truck.for_s / 60) for truck in found.trucks) == [
        ("back", 2.0), ("back", 10.0), ("back", 18.0), ("back", 26.0), ("back", 34.0),
        ("laying", 2.0),
    ]  # fmt: skip


def test_six_trucks_keep_it_moving() -> None:
    """A round of 44 min takes 5.5 trucks of 8 min each."""
    seen = haul(morning(), END + 2)
    assert seen.outlook is not None
    assert seen.outlook.stops_by(3600.0).value == 0.0
    assert len(seen.outlook.futures) == FUTURES
    assert seen.pace is None
    assert view(morning().facts, clock(END + 2)).hauls[0].outlook is not None


def test_three_trucks_do_not() -> None:
    """By hand, a minute into the last of three: 7 min more and 137 s in the hopper, so it stands
    9.3 min from now; the next is back 44 min after its turn at 88, 27 min from now."""
    site = bursts()
    found = haul(site, 105)
    assert found.haul is not None
    assert found.haul.laying.mean_s == pytest.approx(480.0)  # the paver's stops don't count
    assert found.outlook is not None
    assert found.outlook.first_stop(0.5) == pytest.approx(7 * 60 + 137.14, abs=0.1)
    assert found.outlook.futures[0].stops[0][1] == pytest.approx(27 * 60)
    assert found.pace is not None
    assert found.pace.amount < 0.6


def test_a_call_when_it_will_stand_soon() -> None:
    """Who can still send a truck or slow it down hears of it; nobody does while all is well."""
    assert morning().calls("haul.soon", END + 2) == ()
    (call,) = bursts().calls("haul.soon", 105)
    assert (call.id, call.grade, call.tell) == ("haul.soon:P1", "watch", ("cole", "pia"))
    assert call.entries
    said = spoken(call, view(bursts().facts, clock(105)).plan, clock(105))
    assert said.head == "First paver may stand within 20 min"
    assert said.line == (
        "By the trucks' own times it comes to a stop within 20 min in 100 of a hundred cases "
        "(96 to 100)."
    )


def test_a_paver_that_stands_is_not_said_to_stand_soon() -> None:
    seen = haul(bursts(), 131.5)
    assert seen.outlook is not None
    assert seen.outlook.stands_now
    assert bursts().calls("haul.soon", 131.5) == ()


def test_the_figure_opens_to_the_trucks_times() -> None:
    found = dict(view(bursts().facts, clock(105)).figures())["haul/P1"]
    opened = found.open()
    assert (opened["value"], opened["unit"]) == ("1", "1")
    assert opened["function"] == "matbook.engine.outlook.forecast"
    assert opened["range"]["is"] == "range.futures"
    assert opened["inputs"]["laying_s"]["count"] == 8
    assert len(opened["inputs"]["out_s"]["entries"]) == 9
    assert "futures" in opened["inputs"]


def test_a_ticket_that_says_nothing_of_loading() -> None:
    """The round is then not taken apart: from empty until there, 48 - 8 - 4 = 36 min."""
    found = haul(morning(loaded=False), END + 2)
    assert found.haul is not None
    assert found.haul.out.mean_s == 0.0
    assert found.haul.back.mean_s / 60 == pytest.approx(36.0)


def test_nobody_wrote_when_they_arrived() -> None:
    """The way out then ends with the turn, waiting and all: 25 min."""
    found = haul(morning(arrived=0), END + 2)
    assert found.haul is not None
    assert found.haul.out.mean_s / 60 == pytest.approx(25.0)
    bare = haul(morning(arrived=0, loaded=False), END + 2)
    assert bare.haul is not None
    assert bare.haul.back.mean_s / 60 == pytest.approx(40.0)


@pytest.mark.parametrize(
    ("site", "minute", "why"),
    [
        (morning(3), 2 * STEP + 1, "haul.few-loads"),
        (morning(7), 6 * STEP + 1, "haul.few-rounds"),
        (morning(truck=None), END + 1, "haul.few-rounds"),
    ],
    ids=["three loads", "one round", "no trucks named"],
)
def test_too_little_to_say(site: Site, minute: float, why: str) -> None:
    found = haul(site, minute)
    assert (found.why, found.outlook, found.pace) == (why, None, None)


@pytest.mark.parametrize(("reason", "seen"), [("screed", 0), ("waiting for mix", 1)])
def test_a_paver_that_stands(reason: str, seen: int) -> None:
    """For want of mix it is forecast on; for another reason nobody knows when it goes on."""
    site = morning()
    site.write("paver", {"event": "stop", "reason": reason}, END + 9, place=at(700))
    assert len(hauls(site.facts, clock(END + 10))) == seen


def test_a_paver_that_ended_has_no_haul() -> None:
    site = morning()
    site.write("paver", {"event": "end"}, END + 9, place=at(700))
    assert hauls(site.facts, clock(END + 10)) == ()


def test_it_is_kept_until_something_is_written() -> None:
    site = morning()
    facts = site.facts
    kept = hauls(facts, clock(END + 2))
    assert hauls(facts, clock(END + 2.5)) is kept
    assert hauls(facts, clock(END + 4)) is not kept


def test_clocks_that_cannot_be() -> None:
    """Loaded after its turn, arrived before it was loaded: left out, and the rest counts on."""
    site = morning()
    take(site, 14, 14 * STEP, truck="T2", loaded=moment(14 * STEP + 40))
    take(site, 15, 15 * STEP, truck="T3", loaded=moment(15 * STEP - 25),
         arrived=moment(15 * STEP - 90))  # fmt: skip
    found = haul(site, 15 * STEP + 2)
    assert found.haul is not None
    assert found.haul.out.mean_s / 60 == pytest.approx(21.0)
    assert found.haul.out.count == 14


def test_a_pause_is_no_laying() -> None:
    site = morning()
    take(site, 14, END + 70, truck="T2")  # lunch, and nobody wrote a stop
    found = haul(site, END + 72)
    assert found.haul is not None
    assert found.haul.laying.mean_s == pytest.approx(480.0)


def test_a_truck_that_the_plant_saw_leave_is_on_its_way() -> None:
    site = morning()
    site.load("200", END + 1, by="pia", truck="T2", loaded=moment(END - 3), witness="plant")
    found = haul(site, END + 2)
    assert ("out", 5.0) in [(truck.place, truck.for_s / 60) for truck in found.trucks]
    assert len(found.trucks) == TRUCKS
    early = morning()  # a line of the plant's from before its last turn says nothing of now
    early.load("200", END + 1, by="pia", truck="T2", loaded=moment(0), witness="plant")
    assert {truck.place for truck in haul(early, END + 2).trucks} == {"back", "laying"}


def test_a_truck_that_came_to_the_other_paver_is_counted_there() -> None:
    site = morning()
    place = on("W", "binder", 0, 50, paver="P2")
    site.load("300", END + 1, place=place, truck="T2", loaded=moment(END - 20))
    assert len(haul(site, END + 2).trucks) == TRUCKS - 1


def test_a_truck_long_gone_is_left_out() -> None:
    """A round takes some 36 min after it is empty; after an hour it has gone home."""
    site = morning()
    for n in range(14, 22):
        if n % TRUCKS != 2:
            take(site, n, n * STEP, truck=f"T{n % TRUCKS}", loaded=moment(n * STEP - 25))
    places = [truck.for_s / 60 for truck in haul(site, 21 * STEP + 2).trucks]
    assert len(places) == TRUCKS - 1
    assert max(places) < 60


def test_a_truck_that_says_when_it_was_empty() -> None:
    """Discharged before the next one's turn: it left then. Before its own turn: that is no time."""
    site = morning()
    take(site, 14, 14 * STEP, truck="T2", discharged=moment(14 * STEP + 6))
    take(site, 15, 15 * STEP, truck="T3", discharged=moment(10))
    found = haul(site, 15 * STEP + 1)
    assert ("back", 3.0) in [(truck.place, truck.for_s / 60) for truck in found.trucks]
    assert ("laying", 1.0) in [(truck.place, truck.for_s / 60) for truck in found.trucks]


def test_loads_without_a_mass_and_a_paver_that_the_plan_lacks() -> None:
    """The hopper then bridges nothing."""
    found = haul(morning(net=None), END + 2)
    assert found.haul is not None
    assert found.haul.spare_s == 0.0
    site = Site(PLAN)
    site.write("paver", {"event": "start"}, 0, place=at(0, paver="P9"))
    for n in range(14):
        place = on("E", "binder", 50 * n, 50 * n + 50, paver="P9")
        site.load(str(100 + n), n * STEP, place=place, truck=f"T{n % TRUCKS}",
                  loaded=moment(n * STEP - 25))  # fmt: skip
    unknown = haul(site, END + 2)
    assert unknown.haul is not None
    assert unknown.haul.spare_s == 0.0


def test_trucks_that_arrive_in_bunches_are_held_up() -> None:
    site = Site(PLAN)
    site.write("paver", {"event": "start"}, 0, place=at(0))
    for n in range(18):
        bunch = 24.0 * (n // 3) - 10 + n % 3  # three nose to tail every 24 min
        take(site, n, n * STEP, truck=f"T{n % TRUCKS}", loaded=moment(bunch - 20),
             arrived=moment(bunch))  # fmt: skip
    found = haul(site, 17 * STEP + 2)
    assert found.haul is not None
    assert found.haul.held_up > 0.5


def test_without_a_forecast_there_is_nothing_to_add() -> None:
    assert haul(morning(3), 2 * STEP + 1).more is None
