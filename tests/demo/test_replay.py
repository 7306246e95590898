"""The demo moved to today: sound and dated now, gone on with after a stop, beside somebody else."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from matbook.book.chain import chains
from matbook.book.entry import Entry, read_entry
from matbook.book.forms import opened
from matbook.bootstrap import Installation, open_installation
from matbook.demo.moved import JOB, Moved, Script, script
from matbook.demo.replay import BEFORE, CATCHING_UP, MOST_BEHIND, WAITS, Replay
from matbook.desk.open_book import OpenBook
from matbook.plan.reader import read_plan

NOON = datetime(2027, 3, 2, 12, 0).astimezone()
LONG = timedelta(hours=9)


@cache
def days() -> Script:
    return script()


class Site:
    """A home with the day before in it, a clock that is set by hand, and a replay."""

    def __init__(self, folder: Path) -> None:
        self.now = NOON
        self.here = replace(open_installation(folder), clock=lambda: self.now)
        self.moved = Moved(days(), NOON - BEFORE)
        pairs = [(entry.hash, entry.text) for entry in self.moved.closed(days().closed)]
        self.here.store.append(pairs, self.here.moment())

    def replay(self, speed: float = 20) -> Replay:
        return Replay(self.here, days(), self.moved, speed)

    def entries(self) -> list[Entry]:
        return [read_entry(one.text, one.hash) for one in self.here.store.entries(JOB)]

    def todays(self, kind: str = "") -> list[Entry]:
        found = [entry for entry in self.entries() if entry.shift == self.moved.shift]
        return [entry for entry in found if kind in ("", entry.kind)]

    def take(self, ticket: int, **body: str) -> None:
        """Somebody at this installation takes a load."""
        body = {"plant": "stonewick", "truck": "30", "mix": "ac16", "net": "22.00 t", **body}
        body |= {"ticket": str(ticket), "decision": "taken"}
        place = {"lane": "E", "lift": "binder", "paver": "P1"}
        self.here.write(JOB, "load", body, "ines", shift=self.moved.shift, place=place)

    def tickets(self) -> list[int]:
        return [int(load.body["ticket"]) for load in self.todays("load")]


@pytest.fixture
def site(tmp_path: Path) -> Iterator[Site]:
    made = Site(tmp_path / "home")
    yield made
    made.here.store.close()


def test_nothing_of_the_invented_dates_is_left(site: Site) -> None:
    site.now += LONG
    site.replay().write_due()
    assert len(site.todays()) == len(days().today)
    for entry in site.entries():
        assert not re.search(r"2026-06|\bJune\b", entry.text), entry.text
    assert {entry.shift for entry in site.entries()} == {
        "",
        f"{JOB}/2027-03-01/a/day",
        f"{JOB}/2027-03-02/a/day",
    }
    ids = [entry.id for entry in site.entries()]
    assert len(ids) == len(set(ids)) == len(days().closed) + len(days().today)
    assert not set(ids) & {entry.id for entry in (*days().closed, *days().today)}


def test_every_entry_is_sound_and_what_it_points_at_is_there(site: Site) -> None:
    site.now += LONG
    site.replay().write_due()
    ids = {entry.id for entry in site.entries()}
    for entry in site.entries():
        assert opened(entry).trouble == "", entry.text
        assert ids >= points_at(entry), entry.text
    assert all(chain.whole and len(chain.heads) == 1 for chain in chains(site.entries()).values())
    plan = read_plan(str(site.entries()[0].body["toml"]))
    assert "invented" in plan.job.name
    probe = plan.instruments["probe-7"]
    assert str(probe.due) > "2027-03-02", "in order in the invented week, so now too"


def test_it_catches_up_with_the_clock_and_then_keeps_to_it(site: Site) -> None:
    replay = site.replay(speed=20)
    behind = 19 * CATCHING_UP
    assert replay.reached() == NOON - behind
    replay.write_due()
    before = len(site.todays())
    assert NOON - behind - timedelta(minutes=3) < max(e.written for e in site.todays())
    site.now += CATCHING_UP / 2
    assert replay.reached() == NOON - behind + 20 * CATCHING_UP / 2
    site.now += CATCHING_UP / 2
    assert replay.reached() == site.now
    replay.write_due()
    assert len(site.todays()) > before + 30
    site.now += timedelta(minutes=5)
    assert replay.reached() == site.now
    assert replay.write_due() > 5
    assert all(entry.at <= entry.written <= site.now for entry in site.todays())


def test_at_the_speed_of_the_clock_there_is_nothing_to_catch_up_with(site: Site) -> None:
    assert site.replay(speed=1).reached() == NOON
    assert site.replay(speed=10_000).reached() == NOON - MOST_BEHIND


def test_a_replay_that_was_stopped_goes_on_where_the_book_ends(site: Site) -> None:
    first = site.replay()
    first.write_due()
    there = site.todays()
    site.now += timedelta(hours=1)
    again = site.replay(speed=1)
    assert again.write_due() == 0, "the app comes first"
    site.now += WAITS / 2
    assert again.write_due() == 0
    site.now += WAITS / 2 + CATCHING_UP
    assert again.reached() == site.now
    assert again.write_due() > 60
    assert site.todays()[: len(there)] == there
    assert all(chain.whole and len(chain.heads) == 1 for chain in chains(site.entries()).values())


def test_a_load_that_somebody_takes_is_the_replays_next_one(site: Site) -> None:
    replay = site.replay(speed=1)
    replay.write_due()
    last = max(site.tickets())
    site.take(last + 1)
    site.now += timedelta(minutes=20)
    replay.write_due()
    tickets = site.tickets()
    assert len(tickets) == len(set(tickets))
    assert last + 4 >= max(tickets) >= last + 3
    calls = now_says(site)["calls"]
    assert [call["line"][:10] for call in calls if call["code"] == "load.no-area"] == [
        f"Load {last + 1}:"
    ], "only that load's end isn't known"
    again = site.replay(speed=1)
    site.now += LONG
    again.write_due()
    assert len(site.todays("load")) == len(_loads()), "what was left out stays left out"


def test_a_number_that_is_used_is_not_used_again(site: Site) -> None:
    replay = site.replay(speed=1)
    replay.write_due()
    last = max(site.tickets())
    for ticket in (last + 1, last + 2, last + 9):
        site.take(ticket)
    site.now += LONG
    replay.write_due()
    tickets = site.tickets()
    assert len(tickets) == len(set(tickets)) == len(_loads()) - 3 + 3


def test_of_what_was_left_out_nobody_speaks(site: Site) -> None:
    replay = site.replay(speed=10_000)
    site.now -= timedelta(minutes=24)  # about when the overweight load is emptied
    site.take(5000)
    site.now = NOON + LONG
    replay.write_due()
    ids = {entry.id for entry in site.entries()}
    for entry in site.todays():
        assert ids >= points_at(entry), entry.text
    assert len(site.todays("load")) == len(_loads())


@pytest.mark.parametrize(("hour", "name"), [(6, "day"), (14, "day"), (17, "night"), (1, "night")])
def test_a_shift_that_opens_late_is_a_nights(hour: int, name: str) -> None:
    opened_at = NOON.replace(hour=hour)
    moved = Moved(days(), opened_at)
    assert moved.shift == f"{JOB}/2027-03-02/a/{name}"
    assert moved.closed_shift == f"{JOB}/2027-03-01/a/day"


MINUTES = (0, 2, 5, 15, 40, 70, 90, 150, 175)
"""After the replay began; the paver stands at none of them."""


@pytest.mark.parametrize(
    "minutes", [m if m % 70 == 0 else pytest.param(m, marks=pytest.mark.long) for m in MINUTES]
)
def test_an_inspector_would_believe_it(site: Site, minutes: int) -> None:
    """What Now says at any time: a paver's pace, mix of the day, nothing that no day would have."""
    site.now += timedelta(minutes=minutes)
    site.replay(speed=1).write_due()
    now = now_says(site)
    answers = {answer["name"]: answer for answer in now["answers"]}
    assert 6 <= float(answers["haul"]["number"].split()[0]) <= 13
    assert abs(float(answers["yield"]["number"].replace("−", "-").split()[0])) < 3
    assert answers["due"]["state"] in ("fine", "watch")
    assert {call["code"] for call in now["calls"]} <= {
        "custody.broken",
        "strip.due",
        "instrument.overdue",
        "list.not-done",  # the same thermometer, as the morning's list has it
        "seen.load",
        "lot.stop-early",  # the second lot's first two results are low
        "rolling.behind",  # the second roller is slow for a while
        "rolling.unlikely",
        "notice.answered-open",
        "notice.unanswered",
        "reading.beyond",
        "load.overweight",
        "load.temperature",
        "paver.stands",
        "paver.stood",
        "ticket.missing",
        *("depth.drift", "depth.wait", "depth.check"),  # the screed creeps up and is set down
        *("haul.last", "haul.enough", "haul.soon"),  # the lane's end comes near
    }
    ages = re.findall(r"(\d+) h \d+ min ago", " ".join(call["small"] for call in now["calls"]))
    assert all(int(hours) < 6 or 20 <= int(hours) <= 30 for hours in ages)


def now_says(site: Site) -> Any:
    """What Now says of today's shift."""
    book = OpenBook(JOB)
    book.add((entry.hash, entry.text) for entry in site.entries())
    return book.ask("now", {"shift": site.moved.shift, "at": site.now.isoformat()})


def points_at(entry: Entry) -> set[str]:
    """Ids of the entries that one names."""
    about = entry.body.get("about", ())
    said = [about] if isinstance(about, str) else [*about]
    said += [entry.body.get("load", ""), entry.body.get("notice", ""), entry.strikes]
    return set(said) - {""}


def _loads() -> list[Entry]:
    return [entry for entry in days().today if entry.kind == "load"]


def test_the_installation_is_a_device_of_its_own(site: Site) -> None:
    """So that the tests above do write beside the replay, and not on one of its devices."""
    here: Installation = site.here
    assert here.device not in {entry.device for entry in (*days().closed, *days().today)}
