"""The project's own Python in the browser: the same answers, and recording without it."""

import json

import pytest

from matbook.desk.open_book import OpenBook
from tests.web.harness import JOB, SHIFT, Device, reopen
from tests.web.office import demo_pairs

pytestmark = pytest.mark.browser

AT = "2030-01-01T00:00:00+00:00"


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
