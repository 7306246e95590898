"""The app in WebKitGTK, the other engine that phones have: written with no signal, then sent."""

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.web.harness import JOB
from tests.web.office import Office
from tests.web.webkit import WebKit, driver

pytestmark = pytest.mark.browser


@pytest.fixture
def webkit(tmp_path: Path) -> Iterator[WebKit]:
    with driver(tmp_path) as address:
        found = WebKit(address, tmp_path / "profile")
        yield found
        found.close()


def take_a_load(page: WebKit, net: str) -> None:
    page.press("Load")
    for key in net:
        page.press(key, "div[contains(@class, 'pad')]")
    page.press("Take")
    page.sees("no truck")
    page.press("Take")
    page.wait("!document.querySelector('.pad')")
    page.sees("Kept: Load")


@pytest.mark.long
def test_a_load_is_written_with_no_signal_outlives_a_kill_and_arrives_once(
    webkit: WebKit, office: Office
) -> None:
    before = {one["hash"] for one in office.entries(JOB)}
    webkit.goto(office.address)
    webkit.press("Harrowfen")
    webkit.press("Ines Tarrow")
    webkit.press("Open the book")
    webkit.wait("document.querySelector('.answer[href]')")
    webkit.wait("navigator.serviceWorker.controller")
    office.kill()
    take_a_load(webkit, "2240")
    webkit.sees("1 entry not sent yet")
    webkit.reload()
    webkit.sees("1 entry not sent yet")
    webkit.wait("document.querySelector('.answer[href]')")
    take_a_load(webkit, "2180")
    webkit.kill()
    webkit.start()
    webkit.goto(office.address)
    webkit.sees("2 entries not sent yet")
    office.start()
    webkit.sees("All sent")
    after = office.entries(JOB)
    fresh = [json.loads(one["text"]) for one in after if one["hash"] not in before]
    assert len(after) == len(before) + 2
    assert [(one["seq"], one["body"]["net"]) for one in fresh] == [(1, "22.40 t"), (2, "21.80 t")]
