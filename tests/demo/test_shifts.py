"""The demo's shifts as they fold: what they call for, and nothing that no day would have."""

import json
import re
from collections import Counter
from datetime import UTC, datetime
from functools import cache
from typing import Final
from zoneinfo import ZoneInfo

import pytest

from matbook.book.entry import Entry, read_entry
from matbook.book.pen import Pen, ShiftName
from matbook.demo import JOBS, files
from matbook.desk.job import JobBook
from matbook.plan.reader import read_plan
from matbook.records.sheets import read_sheet
from matbook.records.tickets import TicketFile, tickets
from matbook.shift.facts import facts_as_known
from matbook.shift.loads import Load
from matbook.shift.view import View, view

DAY, NEXT = "harrow/2026-06-16/a/day", "harrow/2026-06-17/a/day"
NIGHT: Final = "kestrel/2026-10-31/b/night"
LATER: Final = datetime(2027, 1, 1, tzinfo=UTC)

CALLS: Final = {
    DAY: {
        # for somebody to act on, or to watch
        "load.overweight": 1,
        "ticket.repeated": 1,
        "ticket.missing": 1,
        "tie.mass": 1,
        "load.differs": 1,
        "load.back-too-soon": 1,
        "reading.beyond": 2,
        "notice.unanswered": 1,
        "notice.answered-open": 1,
        "book.contested": 1,
        "book.disagreement": 1,
        "yield.was": 1,
        "markings.not-present": 1,
        "instrument.overdue": 1,
        # for a reader to know
        "load.temperature": 2,
        "load.mix-wrong": 1,
        "paver.stood": 1,
        "seen.load": 3,
        "list.due": 1,  # a line of the evening's list that nobody looked at
        "list.not-done": 1,
    },
    NEXT: {"notice.answered-open": 1, "instrument.overdue": 1, "list.not-done": 1},
    NIGHT: {
        "load.overweight": 1,
        "load.age": 1,
        "haul.twice": 1,  # by its back-dated ticket, load 88273's truck was still at the paver
        "load.differs": 1,
        "markings.not-present": 1,
        "instrument.overdue": 1,
        "reading.beyond": 1,
        "notice.unanswered": 1,
        "paver.stood": 1,
        "seen.mat": 1,
    },
}
shifts = pytest.mark.parametrize("shift", CALLS)


@cache
def entries(job: str) -> tuple[Entry, ...]:
    lines = files(job)["entries.jsonl"].read_text("utf-8").splitlines()
    return tuple(read_entry(json.loads(line)["text"]) for line in lines)


@cache
def ticket_file(job: str) -> TicketFile:
    plan = read_plan(files(job)["plan.toml"].read_text("utf-8"))
    (name,) = (name for name in files(job) if name.endswith(".csv"))
    (shift,) = (s for s in CALLS if s.startswith(f"{job}/{name[8:18]}/"))
    (plant,) = plan.plants.values()
    sheet = read_sheet(files(job)[name].read_bytes(), name, tuple(plant.columns.values()))
    zone = ZoneInfo(plan.job.time_zone)

    def offset_at(at: datetime, fold: int) -> str:
        return at.replace(tzinfo=zone, fold=fold).isoformat()[-6:]

    return tickets(sheet, plan, plant.id, ShiftName.read(shift), offset_at, LATER)


@cache
def book(job: str) -> JobBook:
    """What people wrote, and the plant's file as the desk at the plant would send it in."""
    written = entries(job)[-1].data["written"]
    pen = Pen("plant-file", "rika" if job == "harrow" else "tess")
    found = []
    for draft in ticket_file(job).drafts:
        entry, pen = pen.write(
            draft.id,
            job,
            "load",
            draft.body,
            at=draft.at,
            written=written,
            shift=str(ticket_file(job).shift),
        )
        found.append(entry)
    return JobBook([*entries(job), *found])


def at_the_end(shift: str) -> View:
    own = [entry.written for entry in entries(shift.partition("/")[0]) if entry.shift == shift]
    return book(shift.partition("/")[0]).view(shift, max(own))


def as_known(shift: str, at: str) -> View:
    """A shift as people could see it at a moment, the plant's file not yet there."""
    now = datetime.fromisoformat(at)
    return view(facts_as_known(ShiftName.read(shift), entries("harrow"), now), now)


def load(shift: str, number: str) -> Load:
    return next(load for load in at_the_end(shift).loads if load.number == number)


def test_the_jobs_have_these_shifts() -> None:
    assert [shift for job in JOBS for shift in book(job).shifts] == list(CALLS)


@pytest.mark.parametrize("job", JOBS)
def test_every_row_of_the_ticket_file_is_taken(job: str) -> None:
    assert ticket_file(job).refused == []
    assert {column.how for column in ticket_file(job).mapping.values()} == {"plan"}


@shifts
def test_nothing_rests_in_quarantine_or_was_refused(shift: str) -> None:
    facts = at_the_end(shift).facts
    states = Counter(facts.state(entry) for entry in facts.entries())
    assert states.keys() <= {"stands", "struck", "contender"}
    assert facts.plans.troubles == ()


@shifts
def test_a_shift_calls_for_what_its_story_has_and_nothing_else(shift: str) -> None:
    assert Counter(call.code for call in at_the_end(shift).calls) == CALLS[shift]


@shifts
def test_every_load_is_accounted_for(shift: str) -> None:
    seen = at_the_end(shift)
    states = {account.state for account in seen.accounts}
    assert states <= {"placed", "part used", "turned away", "void"}
    assert all(found.seen_on_road for found in seen.loads)


@shifts
def test_yields_are_near_what_is_planned(shift: str) -> None:
    seen = at_the_end(shift)
    assert seen.shift_yield is not None
    for found in (seen.shift_yield, *seen.by_course.values()):
        assert found.deviation is not None
        assert abs(found.deviation.value) < 1.0
    own = [row.own.deviation.value for row in seen.rows if row.own.deviation]
    assert all(abs(pct) < 8.0 for pct in own)


def test_yield_drifts_over_for_half_an_hour_and_is_mended() -> None:
    said = {}
    for clock in ("10:40", "10:47", "10:58", "11:20"):
        seen = as_known(DAY, f"2026-06-16T{clock}:00-03:00")
        said[clock] = [call for call in seen.calls if call.code == "yield.last"]
    assert [len(calls) for calls in said.values()] == [0, 1, 1, 0]
    (first,), (second,) = said["10:47"], said["10:58"]
    assert 5.0 < float(str(first.says["pct"])) < 6.5
    told = as_known(DAY, "2026-06-16T10:58:00-03:00").told(second)
    assert told is not None
    assert told.settled


def test_the_wrong_station_is_in_yield_until_it_is_struck() -> None:
    before = as_known(DAY, "2026-06-16T10:11:00-03:00").rows[-1].piece
    after = as_known(DAY, "2026-06-16T10:13:00-03:00").rows[-1].piece
    assert (before.part.load.number, after.part.load.number) == ("1036", "1036")
    assert after.to_m - before.to_m == pytest.approx(18.0)


def test_the_plan_changes_at_one() -> None:
    plans = at_the_end(DAY).facts.plans
    (change,) = plans.changes
    assert (change.old, change.new) == ("141 kg/m2", "139 kg/m2")
    noon, later = (
        plans.at(datetime.fromisoformat(f"2026-06-16T{clock}-03:00"))
        for clock in ("12:59:59", "13:00:00")
    )
    assert noon.lifts["binder"].spread_kg_m2 == 141.0
    assert later.lifts["binder"].spread_kg_m2 == 139.0


def test_the_next_day_goes_on_from_where_the_first_ended() -> None:
    first, last = at_the_end(NEXT).pieces[0], at_the_end(DAY).pieces[-1]
    assert first.inferred
    assert first.from_m == last.to_m
    assert len(at_the_end(NEXT).pieces) == 10


def test_the_returned_part_is_weighed_back() -> None:
    account = next(a for a in at_the_end(DAY).accounts if a.load.number == "1112")
    assert account.mass_to("returned") == pytest.approx(8920.0)
    assert account.mass_to("area") == pytest.approx(300.0)
    assert account.state == "part used"


def test_the_split_load_lies_in_both_lanes_and_a_driveway() -> None:
    parts = next(a for a in at_the_end(NIGHT).accounts if a.load.number == "88319").parts
    where = [(part.to, part.fact.place("lane")) for part in parts]
    assert sorted(where) == [("area", "2"), ("mainline", "1"), ("mainline", "2")]


def test_the_hour_that_comes_twice_is_told_by_the_order_of_the_rows() -> None:
    """The plant's file has no offset; the road's entries do. One ticket is back-dated."""
    seen = at_the_end(NIGHT)
    apart = []
    for found in seen.loads:
        moments = [fact.moment("loaded") for fact in (found.fact, *found.witnesses)]
        if len(set(moments)) > 1:
            apart.append(found.number)
    assert apart == ["88273"]


@pytest.mark.parametrize("job", JOBS)
def test_the_readme_names_loads_that_are_there(job: str) -> None:
    numbers = {str(entry.body["ticket"]) for entry in entries(job) if entry.kind == "load"}
    text = files(job)["README.md"].read_text("utf-8")
    named = set(re.findall(r"(?:load|ticket) (\d{4,5})", text))
    assert len(named) >= 6
    assert named <= numbers
