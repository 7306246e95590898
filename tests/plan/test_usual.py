"""The usual ranges of what a plan holds: every limit that ships lies within them."""

from importlib import resources

import pytest

from matbook.plan.changes import NO_PLAN
from matbook.plan.limit_sets import ReadyLimit, limit_sets
from matbook.plan.model import Limit
from matbook.plan.quantities import quantities
from matbook.plan.reader import read_plan
from matbook.plan.usual import Usual, usual_at
from tests.shift.site import PLAN

READY = [(held.name, row) for held in limit_sets().values() for row in held.rows.values()]


def usual(limit: Limit) -> bool:
    return Usual(*quantities()[limit.quantity].usual, limit.unit).holds(limit.number)


@pytest.mark.parametrize(("name", "row"), READY, ids=[f"{name}/{row.id}" for name, row in READY])
def test_a_ready_made_limit_is_not_asked_about(name: str, row: ReadyLimit) -> None:
    assert usual(row.limit(name))


@pytest.mark.parametrize("job", ["harrow", "kestrel"])
def test_the_plans_of_the_invented_jobs_are_not_asked_about(job: str) -> None:
    text = (resources.files("matbook.demo") / job / "plan.toml").read_text(encoding="utf-8")
    assert [limit.id for limit in read_plan(text).limits if not usual(limit)] == []


@pytest.mark.parametrize(
    ("path", "within", "beyond"),
    [
        ("lifts/binder/spread", ["20 kg/m2", "118 kg/m2", "217 lb/yd2"], ["1180 kg/m2", "5 kg/m2"]),
        ("lifts/binder/budget", ["1700 t"], ["1 t", "9000000 t"]),
        ("mixes/ac16/temperatures/delivery/low", ["115 degC", "239 degF"], ["15 degC", "240 degC"]),
        ("limits/depth/number", ["6", "6.5"], ["60", "0"]),
        ("limits/ramp/number", ["20"], ["2000"]),
    ],
)
def test_what_is_usual(path: str, within: list[str], beyond: list[str]) -> None:
    held = usual_at(read_plan(PLAN), path)
    assert held is not None
    assert [held.holds(text) for text in (*within, *beyond)] == [True] * len(within) + [
        False
    ] * len(beyond)


@pytest.mark.parametrize("path", ["limits/gone/number", "people/ana/name", "lifts/binder/lanes"])
def test_of_some_things_any_value_is_as_usual_as_another(path: str) -> None:
    assert usual_at(NO_PLAN, path) is None
