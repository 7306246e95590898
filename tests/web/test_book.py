"""The book on the device, in Chromium and against the real server: nothing lost, nothing twice."""

import json
import os
import shutil
import signal
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest
from playwright.sync_api import Error as PlaywrightError
from playwright.sync_api import Playwright, sync_playwright

from matbook.desk.open_book import OpenBook
from tests.scribe import Scribe
from tests.web.harness import JOB, SHIFT, Device, build, device, reopen, set_room
from tests.web.test_app import Office, demo_pairs, office

__all__ = ["office"]  # the fixture
pytestmark = pytest.mark.browser

LOADS = 110
AT = "2030-01-01T00:00:00+00:00"


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return build(tmp_path_factory.mktemp("harness"))


@pytest.fixture(scope="module")
def play() -> Iterator[Playwright]:
    with sync_playwright() as playwright:
        yield playwright


@pytest.fixture
def phone(play: Playwright, tmp_path: Path, built: Path, office: Office) -> Iterator[Device]:
    with device(play, tmp_path / "phone", built, office.address) as found:
        yield found


def hashes(office: Office) -> list[str]:
    return [one["hash"] for one in office.entries(JOB)]


def assert_once_each(office: Office, *devices: Device) -> None:
    """The server and every device hold the same entries, once each."""
    there = hashes(office)
    assert len(there) == len(set(there))
    for one in devices:
        here = one.hashes()
        assert len(here) == len(set(here))
        assert set(here) == set(there)


def test_a_day_written_with_no_signal_is_on_every_device_once(
    play: Playwright, tmp_path: Path, built: Path, office: Office, phone: Device
) -> None:
    before = set(hashes(office))
    office.kill()
    kept = phone.write(*(f"load {n}" for n in range(LOADS // 2)))
    reopen(phone)
    assert set(phone.hashes()) == set(kept)
    kept += phone.write(*(f"load {n}" for n in range(LOADS // 2, LOADS)))
    away = phone.sync()
    assert (away["unsent"], away["reached"], away["trouble"]) == (LOADS, False, None)
    office.start()
    assert phone.sync()["unsent"] == 0
    assert set(hashes(office)) == before | set(kept)
    with device(play, tmp_path / "second", built, office.address, "mario") as second:
        second.write("from the second")
        assert second.sync()["reached"]
        assert phone.sync()["unsent"] == 0
        assert_once_each(office, phone, second)
        assert phone.hashes() == second.hashes()


def test_what_is_kept_survives_a_kill(
    play: Playwright, tmp_path: Path, built: Path, office: Office
) -> None:
    profile = tmp_path / "killed"
    kept: list[str] = []
    # A browser that was killed may be gone by the time it is asked to close; what was written
    # before that is looked at below.
    with (
        suppress(PlaywrightError),
        device(play, profile, built, office.address) as found,
    ):
        kept = found.write(*(f"load {n}" for n in range(20)))
        found.run("await m.saveDraft('load', { net: '22.4' })")
        for process in processes_of(profile):
            os.kill(process, signal.SIGKILL)
    assert len(kept) == 20
    for lock in profile.glob("Singleton*"):
        lock.unlink()
    with device(play, profile, built, office.address) as found:
        assert set(found.hashes()) == set(kept)
        assert found.run("return m.loadDraft('load')") == {"net": "22.4"}
        assert found.run("return m.drafts()") == ["load"]


def processes_of(profile: Path) -> list[int]:
    """The browser that was started on this profile: its first process; the others end with it."""
    found = []
    for path in Path("/proc").glob("[0-9]*/cmdline"):
        words = path.read_bytes().split(b"\0")
        if f"--user-data-dir={profile}".encode() in words and b"--headless" in b" ".join(words):
            found.append(int(path.parent.name))
    assert found
    return found


def test_two_tabs_write_one_chain(phone: Device, built: Path) -> None:
    page = phone.context.new_page()
    other = Device(phone.context, page, phone.address)
    reopen(other)
    script = """
        const write = (n) =>
          m.keep({ job: a.job, shift: a.shift, kind: 'note', body: { text: `${a.tab} ${n}` } });
        window.writing = Promise.all([...Array(40).keys()].map(write));
    """
    for tab, one in (("left", phone), ("right", other)):
        one.run(script, {"job": JOB, "shift": SHIFT, "tab": tab})
    for one in (phone, other):
        one.run("await window.writing")
    entries = [json.loads(pair["text"]) for pair in phone.run("return m.pairs(a)", JOB)]
    assert sorted(entry["seq"] for entry in entries) == list(range(1, 81))
    assert phone.run("return m.forks(a)", JOB) == []


def test_a_server_killed_while_it_takes_a_batch_gets_all_of_it_once(
    office: Office, phone: Device
) -> None:
    before = len(hashes(office))
    phone.write(*(f"load {n}" for n in range(60)))
    phone.run("window.sync = new m.Sync(a); window.going = window.sync.now()", JOB)
    office.kill()
    phone.run("await window.going")
    office.start()
    phone.sync()
    assert phone.unsent() == 0
    assert len(hashes(office)) == before + 60
    assert_once_each(office, phone)


def test_a_server_put_back_from_a_copy_gets_back_what_it_lacks(
    play: Playwright, tmp_path: Path, built: Path, office: Office, phone: Device
) -> None:
    phone.write("before the copy")
    phone.sync()
    office.kill()
    shutil.copytree(office.home, tmp_path / "yesterday")
    office.start()
    with device(play, tmp_path / "second", built, office.address, "mario") as second:
        second.write("lost with the server", "this too")
        second.sync()
    phone.write("after the copy")
    phone.sync()
    expected = set(phone.hashes())
    office.kill()
    shutil.rmtree(office.home)
    shutil.copytree(tmp_path / "yesterday", office.home)
    office.start()
    assert set(hashes(office)) < expected
    state = phone.sync()
    assert (state["unsent"], state["trouble"]) == (0, None)
    assert set(hashes(office)) == expected
    assert phone.told() == ["app.sync.again"]
    assert_once_each(office, phone)


def test_a_copy_is_noticed_even_where_the_last_entry_stands_as_before(
    play: Playwright, tmp_path: Path, built: Path, office: Office, phone: Device
) -> None:
    office.kill()
    shutil.copytree(office.home, tmp_path / "yesterday")
    office.start()
    kept = phone.write("lost with the server", "handed on by file")
    assert phone.sync()["unsent"] == 0
    place = hashes(office).index(kept[1])
    office.kill()
    shutil.rmtree(office.home)
    shutil.copytree(tmp_path / "yesterday", office.home)
    office.start()
    time.sleep(1.1)  # the server's times of receipt are to the second
    line = phone.run(
        "return (await m.pairs(a.job)).find((one) => one.hash === a.hash)",
        {"job": JOB, "hash": kept[1]},
    )
    with device(play, tmp_path / "second", built, office.address, "mario") as second:
        second.write("never seen by the first")
        second.sync()
        given = {"job": JOB, "text": json.dumps(line)}
        second.run("await m.takeBack(a.job, new Blob([a.text]))", given)
        second.sync()
        assert hashes(office).index(kept[1]) == place
        assert phone.sync()["unsent"] == 0
        assert kept[0] in hashes(office)
        second.sync()
        assert_once_each(office, phone, second)


def test_a_full_device_says_so_and_loses_nothing(
    play: Playwright, tmp_path: Path, built: Path, office: Office
) -> None:
    fill = """
        const body = { text: 'x'.repeat(1900) };
        const kept = [];
        try {
          for (let n = 0; n < 500; n += 1) {
            kept.push((await m.keep({ job: a, kind: 'note', body })).hash);
          }
        } catch (error) {
          return { kept, code: error.code, sentence: error.sentence };
        }
        return { kept };
    """
    with device(play, tmp_path / "full", built, office.address, room=300_000) as phone:
        found = phone.run(fill, JOB)
        assert found.get("code") == "app.storage-full", found
        assert "free some space" in found["sentence"]
        assert 0 < len(found["kept"]) < 500
        assert phone.hashes() == found["kept"]
        set_room(phone, None)
        last = phone.write("there is room again")
        reopen(phone)
        assert phone.hashes() == found["kept"] + last
        pairs = phone.run("return m.pairs(a)", JOB)
        chain = [json.loads(pair["text"])["seq"] for pair in pairs]
        assert chain == list(range(1, len(chain) + 1))
        assert phone.sync()["unsent"] == 0
        assert_once_each(office, phone)


def test_a_cloned_device_takes_a_new_name_and_both_are_kept(
    play: Playwright, tmp_path: Path, built: Path, office: Office
) -> None:
    with device(play, tmp_path / "one", built, office.address) as first:
        first.write("on both")
        first.sync()
    shutil.copytree(tmp_path / "one", tmp_path / "two")
    with (
        device(play, tmp_path / "one", built, office.address) as first,
        device(play, tmp_path / "two", built, office.address) as clone,
    ):
        assert first.name() == clone.name()
        first.write("by the first", "and again")
        first.sync()
        clone.write("by the clone", "once more")
        clone.sync()
        assert clone.name() != first.name()
        assert sorted(clone.told()) == ["app.sync.copied", "app.sync.fork"]
        clone.write("under the new name")
        assert clone.sync()["unsent"] == 0
        first.sync()
        assert_once_each(office, first, clone)
        assert [fork["numbers"] for fork in first.run("return m.forks(a)", JOB)] == [[2, 3]]


def test_a_contested_strike_reads_the_same_on_both_devices(
    play: Playwright, tmp_path: Path, built: Path, office: Office, phone: Device
) -> None:
    phone.write("22.40, misread")
    phone.sync()
    strike = """
        const pairs = await m.pairs(a.job);
        const read = pairs.map(({ text }) => JSON.parse(text));
        const struck = read.find((entry) => entry.body.text === a.text);
        const body = { text: a.by };
        const draft = { job: a.job, kind: 'note', body, why: 'misread' };
        const kept = await m.correct(struck.id, draft);
        return [kept.entry.data.at === struck.at, kept.entry.data.shift, kept.entry.data.strikes];
    """
    with device(play, tmp_path / "second", built, office.address) as second:
        second.sync()
        for by, one in (("24.40", phone), ("24.20", second)):
            moved, shift, strikes = one.run(
                strike, {"job": JOB, "text": "22.40, misread", "by": by}
            )
            assert (moved, shift, len(strikes)) == (True, SHIFT, 36)
        for one in (phone, second, phone):
            one.sync()
        assert_once_each(office, phone, second)
        books = [OpenBook(JOB), OpenBook(JOB)]
        for book, one in zip(books, (phone, second), strict=True):
            book.add((pair["hash"], pair["text"]) for pair in one.run("return m.pairs(a)", JOB))
        given = {"shift": SHIFT, "search": "", "at": AT}
        shown = [book.ask("entries", given) for book in books]
        assert shown[0] == shown[1]


def test_what_the_form_does_not_take_is_refused_field_by_field(phone: Device) -> None:
    said = phone.run(
        """
        const body = { plant: 'north', decision: 'taken', net: '220 t', ticket: '' };
        const draft = { job: a, kind: 'load', body, place: { lane: '' } };
        try {
          await m.keep(draft);
        } catch (error) {
          return [error.code, error.faults.map((fault) => fault.field), error.sentence];
        }
        """,
        JOB,
    )
    assert said[:2] == ["refused", ["net", "ticket", "place.lane"]]
    assert "net is “220 t”; it must be from 0 t to 80 t." in said[2]
    assert phone.hashes() == []


def test_nothing_is_kept_without_a_name(phone: Device) -> None:
    phone.run("await m.setMe({ person: '' })")
    said = phone.run(
        """
        const kept = m.keep({ job: a, kind: 'note', body: { text: 'x' } });
        return kept.then(() => null, (error) => error.code);
        """,
        JOB,
    )
    assert said == "app.keep.nobody"


def test_a_file_of_a_shift_is_taken_back_once_and_its_faults_are_named(
    play: Playwright, tmp_path: Path, built: Path, office: Office, phone: Device
) -> None:
    kept = phone.write("one", "two")
    text = phone.run("return (await m.bundle(a.job, a.shift)).text()", {"job": JOB, "shift": SHIFT})
    assert [json.loads(line)["hash"] for line in text.splitlines()] == kept
    lines = text.splitlines()
    spoilt = "\n".join([*lines, "{", '{"hash": "x"}', lines[0].replace("one", "One"), ""])
    with device(play, tmp_path / "fresh", built, office.address) as fresh:
        took = fresh.run(
            "return m.takeBack(a.job, new Blob([a.text]))", {"job": JOB, "text": spoilt}
        )
        assert (took["taken"], took["had"]) == (2, 0)
        assert [one["line"] for one in took["refused"]] == [3, 4, 5]
        assert "was changed after it was written" in took["refused"][2]["why"]
        again = fresh.run(
            "return m.takeBack(a.job, new Blob([a.text]))", {"job": JOB, "text": text}
        )
        assert (again["taken"], again["had"]) == (0, 2)
        assert fresh.hashes() == kept
        assert fresh.unsent() == 2
        fresh.sync()
        assert set(kept) <= set(hashes(office))


def test_more_than_a_batch_and_a_page_goes_up_and_comes_down_in_order(
    play: Playwright, tmp_path: Path, built: Path, office: Office, phone: Device
) -> None:
    scribe = Scribe("phone-1", "mario", JOB)
    entries = [scribe.write("note", {"text": f"{n}"}, n / 4, shift=SHIFT) for n in range(1300)]
    lines = [json.dumps({"hash": entry.hash, "text": entry.text}) for entry in reversed(entries)]
    given = {"job": JOB, "text": "\n".join(lines)}
    took = phone.run("return m.takeBack(a.job, new Blob([a.text]))", given)
    assert took == {"taken": 1300, "had": 0, "refused": []}
    assert phone.unsent() == 1300
    assert phone.sync()["unsent"] == 0
    with device(play, tmp_path / "fresh", built, office.address) as fresh:
        state = fresh.sync()
        assert (state["unsent"], state["trouble"]) == (0, None)
        mine = [one for one in fresh.hashes() if one in {entry.hash for entry in entries}]
        assert mine == [entry.hash for entry in entries]
        assert fresh.hashes() == phone.hashes()


def test_a_photo_goes_up_after_its_entry_and_comes_back_whole(
    office: Office, phone: Device
) -> None:
    found = phone.run(
        """
        const canvas = document.createElement('canvas');
        canvas.width = canvas.height = 900;
        const pen = canvas.getContext('2d');
        const noise = pen.createImageData(900, 900);
        for (let at = 0; at < noise.data.length; at += 65536) {
          crypto.getRandomValues(noise.data.subarray(at, at + 65536));
        }
        for (let at = 3; at < noise.data.length; at += 4) noise.data[at] = 255;
        pen.putImageData(noise, 0, 0);
        const blob = await new Promise((done) => canvas.toBlob(done, 'image/png'));
        const kept = await m.keepPhoto(a, blob, 'mat.png');
        return { ...kept, small: (await m.photo(a, kept.hash)).size };
        """,
        JOB,
    )
    assert found["bytes"] > 1024 * 1024
    assert found["small"] < found["bytes"] / 10
    state = phone.sync()
    assert (state["unsentFiles"], state["trouble"]) == (1, None)
    phone.run(
        """
        const body = { file: a.hash };
        await m.keep({ job: a.job, shift: a.shift, kind: 'photo', body });
        """,
        {"job": JOB, "shift": SHIFT, "hash": found["hash"]},
    )
    state = phone.sync()
    assert (state["unsentFiles"], state["trouble"]) == (0, None)
    got = phone.run(
        "return (await (await m.photo(a[0], a[1])).arrayBuffer()).byteLength",
        [JOB, found["hash"]],
    )
    assert got == found["small"]


def test_python_in_the_browser_answers_as_python_in_the_office(phone: Device) -> None:
    pairs = [{"hash": digest, "text": text} for digest, text in demo_pairs()]
    given = {"shift": "harrow/2026-06-16/a/day", "at": "2026-06-16T11:00:00-03:00"}
    found = phone.run(
        """
        window.core = m.startCore({ base: document.baseURI });
        await core.ready;
        const added = await core.open(a.job, a.pairs);
        const now = await core.ask('now', a.given);
        const begin = performance.now();
        await core.ask('now', a.given);
        const took = performance.now() - begin;
        const refused = await core.ask('nothing').catch((error) => [error.code, error.sentence]);
        const kept = added.filter((one) => one.state === 'kept').length;
        return { state: core.state, kept, now, refused, took };
        """,
        {"job": JOB, "pairs": pairs, "given": given},
    )
    book = OpenBook(JOB)
    book.add((pair["hash"], pair["text"]) for pair in pairs)
    assert found["state"] == "ready"
    assert found["kept"] == len(pairs)
    assert found["now"] == json.loads(json.dumps(book.ask("now", given)))
    assert found["refused"][0] == "not-found"
    print(f"now, asked again: {found['took']:.0f} ms in the browser")


def test_the_core_follows_the_book_from_any_tab(phone: Device) -> None:
    phone.run(
        """
        window.changes = 0;
        window.core = m.startCore({ base: document.baseURI });
        await core.ready;
        await m.mirror(core, a, () => (window.changes += 1));
        """,
        JOB,
    )
    page = phone.context.new_page()
    other = Device(phone.context, page, phone.address)
    reopen(other)
    other.write("from the other tab")
    phone.write("from this tab")
    phone.wait("window.changes >= 3")
    rows = phone.run("return core.ask('entries', a)", {"shift": SHIFT, "search": "", "at": AT})
    assert len(rows) == 2


def test_writing_goes_on_where_python_cannot_be_had(phone: Device) -> None:
    state = phone.run(
        """
        const core = m.startCore({ base: `${location.origin}/harness/nowhere/` });
        await core.ready.catch(() => undefined);
        return core.state;
        """
    )
    assert state == "failed"
    assert len(phone.write("all the same")) == 1


def test_sync_runs_by_itself_and_hears_of_others(
    play: Playwright, tmp_path: Path, built: Path, office: Office, phone: Device
) -> None:
    phone.run("window.sync = new m.Sync(a); window.sync.start()", JOB)
    phone.wait("window.sync.state.lastReached !== null")
    phone.write("goes out unasked")
    phone.wait("window.sync.state.unsent === 0", 5)
    with device(play, tmp_path / "second", built, office.address) as second:
        kept = second.write("comes in unasked")
        second.sync()
        until = time.monotonic() + 8
        while kept[0] not in phone.hashes() and time.monotonic() < until:
            time.sleep(0.1)
        assert kept[0] in phone.hashes()
    office.kill()
    phone.write("with the server dead")
    phone.wait("window.sync.state.reached === false", 15)
    assert phone.unsent() == 1
    office.start()
    phone.page.evaluate("window.dispatchEvent(new Event('focus'))")
    phone.wait("window.sync.state.unsent === 0", 15)


def test_an_entry_is_kept_within_50_ms(phone: Device) -> None:
    took = phone.run(
        """
        const times = [];
        for (let n = 0; n < 60; n += 1) {
          const begin = performance.now();
          await m.keep({ job: a, kind: 'note', body: { text: `${n}` } });
          times.push(performance.now() - begin);
        }
        return times.sort((x, y) => x - y);
        """,
        JOB,
    )
    print(f"entry kept: median {took[30]:.1f} ms, slowest of 60 {took[-1]:.1f} ms")
    assert took[30] < 50
