"""The starter plan: read by a newcomer, and by the machine without a mistake."""

import re
import tomllib
from typing import Literal

import pytest

from matbook.engine.spread import area, mass_for
from matbook.plan.form import ROOT, form
from matbook.plan.reader import read_plan
from matbook.plan.starter import starter

Units = Literal["metric", "us"]
BOTH: tuple[Units, ...] = ("metric", "us")
FROM_THE_JOB = re.compile(
    r"from your|from its|from the mix design|measure it|as measured|reading is in|left out, it is"
    r"|of the tickets|mm at|in at|control strip|version of this form|practice"
    r"|Indiana|Florida DOT|FAA P-401|then one of every|Handbook 2000|agree it"
    r"|Virginia method|makers' manuals|WAQTC FOP"
)


@pytest.mark.parametrize("units", BOTH)
def test_it_reads_without_a_mistake(units: Units) -> None:
    plan = read_plan(starter(units))
    assert plan.job.units == units
    assert len(plan.limits) == 6
    assert {person.role for person in plan.people.values()} >= {"inspector", "contractor", "plant"}


def test_metric_is_what_one_gets_unasked() -> None:
    assert starter() == starter("metric")


@pytest.mark.parametrize("units", BOTH)
def test_every_table_is_shown(units: Units) -> None:
    written = {re.sub(r"[\[\]# ]", "", line) for line in starter(units).splitlines()}
    for name, field in form()[ROOT].fields.items():
        if name in ("acceptance", "schedules"):
            continue  # for plans from before there were lots; taken in from a file of its own
        if name in ("composites", "deductions"):
            assert f"# [[{name}]]" in starter(units)
            continue
        assert name in tomllib.loads(starter(units)), name
        assert field.type not in ("table", "tables") or name in written


@pytest.mark.parametrize("units", BOTH)
def test_every_number_says_where_it_comes_from(units: Units) -> None:
    """Names, dates, stations and labels are no such numbers."""
    unlabelled = []
    lines = starter(units).splitlines()
    for line, after in zip(lines, [*lines[1:], ""], strict=True):
        value, _, comment = line.partition("#")
        name, _, given = value.partition(" = ")
        if not re.fullmatch(r'"?-?[\d.]+( [^"]+)?"?', given.strip()) or name in NO_NUMBERS:
            continue
        if not FROM_THE_JOB.search(comment + after.partition("#")[2]):
            unlabelled.append(line)
    assert unlabelled == []


NO_NUMBERS = ("id", "phone", "clause", "calibrated", "due", "every", "from", "to")


@pytest.mark.parametrize("units", BOTH)
def test_what_stands_behind_a_hash_as_an_example_is_toml(units: Units) -> None:
    examples = re.findall(r"(?:^# (?:\w+ = |[ \]}]|\[\[).*\n)+", starter(units), re.MULTILINE)
    assert len(examples) == 11
    for example in examples:
        assert tomllib.loads(re.sub(r"^# ", "", example, flags=re.MULTILINE))


@pytest.mark.parametrize("units", BOTH)
def test_its_numbers_go_together(units: Units) -> None:
    """The budget is area x spread, and the spread is thickness x density, as printed."""
    plan = read_plan(starter(units))
    lift, density = plan.lifts["surface"], plan.mixes["surface-mix"].density_kg_m3
    area_m2 = [area(lane.widths, lane.from_m, lane.to_m) for lane in plan.lanes.values()]
    assert lift.spread_kg_m2 is not None
    assert lift.thickness_m is not None
    assert density is not None
    assert lift.thickness_m * density == pytest.approx(lift.spread_kg_m2, rel=1e-9)
    budget_kg = mass_for(2 * area_m2[0], lift.spread_kg_m2)
    assert area_m2[0] == pytest.approx(area_m2[1])
    assert lift.budget_kg == pytest.approx(budget_kg, abs=500.0)  # printed in whole t or ton
