"""Kills, copies, clones and a full disk, in Chromium against the real server: nothing is lost."""

import json
import shutil
import time
from contextlib import closing
from pathlib import Path

import pytest
from playwright.sync_api import Playwright

from tests.web.harness import (
    JOB,
    SHIFT,
    Carried,
    Device,
    assert_once_each,
    device,
    hashes,
    reopen,
    set_room,
)
from tests.web.office import Office

pytestmark = pytest.mark.browser


def test_what_is_kept_survives_a_kill(
    play: Playwright, tmp_path: Path, built: Path, office: Office
) -> None:
    with closing(Carried(play, tmp_path / "killed", built, office.address)) as carried:
        found = carried.phone
        kept = found.write(*(f"load {n}" for n in range(20)))
        found.run("await m.saveDraft('load', { net: '22.4' })")
        found = carried.kill()
        assert len(kept) == 20
        assert set(found.hashes()) == set(kept)
        assert found.run("return m.loadDraft('load')") == {"net": "22.4"}
        assert found.run("return m.drafts()") == ["load"]


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
