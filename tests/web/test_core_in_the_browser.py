"""The project's own Python in the browser: the same answers, and recording without it."""

import hashlib
import json
from typing import Any
from urllib.parse import quote

import pytest

from matbook.desk.open_book import OpenBook
from tests.web.harness import JOB, SHIFT, Device, reopen
from tests.web.office import demo_pairs
from tools.write_web import core_files, core_name

pytestmark = pytest.mark.browser

AT = "2030-01-01T00:00:00+00:00"


PAIRS = [{"hash": digest, "text": text} for digest, text in demo_pairs()]
GIVEN = {"shift": "harrow/2026-06-16/a/day", "at": "2026-06-16T11:00:00-03:00"}
ASKED = {"job": JOB, "pairs": PAIRS, "given": GIVEN}
STARTED = """
    const core = m.startCore({ base: document.baseURI });
    await core.ready;
    await core.open(a.job, a.pairs);
    const now = await core.ask('now', a.given);
    return { woken: core.woken, now };
"""
IMAGE = """
    (async () => {
        const cache = await caches.open('python');
        const [key] = await cache.keys();
        const held = key && (await cache.match(key));
        return held ? [key.url, (await held.arrayBuffer()).byteLength] : ['', 0];
    })()
"""
"""The address of Python's image on the device, and its length."""


def in_the_office() -> Any:
    """What Python in the office answers."""
    book = OpenBook(JOB)
    book.add((pair["hash"], pair["text"]) for pair in PAIRS)
    return json.loads(json.dumps(book.ask("now", GIVEN)))


NONSENSE = bytes(64)


def put_an_image(phone: Device, sha256: str) -> str:
    """Have the device hold an image that is none; returns its address."""
    agent = quote(phone.run("return navigator.userAgent"), safe="!*'()")
    url: str = phone.run(
        """
        const url = new URL(a.address, location.origin).href;
        const cache = await caches.open('python');
        const image = new Response(new Uint8Array(64), { headers: { sha256: a.sha256 } });
        await cache.put(url, image);
        return url;
        """,
        {"address": f"/{core_name(core_files())}.image?{agent}", "sha256": sha256},
    )
    assert phone.page.evaluate(IMAGE) == [url, len(NONSENSE)]
    return url


@pytest.mark.long
def test_python_answers_as_in_the_office_started_and_woken(phone: Device) -> None:
    """An image that is nonsense is passed by, and a true one put in its place."""
    url = put_an_image(phone, hashlib.sha256(NONSENSE).hexdigest())
    found = phone.run(
        """
        window.core = m.startCore({ base: document.baseURI });
        await core.ready;
        const added = await core.open(a.job, a.pairs);
        const now = await core.ask('now', a.given);
        const refused = await core.ask('nothing').catch((error) => [error.code, error.sentence]);
        const woken = core.woken;
        const kept = added.filter((one) => one.state === 'kept').length;
        return { state: core.state, woken, kept, now, refused };
        """,
        ASKED,
    )
    assert (found["state"], found["woken"]) == ("ready", False)
    assert found["kept"] == len(PAIRS)
    assert found["now"] == in_the_office()
    assert found["refused"][0] == "not-found"
    phone.wait(f"{IMAGE}.then(([at, bytes]) => at === '{url}' && bytes > 1e6)", 60)
    again = phone.run(STARTED, ASKED)
    assert again["woken"]
    assert again["now"] == found["now"]


@pytest.mark.long
def test_a_damaged_image_is_replaced(phone: Device) -> None:
    url = put_an_image(phone, "0" * 64)
    found = phone.run(STARTED, ASKED)
    assert not found["woken"]
    assert found["now"] == in_the_office()
    phone.wait(f"{IMAGE}.then(([at, bytes]) => at === '{url}' && bytes > 1e6)", 60)


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
