"""What the loads call for: limits, weights, numbers, two witnesses, and where they went."""

from typing import Any

import pytest

from matbook.shift.carry import Carry
from tests.shift.site import PLAN, Site, clock, moment, on

PLACED = on("E", "binder", 0, 50)


def codes(site: Site, *leave_out: str) -> set[str]:
    """The codes of all calls but those of checks due."""
    return {c.code for c in site.calls() if not c.code.startswith(("check.", *leave_out))}


def one(**body: Any) -> Site:
    site = Site()
    site.load("101", 60, place=PLACED, **body)
    return site


def test_a_load_in_order_calls_for_nothing() -> None:
    site = one(temp="140 degC", loaded=moment(0), gross="33.00 t", tare="12.00 t",
               job_on_ticket="FC-7")  # fmt: skip
    assert codes(site) == set()


# Temperature and age


def test_a_cold_load_is_called_by_its_gravest_limit() -> None:
    """112 degC is below both what is watched (125) and what is acted on (115)."""
    call = one(temp="112 degC").call("load.temperature")
    assert (call.grade, call.limit and call.limit.number) == ("act", "115")
    assert (call.tell, call.says["value"], str(call.says["by"])) == (("pia",), 112.0, "3")
    assert one(temp="120 degC").call("load.temperature").grade == "watch"
    assert one(temp="181 degC").call("load.temperature").says["side"] == "max"


def test_the_limits_printed_digits_decide() -> None:
    """115: 114.5 rounds to 114 by half to even, 114.6 to 115."""
    assert one(temp="114.6 degC").calls("load.temperature")[0].grade == "watch"
    assert one(temp="114.5 degC").call("load.temperature").grade == "act"


def test_infrared_and_the_plants_ticket_are_not_judged() -> None:
    for how in ("infrared", "ticket"):
        assert one(temp="90 degC", temp_how=how).calls("load.temperature") == ()


def test_a_cold_load_turned_away_is_only_noted() -> None:
    call = one(temp="101 degC", decision="turned away").call("load.temperature")
    assert (call.grade, call.says["decision"]) == ("note", "turned away")


def test_an_old_load() -> None:
    site = one(loaded=moment(0), discharged=moment(91))
    call = site.call("load.age")
    assert (call.grade, call.says["value"], call.says["unit"]) == ("act", 91.0, "min")
    assert one(loaded=moment(0), discharged=moment(90)).calls("load.age") == ()


# Weight


def test_a_truck_over_its_legal_gross() -> None:
    call = one(gross="36.50 t", tare="12.00 t", net="24.50 t").call("load.overweight")
    assert (call.grade, call.says["kg"], call.says["legal_kg"]) == ("act", 500.0, 36_000.0)
    assert one(gross="36.00 t", tare="12.00 t", net="24.00 t").calls("load.overweight") == ()


def test_gross_is_net_and_the_trucks_own_tare_where_none_is_printed() -> None:
    assert one(net="24.20 t").call("load.overweight").says["gross_kg"] == 36_200.0


def test_a_truck_by_its_axles_and_the_law_it_names() -> None:
    """Five axles: 40 t by Directive 96/53/EC, Annex I (second hand)."""
    call = one(truck="14", net="26.50 t", gross="40.10 t", tare="13.60 t").call("load.overweight")
    assert call.says["kg"] == pytest.approx(100.0)
    assert one(truck="14", net="26.40 t", gross="40.00 t").calls("load.overweight") == ()


def test_a_truck_without_a_law_or_unknown_is_not_weighed() -> None:
    for truck in ("12", "99", None):
        assert one(truck=truck, gross="60.00 t", tare="39.00 t").calls("load.overweight") == ()


def test_a_gross_below_its_tare() -> None:
    site = one(gross="11.00 t", tare="12.00 t")
    assert codes(site) == {"load.gross-below-tare"}
    assert one(net=None, gross="11.00 t", tare="12.00 t").call("load.gross-below-tare")


def test_a_ticket_that_does_not_add_up() -> None:
    call = one(gross="33.00 t", tare="12.00 t", net="21.50 t").call("load.does-not-add-up")
    assert call.says["kg"] == pytest.approx(500.0)
    assert codes(one(gross="33.00 t", tare="12.00 t", net="21.02 t")) == set()
    assert one(gross="33.00 t", tare="12.00 t", net="20.979 t").calls("load.does-not-add-up")


def test_a_load_emptied_before_it_was_loaded() -> None:
    call = one(loaded=moment(75)).call("load.loaded-later")
    assert (call.grade, call.says["minutes"]) == ("watch", 15.0)
    assert one(loaded=moment(60)).calls("load.loaded-later") == ()


def test_a_load_without_a_mass() -> None:
    assert codes(one(net=None)) == {"load.no-mass"}
    assert codes(one(net=None, decision="void")) == set()


# Mix and job


@pytest.mark.parametrize(
    ("body", "code", "says"),
    [
        ({"mix": "ac8"}, "load.mix-wrong", {"mix": "ac8", "wanted": "ac16"}),
        ({"mix": "ac22"}, "load.mix-unknown", {"mix": "ac22"}),
        ({"job_on_ticket": "FC-8"}, "load.job-wrong", {"job": "FC-8"}),
    ],
)
def test_a_load_of_the_wrong_mix_or_job(
    body: dict[str, str], code: str, says: dict[str, str]
) -> None:
    call = one(**body).call(code)
    assert call.grade == "act"
    assert {name: call.says[name] for name in says} == says
    assert one(**body, decision="turned away").call(code).grade == "note"


def test_the_job_may_be_named_by_id_contract_or_name() -> None:
    for name in ("ridge", "FC-7", "Ridge Road"):
        assert codes(one(job_on_ticket=name)) == set()


def test_the_wrong_mix_is_seen_where_a_part_of_the_load_went() -> None:
    """The load itself was written at the truck, without a place."""
    site = Site()
    load = site.load("101", mix="ac8")
    site.write("placed", {"load": load.id, "to": "mainline"}, 5, place=PLACED)
    call = site.call("load.mix-wrong")
    assert (call.says["wanted"], call.subject) == ("ac16", load.id)


def test_a_load_without_a_mix_is_not_called_wrong() -> None:
    assert codes(one(mix=None)) == set()


# Two witnesses


def test_what_the_plant_and_the_road_say_differently() -> None:
    site = one()
    site.load("101", 60, by="pia", witness="plant", truck="12", net="21.40 t")
    calls = {c.says["field"]: c for c in site.calls("load.differs")}
    assert calls["truck"].says["theirs"] == "12"
    assert calls["net"].says == {
        "load": "101", "field": "net", "ours": "21.00 t", "theirs": "21.40 t",
    }  # fmt: skip


def test_a_load_that_only_the_plant_wrote_down() -> None:
    site = Site()
    site.load("101", by="pia", witness="plant", place=PLACED)
    assert site.call("load.unseen").grade == "note"
    void = Site()
    void.load("101", by="pia", witness="plant", decision="void")
    assert void.calls("load.unseen") == ()


def test_a_contested_load_says_how_many_versions_it_has() -> None:
    site = Site()
    first = site.load("101", 60, place=PLACED)
    for by in ("ana", "greta"):
        site.load("101", 60, by=by, strikes=first.id, why="x", place=PLACED)
    assert site.call("load.contested").says["count"] == 2


# Numbers


def test_a_repeated_and_a_missing_number() -> None:
    site = Site()
    for n, number in enumerate(["101", "101", "103", "106"]):
        site.load(number, n, place=on("E", "binder", 50 * n, 50 * n + 50))
    repeated = site.call("ticket.repeated")
    assert (repeated.grade, repeated.says["count"], len(repeated.entries)) == ("act", 2, 2)
    assert (repeated.subject, repeated.says["number"]) == ("north/101", "101")
    assert repeated.at == clock(1)
    missing = site.calls("ticket.missing")
    assert [(c.says["numbers"], c.says["count"], c.says["after"]) for c in missing] == [
        ("104–105", 2, "106"),
        ("102", 1, "103"),
    ]


def test_a_number_out_of_order() -> None:
    site = Site()
    for n, number in enumerate(["101", "103", "102"]):
        site.load(number, n, place=on("E", "binder", 50 * n, 50 * n + 50))
    assert site.call("ticket.out-of-order").says["load"] == "102"


def test_numbers_go_on_from_the_shift_before() -> None:
    site = one()
    carry = Carry(tickets={"north": 99})
    assert site.call("ticket.missing", carry=carry).says["numbers"] == "100"


# Back too soon


def back(minutes: float, net: str = "21.20 t", **body: Any) -> Site:
    site = Site()
    site.load("101", 0, decision="turned away", temp="101 degC")
    site.load("102", minutes, net=net, place=PLACED, **body)
    return site


def test_a_turned_away_truck_that_is_back_too_soon_with_a_similar_load() -> None:
    call = back(45).call("load.back-too-soon")
    assert (call.says["before"], call.says["minutes"], call.grade) == ("101", 45.0, "watch")
    assert call.says["kg"] == pytest.approx(200.0)
    assert len(call.entries) == 2


@pytest.mark.parametrize(
    ("minutes", "body"),
    [
        (60, {}),
        (45, {"net": "21.60 t"}),
        (45, {"truck": "12"}),
        (45, {"decision": "turned away"}),
    ],
    ids=["long enough", "another mass", "another truck", "turned away again"],
)
def test_a_truck_that_may_well_have_been_loaded_again(minutes: float, body: Any) -> None:
    assert back(minutes, **body).calls("load.back-too-soon") == ()


def test_a_truck_turned_away_twice_is_held_against_the_second_time() -> None:
    site = back(20, decision="turned away")
    site.load("103", 70, net="21.00 t", place=PLACED)
    assert site.call("load.back-too-soon").says["minutes"] == 50.0


def test_without_a_mass_nothing_is_similar() -> None:
    site = Site()
    site.load("101", 0, decision="turned away", net=None)
    site.load("102", 30, place=PLACED)
    assert site.calls("load.back-too-soon") == ()


def test_a_plan_that_does_not_say_what_is_similar_suspects_nobody() -> None:
    site = Site(PLAN.replace('quantity = "mass.similar"', 'quantity = "age"').replace(
        'number = "0.50"\nunit = "t"', 'number = "500"\nunit = "min"'))  # fmt: skip
    site.load("101", 0, decision="turned away")
    site.load("102", 30, place=PLACED)
    assert site.calls("load.back-too-soon") == ()


# Where loads went


def test_more_placed_than_the_truck_brought() -> None:
    site = Site()
    load = site.load("101")
    body = {"load": load.id, "to": "mainline", "mass": "22.00 t"}
    site.write("placed", body, 5, place=PLACED)
    assert site.call("load.over-placed").says["kg"] == pytest.approx(1_000.0)


def test_a_load_whose_place_nobody_wrote() -> None:
    site = Site()
    site.load("101")
    assert site.call("load.not-placed").says["kg"] == 21_000.0


def test_a_part_whose_length_is_not_known() -> None:
    site = Site()
    site.load("101", place=on("E", "binder", 50, 50))
    assert site.call("load.no-area").says["missing"] == "length"


def test_loads_that_wait_for_a_station_are_one_call() -> None:
    """It asks for nothing until the shift is closed: then no station comes any more."""
    site = Site()
    site.load("101", place=on("E", "binder", 0))
    site.load("102", 10, place=on("E", "binder"))
    call = site.call("load.no-station")
    assert (call.grade, call.says) == ("note", {"n": 2, "first": "101", "last": "102"})
    assert len(call.entries) == 2
    site.write("shift-close", {}, 20)
    assert site.call("load.no-station").grade == "watch"


def test_a_part_of_a_load_that_is_not_here() -> None:
    site = Site()
    lost = site.write("placed", {"load": "01890000-0000-7000-8000-000000000001", "to": "waste"})
    assert site.call("part.no-load").entries == (lost.id,)


def test_a_part_placed_of_a_load_that_was_turned_away() -> None:
    """One of the two is wrong, and the mass counts nowhere until somebody says which."""
    site = Site()
    load = site.load("101", decision="turned away")
    site.write("placed", {"load": load.id, "to": "mainline"}, 5, place=PLACED)
    call = site.call("load.placed-not-taken")
    assert (call.grade, call.says["decision"]) == ("watch", "turned away")


# The tie with the plant


def tied(count: int, mass: str, **more: str) -> Site:
    """Two loads taken, one turned away, one void: 42 t, or 63 t with the one turned away."""
    site = Site()
    for n in range(2):
        site.load(str(101 + n), n, place=on("E", "binder", 50 * n, 50 * n + 50))
    site.load("103", 5, decision="turned away")
    site.load("104", 6, decision="void")
    site.load("7", 7, plant="south", mix="ac8", net="16.80 t", place=on("E", "surface", 0, 50))
    site.write("tie-out", {"plant": "north", "count": count, "mass": mass, **more}, 200, by="pia")
    return site


@pytest.mark.parametrize(("count", "mass"), [(2, "42.00 t"), (3, "63.00 t"), (2, "42.004 t")])
def test_a_plant_that_counts_and_sums_as_we_do(count: int, mass: str) -> None:
    assert codes(tied(count, mass), "load.") == set()


def test_a_plant_that_counts_another_number_of_loads() -> None:
    call = tied(4, "42.00 t").call("tie.count")
    assert (call.grade, call.says["theirs"], call.says["ours"], call.says["turned"]) == (
        "act", 4, 2, 1,
    )  # fmt: skip


def test_a_plant_that_sums_to_another_mass() -> None:
    assert tied(2, "42.006 t").call("tie.mass")
    call = tied(2, "42.20 t").call("tie.mass")
    assert call.says["kg"] == pytest.approx(200.0)
    assert (call.says["theirs_kg"], call.says["ours_kg"]) == (42_200.0, 42_000.0)


def test_a_tie_for_one_mix() -> None:
    assert codes(tied(2, "42.00 t", mix="ac16"), "load.") == set()
    assert tied(2, "42.00 t", mix="ac8").call("tie.count").says["ours"] == 0


def test_a_call_is_of_the_moment_it_speaks_of() -> None:
    assert one(temp="101 degC").call("load.temperature").at == clock(60)
