"""What the browser tests share: the built harness, the browser, a server, a phone."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Playwright, sync_playwright

from tests.web.hand import phone as phone_sized
from tests.web.harness import Device, build, device
from tests.web.office import Office, home_with_the_demo

collect_ignore = ["webkit_browser.py"]
"""Runs in the system's own Python, which has the bindings."""


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return build(tmp_path_factory.mktemp("harness"))


@pytest.fixture(scope="module")
def play() -> Iterator[Playwright]:
    with sync_playwright() as playwright:
        yield playwright


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    served = Office(home_with_the_demo(tmp_path))
    yield served
    served.kill()


@pytest.fixture
def phone(play: Playwright, tmp_path: Path, built: Path, office: Office) -> Iterator[Device]:
    with device(play, tmp_path / "phone", built, office.address) as found:
        yield found


@pytest.fixture
def browser(play: Playwright, tmp_path: Path) -> Iterator[BrowserContext]:
    """The app's browser, as large as a phone."""
    with phone_sized(play, tmp_path / "profile") as context:
        yield context
