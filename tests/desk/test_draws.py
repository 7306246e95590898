"""Drawn places: their order, who hears of what and when, and the check once a number is revealed.

Lane E is 3.50 m wide and 21 t lay 50 m, so that a tonne is 2.381 m. The places are worked out here
by hashes and whole numbers alone, as `engine/seeds.py` and ASTM D3665 have it.
"""

from hashlib import sha256
from typing import Any

import pytest

from matbook.book.entry import Entry
from matbook.engine.sampling import commit
from matbook.errors import NotFound, Refused
from tests.desk.asked import ask
from tests.lots.mat import WITH_LOTS
from tests.shift.site import Site, at

SECRET = "5a1be0c94f7d23680e8a7714c3b95d02"
FIELDS = 'sublots = 2\nnear = "30 t"\nmargin_left = "0.30 m"\nmargin_right = "0.50 m"\nspares = 1\n'
PLAN = WITH_LOTS.replace("sublots = 5\n", FIELDS).replace('"1000 t"', '"200 t"')


def hashed(*parts: str) -> str:
    return sha256("\n".join(parts).encode()).hexdigest()


def number(label: str, count: int) -> int:
    seed = hashed("matbook seed 1", SECRET, "4711")
    return int(hashed("matbook number 1", seed, label)[:16], 16) * count >> 64


def tonne(sublot: int, spare: int = 0) -> float:
    return 100.0 * (sublot - 1) + number(f"mat-1 {sublot} 1 {spare} along", 100_000) / 1000.0


def metres(sublot: int, spare: int = 0) -> float:
    return tonne(sublot, spare) * 50.0 / 21.0


def offset(sublot: int, spare: int = 0) -> float:
    return 0.3 + number(f"mat-1 {sublot} 1 {spare} across", 2700) / 1000.0


class Drawn:
    """A site whose first lot was committed to and contributed to."""

    def __init__(self, plan: str = PLAN) -> None:
        self.site = Site(plan)
        self.step("committed", -30, number=commit(SECRET), rules="As the plan has it.")
        self.step("contributed", -25, by="cole", number="4711")

    def step(self, step: str, minute: float, by: str = "greta", **more: Any) -> Entry:
        place = more.pop("place", {})
        body = {"step": step, "lot": "mat-1", **more}
        return self.site.write("draw", body, minute, by=by, place=place)

    def lay(self, loads: int) -> None:
        self.site.lay(["21.00 t"] * loads)

    def page(self, minute: float = 240, secret: str = SECRET, **more: Any) -> Any:
        return ask(self.site, "draw", minute, name="mat-1", secret=secret, **more)

    def calls(self, minute: float = 240, secret: str = SECRET, **more: Any) -> dict[str, Any]:
        given = {"secrets": {"mat-1": secret}, **more}
        return {
            call["id"]: call
            for call in ask(self.site, "now", minute, **given)["calls"]
            if call["code"].startswith("draw.")
        }

    def tell(self, minute: float) -> list[Entry]:
        near = [one for one in self.page(minute)["places"] if not one["id"]]
        return [
            self.site.write("draw", one["body"], minute, by="greta", place=one["place"])
            for one in near
        ]


@pytest.fixture(scope="module")
def over() -> Drawn:
    """Ten loads, 210 t; each place told when it was near; the number revealed."""
    drawn = Drawn()
    drawn.lay(10)
    for minute in range(2, 110, 10):
        drawn.tell(minute)
    drawn.step("revealed", 150, number=SECRET)
    return drawn


def test_a_place_is_told_when_it_is_near_and_not_before() -> None:
    drawn = Drawn()
    assert drawn.page()["places"] == []  # nothing is laid: nobody knows where a tonne will lie
    drawn.lay(10)
    for sublot in (1, 2):
        for minute in range(2, 110, 10):
            laid = 21.0 * (1 + (minute - 2) // 10)
            numbers = [one["number"] for one in drawn.page(minute)["places"]]
            assert (f"{sublot}" in numbers) == (laid >= tonne(sublot) - 30.0)
    (first, *_) = drawn.page(200)["places"]
    assert first["state"] == "passed"
    assert float(first["place"]["station"].partition("+")[2]) == pytest.approx(metres(1), abs=0.06)
    assert first["place"]["offset"] == f"{offset(1):.2f} m"


def test_what_is_far_ahead_is_counted_and_not_said() -> None:
    drawn = Drawn()
    drawn.lay(1)
    page = drawn.page(5)
    shown = [one["number"] for one in page["places"]]
    assert page["to_come"] == f"Places still to come: {2 - len(shown)}"
    assert f"{metres(2):.1f}" not in str(page)
    assert SECRET not in str(page)


def test_near_is_called_on_now_and_stays_from_the_contractor() -> None:
    drawn = Drawn()
    drawn.lay(10)
    assert drawn.calls(secret="") == {}
    assert set(drawn.calls()) == {"draw.passed:mat-1:1", "draw.passed:mat-1:2"}
    for call in drawn.calls().values():
        assert call["head"].endswith(" past")
        assert call["goes"] == ["draws", "mat-1"]
        assert call["line"].endswith(" m from the left edge.")
    one: dict[str, Any] = {"id": "draw.passed:mat-1:1", "secrets": {"mat-1": SECRET}}
    assert ask(drawn.site, "calls", **one) == [drawn.calls()[one["id"]]]
    assert ask(drawn.site, "calls", **one, role="contractor") == []
    assert drawn.calls(role="contractor") == {}
    assert drawn.page(role="contractor")["holds"] == "no"
    drawn.tell(150)
    calls = drawn.calls(secret="")
    assert set(calls) == {"draw.told:mat-1:1", "draw.told:mat-1:2"}
    told = calls["draw.told:mat-1:1"]
    assert f"{offset(1):.2f} m from the left edge" in told["line"]
    assert drawn.calls(role="contractor") == {}
    needs = {"basis": "maximum", "method": "gauge", "purpose": "acceptance", "percent": "93.0 %"}
    first = told["entries"][0]
    drawn.site.write("density", {**needs, "draw": first}, 160, by="tess", place=at(20))
    assert set(drawn.calls()) == {"draw.told:mat-1:2"}
    states = [one["state"] for one in drawn.page()["places"]]
    assert states == ["tested", "untested"]


def test_the_one_that_is_ahead_is_called_near() -> None:
    drawn = Drawn()
    loads = int((tonne(2) - 15.0) // 21.0) + 1  # then less than 30 t are left to the second
    drawn.lay(loads)
    minute = 10.0 * loads
    (call,) = [one for one in drawn.calls(minute).values() if one["code"] == "draw.near"]
    assert (call["id"], call["grade"]) == ("draw.near:mat-1:2", "watch")
    assert call["head"] == f"{tonne(2) - 21.0 * loads:.1f} t ahead"


def test_afterwards_everybody_works_the_places_out_again(over: Drawn) -> None:
    page = ask(over.site, "draw", 300, name="mat-1", role="contractor")
    assert page["order"] == []
    assert page["fits"].startswith("The number revealed is the one committed")
    assert len(page["agrees"]) == 2
    for sublot, said in enumerate(page["agrees"], 1):
        assert said.startswith(f"Place {sublot}: told ")
        assert f"drawn {tonne(sublot):.1f} t into the lot" in said
        assert f"{offset(sublot):.2f} m: they agree." in said
    assert over.calls(300) == {}
    assert page["can"]["told"].endswith("this place was no secret any more.")


def test_what_was_picked_does_not_agree() -> None:
    drawn = Drawn()
    drawn.lay(10)
    drawn.step("told", 1, number="1", place=at(metres(1)) | {"offset": f"{offset(1):.2f} m"})
    drawn.step("told", 2, number="2", place=at(metres(2) - 90.0) | {"offset": "1.00 m"})
    drawn.step("revealed", 150, number=SECRET)
    first, second, early = drawn.page()["agrees"]
    assert first.endswith("they agree.")
    assert second.endswith("they don’t agree.")
    assert early == "Place 2 was told 169.1 t ahead; the plan says 30.0 t at most."
    for place in (at(metres(2), "W"), at(metres(2)) | {"offset": "3.49 m"}, {}):
        other = Drawn()
        other.lay(10)
        other.step("told", 100, number="2", place=place)
        other.step("revealed", 150, number=SECRET)
        said = other.page()["agrees"]
        assert "never told" in said[0]
        assert said[1].endswith("they don’t agree.")


def test_a_blocked_place_gives_way_to_its_spare() -> None:
    drawn = Drawn()
    drawn.lay(10)
    drawn.tell(150)
    drawn.step("told", 155, number="1", blocked="a manhole")
    page = drawn.page()
    states = {one["number"]: one["state"] for one in page["places"]}
    assert states == {"1": "blocked", "2": "untested", "1/1": "passed"}
    assert f"{offset(1, 1):.2f} m" in str(page["places"][-1]["place"])
    assert any("place 1 is blocked: a manhole" in one["words"] for one in page["steps"])
    drawn.tell(160)
    assert drawn.page()["order"] == []
    drawn.step("told", 165, number="2/1", place=at(300.0))
    assert drawn.page()["order"] == ["Place 2/1 was told, though 2 wasn’t found blocked."]
    drawn.step("told", 170, number="1/1", blocked="another one")
    assert [n for n in drawn.calls() if n.startswith("draw.passed")] == []


def test_steps_out_of_order_are_said_and_refused() -> None:
    site = Site(PLAN)
    site.write("shift-open", {}, -30)
    drawn = Drawn.__new__(Drawn)
    drawn.site = site
    nothing = drawn.page(secret="")
    assert nothing["fits"] == "Nothing was drawn for this lot yet."
    assert nothing["can"]["committed"] == ""
    assert "committed first" in nothing["can"]["contributed"]
    drawn.step("told", 1, number="1", place=at(10.0))
    drawn.lay(2)
    drawn.step("committed", 30, number=commit(SECRET), by="cole")
    drawn.step("committed", 35, number=commit(SECRET))
    drawn.step("told", 36, number="2", place=at(10.0), by="cole")
    drawn.step("contributed", 40, number="4711", by="greta")
    order = " ".join(drawn.page()["order"])
    for words in (
        "must be committed first", "was laid before this", "for the owner’s people",
        "the first number counts", "must be given first", "for the contractor", "told a place",
    ):  # fmt: skip
        assert words in order, words
    assert "draw.order:mat-1" in drawn.calls()
    assert "done before" in drawn.page()["can"]["committed"]


def test_a_step_out_of_order_is_said_while_it_is_being_written() -> None:
    drawn = Drawn()

    def faults(**body: str) -> list[dict[str, str]]:
        found: list[dict[str, str]] = ask(drawn.site, "judge", kind="draw", body=body)["faults"]
        return found

    (fault,) = faults(step="committed", lot="mat-1", number="5")
    assert (fault["field"], "done before" in fault["allowed"]) == ("step", True)
    assert faults(step="told", lot="mat-1", number="1") == []
    assert faults(step="revealed", lot="of-no-rule-1", number="1") == []
    assert faults(step="told", lot="mat-2", number="1", blocked="a manhole") == []


def test_a_number_that_is_not_the_one_committed_draws_nothing() -> None:
    drawn = Drawn()
    drawn.lay(10)
    other = SECRET[::-1]
    page = drawn.page(secret=other)
    assert (page["holds"], page["places"]) == ("wrong", [])
    with pytest.raises(Refused, match="hexadecimal"):
        drawn.page(secret="short")
    assert drawn.calls(secret="short") == {}
    drawn.step("revealed", 150, number=other)
    assert "proves nothing" in drawn.page(secret="")["fits"]
    assert drawn.page(secret="")["agrees"] == []


def test_a_short_last_sublot_goes_by_the_plans_rule() -> None:
    """160 t of 200: the second sublot has 60 t, so by half it stands, drawn anew along its 60 t."""
    for short, numbers in (("half", ["1", "2"]), ("join", ["1"]), ("own", ["1", "2"])):
        drawn = Drawn(PLAN.replace("spares = 1\n", f'spares = 1\nshort = "{short}"\n'))
        drawn.site.lay(["20.00 t"] * 8)
        drawn.step("revealed", 150, number=SECRET)
        said = drawn.page()["agrees"]
        assert [one.split(":")[0].split()[-1] for one in said] == numbers, short
        if short != "join":
            along = 100.0 + number("mat-1 2 1 0 along", 60_000) / 1000.0
            assert f"drawn {along:.1f} t into the lot" in said[1]


def test_lots_by_length_go_by_the_metre() -> None:
    plan = PLAN.replace('"200 t"', '"400 m"').replace('near = "30 t"\n', "")
    drawn = Drawn(plan)
    drawn.lay(10)
    page = drawn.page()
    along = number("mat-1 1 1 0 along", 200_000) / 1000.0
    assert page["places"][0]["place"]["station"] == f"0+{along:05.1f}".replace(".0", "")
    assert "60 m or less" in " ".join(page["rules"])
    drawn.step("revealed", 150, number=SECRET)
    first, second = drawn.page()["agrees"]
    assert first.startswith(f"Place 1: never told; drawn {along:.0f} m into the lot")
    assert second.startswith("Place 2: never told")


def test_two_places_in_a_sublot_have_names_of_their_own() -> None:
    drawn = Drawn(PLAN.replace("spares = 1\n", "spares = 1\ntests = 2\n"))
    drawn.lay(10)
    assert [one["number"] for one in drawn.page()["places"]] == ["1", "1/p2", "2", "2/p2"]
    drawn.tell(150)
    drawn.step("told", 155, number="1/p2", blocked="a manhole")
    assert "1/p2/1" in [one["number"] for one in drawn.page()["places"]]
    drawn.tell(160)
    assert drawn.page()["order"] == []


def test_mix_whose_stations_are_not_known_counts_all_the_same() -> None:
    drawn = Drawn()
    drawn.site.load("101", 0, place={"lane": "E", "lift": "binder", "paver": "P1"})
    assert drawn.page(2)["places"] == []
    drawn.site.load("102", 5, place=at(0) | {"from": "0+050.0", "to": "0+100.0"})
    page = drawn.page(6)
    assert {one["number"] for one in page["places"]} <= {"1"}
    drawn.site.lay(["21.00 t"] * 10, start=100, minute=10)
    drawn.step("revealed", 200, number=SECRET)
    assert len(drawn.page(240)["agrees"]) == 1  # of the first, nobody can say where it lies
    drawn.step("told", 210, number="1", place=at(20.0))
    first, _ = drawn.page(240)["agrees"]
    assert first.endswith("drawn 11.5 t into the lot, load —, —, —: they don’t agree.")


def test_a_lane_that_ends_says_nothing_of_what_lies_beyond() -> None:
    drawn = Drawn()
    drawn.site.lay(["21.00 t"] * 2, start=1900)
    assert [one["number"] for one in drawn.page()["places"] if one["state"] == "near"] == []


def test_every_lot_that_may_be_drawn_for_is_listed(over: Drawn) -> None:
    rows = ask(over.site, "draws", 300)
    assert [(row["lot"], row["state"]) for row in rows] == [
        ("mat-1", "revealed"), ("mat-2", "nothing drawn yet"), ("mat-3", "nothing drawn yet"),
    ]  # fmt: skip
    by_day = Site(PLAN.replace('size = "200 t"\n', "").replace('near = "30 t"\n', "").replace(
        'price = "100.00"\n', ""))  # fmt: skip
    by_day.write("shift-open", {}, -30)
    assert ask(by_day, "draws") == []
    page = ask(by_day, "draw", name="mat-2026-05-12")
    assert page["rules"] == [
        "A lot by the day has no size that places could be drawn along: draw them by hand."
    ]
    assert page["places"] == []
    by_day.write("draw", {"step": "revealed", "lot": "mat-2026-05-12", "number": SECRET}, 5)
    assert ask(by_day, "draw", name="mat-2026-05-12")["agrees"] == []


def test_what_can_not_be_asked() -> None:
    drawn = Drawn()
    with pytest.raises(NotFound, match=r"it has such as: mat-1"):
        ask(drawn.site, "draw", name="wearing-1")
    with pytest.raises(Refused, match="mat-1, mat-2 and so on"):
        ask(drawn.site, "draw", name="mat-x")
    plain = Site()
    plain.write("shift-open", {}, -30)
    with pytest.raises(NotFound, match="none"):
        ask(plain, "draw", name="mat-1")
    plain.write("draw", {"step": "committed", "lot": "mat-1", "number": "x"}, 5)
    assert [c for c in ask(plain, "now")["calls"] if c["code"].startswith("draw")] == []
    drawn.site.write("draw", {"step": "committed", "lot": "mat-x", "number": "x"}, 5, by="greta")
    assert drawn.calls() == {}


def test_in_us_units_offsets_are_feet() -> None:
    drawn = Drawn(PLAN.replace('units = "metric"', 'units = "us"'))
    drawn.lay(10)
    first = drawn.page()["places"][0]
    assert first["place"]["offset"] == f"{offset(1) / 0.3048:.2f} ft"
