"""The plan in force at any moment."""

import json
from collections.abc import Sequence
from datetime import timedelta
from functools import partial

import pytest

from matbook.book.entry import Entry
from matbook.plan.changes import NO_PLAN, Change, Plans
from matbook.plan.reader import read_plan
from tests.plan.plans import PLAN, quickest, spoilt
from tests.scribe import DAY, Scribe

SPREAD = {"path": "lifts/surface/spread", "old": "118 kg/m2", "new": "115 kg/m2", "agreed": "dale"}


@pytest.fixture
def scribe() -> Scribe:
    return Scribe()


def first(scribe: Scribe, minute: float = 0) -> Entry:
    return scribe.write("plan", {"toml": PLAN}, minute)


def spread_at(plans: Plans, minute: float) -> float | None:
    return plans.at(DAY + timedelta(minutes=minute)).lifts["surface"].spread_kg_m2


def trouble(*entries: Entry) -> str:
    """The one reason why the last of these couldn't be applied."""
    plans = Plans.of(entries)
    ((entry, sentence),) = plans.troubles
    assert entry is entries[-1]
    return sentence


def test_without_a_plan_nothing_is_planned() -> None:
    plans = Plans.of([])
    assert plans.at(DAY) is plans.latest is NO_PLAN
    assert (plans.latest.limits, plans.latest.lanes) == ((), {})
    assert (plans.changes, plans.troubles) == ((), ())


def test_the_first_plan_holds_before_it_too(scribe: Scribe) -> None:
    plans = Plans.of([first(scribe, 30)])
    assert plans.at(DAY) == plans.at(DAY + timedelta(hours=9)) == plans.latest == read_plan(PLAN)


def test_a_change_holds_from_its_moment_on(scribe: Scribe) -> None:
    entries = [first(scribe), scribe.write("plan", SPREAD, 90, why="base is even")]
    plans = Plans.of(entries)
    assert spread_at(plans, 89.9) == 118.0
    assert spread_at(plans, 90) == 115.0
    assert plans.latest.document["lifts"][0]["spread"] == "115 kg/m2"
    assert plans.changes == (
        Change(entries[1], "lifts/surface/spread", "118 kg/m2", "115 kg/m2", "dale"),
    )
    assert plans.changes[0].entry.why == "base is even"
    assert plans.troubles == ()


def test_changes_build_on_one_another_in_reading_order(scribe: Scribe) -> None:
    entries = [
        first(scribe),
        scribe.write("plan", {**SPREAD, "old": "115 kg/m2", "new": "112 kg/m2"}, 120),
        scribe.write("plan", SPREAD, 90),
    ]
    for order in (entries, entries[::-1]):
        plans = Plans.of(order)
        assert [spread_at(plans, minute) for minute in (0, 100, 130)] == [118.0, 115.0, 112.0]
        assert plans.troubles == ()


def test_adding_and_taking_away(scribe: Scribe) -> None:
    plans = Plans.of(
        [
            first(scribe),
            scribe.write("plan", {"path": "job/contract", "new": "MC-1"}, 1),
            scribe.write("plan", {"path": "lifts/surface/budget", "old": "435 t"}, 2),
            scribe.write(
                "plan", {"path": "people/bo", "new": '{"name": "Bo", "role": "plant"}'}, 3
            ),
        ]
    )
    assert plans.troubles == ()
    assert plans.latest.job.contract == "MC-1"
    assert plans.latest.lifts["surface"].budget_kg is None
    assert plans.latest.people["bo"].name == "Bo"
    assert [(change.old, change.new) for change in plans.changes][:2] == [
        ("", "MC-1"),
        ("435 t", ""),
    ]


def test_a_whole_new_plan_replaces_from_its_moment_and_its_differences_are_listed(
    scribe: Scribe,
) -> None:
    text = spoilt('"118 kg/m2"', '"116 kg/m2"', 'number = "5.0"', 'number = "4.0"')
    new = scribe.write("plan", {"toml": text}, 60)
    plans = Plans.of([first(scribe), new, scribe.write("plan", SPREAD, 30)])
    assert [spread_at(plans, minute) for minute in (0, 40, 70)] == [118.0, 115.0, 116.0]
    assert [(each.path, each.old, each.new) for each in plans.changes] == [
        ("lifts/surface/spread", "118 kg/m2", "115 kg/m2"),
        ("lifts/surface/spread", "115 kg/m2", "116 kg/m2"),
        ("limits/yield-last/number", "5.0", "4.0"),
    ]
    assert plans.changes[1].entry is new


def test_a_change_that_cannot_be_made_is_kept_with_its_reason(scribe: Scribe) -> None:
    plan = first(scribe)
    bodies: Sequence[tuple[dict[str, str], str]] = [
        ({**SPREAD, "old": "117 kg/m2"}, "old is “117 kg/m2”; the plan has “118 kg/m2” there."),
        (
            {"path": "lifts/surface/spread", "new": "1 t"},
            "old is “nothing”; the plan has “118 kg/m2” there.",
        ),
        ({**SPREAD, "path": "job/contract"}, "old is “118 kg/m2”; the plan has nothing there."),
        ({**SPREAD, "path": "lifts/top/spread"}, "old is “118 kg/m2”; the plan has nothing there."),
        (
            {**SPREAD, "path": "lift/surface/spread"},
            "path is “lift/surface/spread”; at “lift”, there is no such name among what there is "
            "(did you mean “lifts”?).",
        ),
        (
            {**SPREAD, "new": "115 kg"},
            "lifts[1] “surface”, spread: spread is “115 kg”; "
            "it must be a spread from 5 kg/m2 to 1500 kg/m2, its unit beside it.",
        ),
        (
            {"path": "mixes/ac11", "old": _mix()},
            "mixes: mixes is missing; it must be a list of tables, written [[mixes]] before each. "
            "(And 2 more.)",
        ),
        ({}, "plan entry is “empty”; it must hold the text of a plan, or a path into it."),
        (
            {"toml": "matbook = \n"},
            "line 1, column 11: This is not TOML as plans are written in: Invalid value.",
        ),
        (
            {"toml": "matbook = 1"},
            "job: job is missing; it must be a table, written [job]. (And 6 more.)",
        ),
        (
            {
                "toml": PLAN.replace(
                    'id = "ridge"\nname = "Ridge Road"\nowner', 'id = "vale"\nname = "Vale"\nowner'
                )
            },
            "job id is “vale”; it must stay “ridge”.",
        ),
    ]
    for body, sentence in bodies:
        found = trouble(plan, scribe.write("plan", body, 30))
        assert found == sentence
        assert Plans.of([plan]).latest == Plans.of([plan, scribe.write("plan", body, 31)]).latest


def _mix() -> str:
    mix = read_plan(PLAN).document["mixes"][0]
    return json.dumps({name: value for name, value in mix.items() if name != "id"})


def test_a_change_needs_a_plan(scribe: Scribe) -> None:
    assert "no plan yet" in trouble(scribe.write("plan", SPREAD, 30))


def test_changes_after_a_refused_one_still_hold(scribe: Scribe) -> None:
    plans = Plans.of(
        [
            first(scribe),
            scribe.write("plan", {**SPREAD, "old": "1 kg/m2"}, 10),
            scribe.write("plan", SPREAD, 20),
        ]
    )
    assert spread_at(plans, 30) == 115.0
    assert len(plans.troubles) == len(plans.changes) == 1


def test_a_change_is_read_in_under_10_ms_and_remembered(scribe: Scribe) -> None:
    """Changes that were never read before, with all that they need."""
    plan = first(scribe)
    books = [
        [plan, scribe.write("plan", {**SPREAD, "new": f"{100 + number}.5 kg/m2"}, 10)]
        for number in range(8)
    ]
    Plans.of([plan])
    assert quickest([partial(Plans.of, entries) for entries in books]) < 0.010
    assert all(Plans.of(entries).latest is Plans.of(entries).latest for entries in books)
