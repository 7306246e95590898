"""A whole shift with no signal, on two devices: nothing lost, nothing twice, the same figures."""

import random
import shutil
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest
from playwright.sync_api import Page, Playwright, expect

from tests.web.before import Before
from tests.web.day import (
    BY_THE_INSPECTOR,
    BY_THE_TECHNICIAN,
    QUESTIONS,
    Line,
    Writer,
    answers_of,
    answers_on,
    assert_same_figures,
    lines,
    planned,
)
from tests.web.hand import begin, take_a_load
from tests.web.harness import JOB, Carried, Device, assert_once_each, device, hashes, reopen
from tests.web.office import Office, home_with

pytestmark = pytest.mark.browser

TOUCHED = 3
"""Loads that are taken through the screens."""


@pytest.fixture
def office(tmp_path: Path, before: Before) -> Iterator[Office]:
    served = before.serving(home_with(tmp_path, planned()))
    yield served
    served.kill()


def parted(todo: list[Line], *loads: int) -> Iterator[list[Line]]:
    """The lines in parts that end with the load of these numbers; the last part is the rest."""
    counted, part, ends = 0, list[Line](), list(loads)
    for line in todo:
        part.append(line)
        counted += line.draft["kind"] == "load"
        if ends and counted == ends[0]:
            yield part
            part = []
            del ends[0]
    yield part


@pytest.fixture
def folder(
    play: Playwright, tmp_path: Path, before: Before, built: Path, office: Office
) -> Iterator[Path]:
    """Where the profiles of three phones are; they are large, and pytest keeps folders."""
    made = tmp_path / "phones"
    for name in ("first", "second", "third"):
        before.new(play, made / name, built, office)
    yield made
    shutil.rmtree(made)


@pytest.fixture
def first(play: Playwright, folder: Path, built: Path, office: Office) -> Iterator[Carried]:
    with closing(Carried(play, folder / "first", built, office.address)) as carried:
        yield carried


def test_a_shift_with_no_signal_is_the_same_everywhere_after_one_sync(
    play: Playwright, folder: Path, built: Path, office: Office, first: Carried
) -> None:
    opening, morning, touched, noon, evening = parted(
        lines("ines", BY_THE_INSPECTOR), 1, 54, 54 + TOUCHED, 80
    )
    ines, bo = Writer(), Writer()
    with device(play, folder / "second", built, office.address, "bo") as second:
        ines.write(first.phone, opening)
        set_right(first.phone)
        for one in (first.phone, second):
            assert one.sync()["unsent"] == 0
        app = first.phone.context.new_page()
        begin(app, office)
        office.kill()

        ines.write(first.phone, morning)
        reopen(first.phone)
        by_hand = take_loads(first.phone, app, touched)
        ines.write(first.phone, noon)
        first.kill()
        ines.write(first.phone, evening)
        bo.write(second, lines("bo", BY_THE_TECHNICIAN))
        strikes = [
            strike(first.phone, ines.ids[opening[-1].was], "24.40 t"),
            strike(second, ines.ids[opening[-1].was], "24.20 t", "greta"),
        ]
        assert answers_on(first.phone) == answers_of(first.phone.run("return m.pairs(a)", JOB))

        office.start()
        for one in (first.phone, second, first.phone):
            set_right(one)
            state = one.sync()
            assert (state["unsent"], state["refused"], state["trouble"]) == (0, 0, None)
        with device(play, folder / "third", built, office.address, "greta") as third:
            third.sync()
            planned_hashes = [digest for digest, _ in planned()]
            written = [*planned_hashes, *ines.hashes, *bo.hashes, *by_hand, *strikes]
            assert sorted(hashes(office)) == sorted(written)
            assert_once_each(office, first.phone, second, third)
            expected = assert_same_figures(office, first.phone, second, third)
        seen = expected[QUESTIONS.index(("now", {"language": "en"}))]
        assert "book.contested" in [call["code"] for call in seen["calls"]]
        app = first.phone.context.new_page()
        app.goto(office.address)
        for place, answer in enumerate(seen["answers"]):
            expect(app.locator(".answer .number").nth(place)).to_have_text(answer["number"])


def take_loads(phone: Device, app: Page, instead: list[Line]) -> list[str]:
    """Take loads through the screens when these were taken; returns their hashes."""
    before = set(phone.hashes())
    for line in (line for line in instead if line.draft["kind"] == "load"):
        phone.page.clock.set_fixed_time(line.at)
        take_a_load(app)
    return [digest for digest in phone.hashes() if digest not in before]


def strike(phone: Device, load: str, net: str, person: str = "ines") -> str:
    """Correct the mass of a load, whatever another device says; returns the hash."""
    found: str = phone.run(
        """
        await m.setMe({ person: a.person });
        const { body, place } = JSON.parse((await m.entryNamed(a.job, a.load)).text);
        const draft = { job: a.job, kind: 'load', body: { ...body, net: a.net }, place };
        return (await m.correct(a.load, { ...draft, why: 'misread' })).hash;
        """,
        {"job": JOB, "load": load, "net": net, "person": person},
    )
    return found


def set_right(phone: Device) -> None:
    """Let the device's clock go on from the time it really is."""
    phone.page.clock.set_system_time(datetime.now(UTC))


@pytest.mark.long
@pytest.mark.parametrize("seed", range(6))
def test_kills_and_reloads_anywhere_change_nothing(
    play: Playwright, folder: Path, built: Path, office: Office, first: Carried, seed: int
) -> None:
    dice, ines, bo = random.Random(seed), Writer(), Writer()
    todo = lines("ines", BY_THE_INSPECTOR)
    with device(play, folder / "second", built, office.address, "bo") as second:
        while todo:
            some = dice.randint(5, 40)
            ines.write(first.phone, todo[:some])
            todo = todo[some:]
            happens = dice.choice(["reload", "kill", "no network", "half sent"])
            if happens == "reload":
                reopen(first.phone)
            elif happens == "kill":
                first.kill()
            elif happens == "no network":
                office.kill()
                first.phone.sync()
                office.start()
            else:
                first.phone.run("window.sync = new m.Sync(a); window.going = sync.now()", JOB)
                office.kill()
                first.phone.run("await window.going")
                office.start()
        bo.write(second, lines("bo", BY_THE_TECHNICIAN))
        for one in (first.phone, second, first.phone):
            set_right(one)
            assert one.sync()["unsent"] == 0
        written = [*(digest for digest, _ in planned()), *ines.hashes, *bo.hashes]
        assert sorted(hashes(office)) == sorted(written)
        assert_once_each(office, first.phone, second)
        assert_same_figures(office, first.phone, second)
