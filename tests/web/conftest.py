"""What the browser tests share: the built harness, the browser, a server, a phone."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from filelock import FileLock
from playwright.sync_api import BrowserContext, Playwright, sync_playwright

from tests.web.before import Before
from tests.web.hand import phone as phone_sized
from tests.web.harness import Device, build, device
from tests.web.office import Office

collect_ignore = ["webkit_browser.py"]
"""Runs in the system's own Python, which has the bindings."""


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Path:
    """Built by whichever of the test processes comes first."""
    mine = tmp_path_factory.getbasetemp()
    folder = (mine if worker_id == "master" else mine.parent) / "harness"
    with FileLock(f"{folder}.lock"):
        return folder if folder.exists() else build(folder)


@pytest.fixture(scope="package")
def play() -> Iterator[Playwright]:
    """Not for longer: as long as it runs, nothing else on its thread can run an event loop."""
    with sync_playwright() as playwright:
        yield playwright


@pytest.fixture(scope="session")
def before(tmp_path_factory: pytest.TempPathFactory) -> Before:
    return Before(tmp_path_factory.mktemp("before"))


@pytest.fixture
def office(tmp_path: Path, before: Before) -> Iterator[Office]:
    served = before.office(tmp_path)
    yield served
    served.kill()


@pytest.fixture
def phone(play: Playwright, tmp_path: Path, built: Path, office: Office) -> Iterator[Device]:
    with device(play, tmp_path / "phone", built, office.address) as found:
        yield found


@pytest.fixture
def profile(play: Playwright, tmp_path: Path, before: Before, office: Office) -> Iterator[Path]:
    """The profile of a phone used before, for browsers that are started in a way of their own."""
    copied = before.profile(play, tmp_path, office)
    yield copied
    shutil.rmtree(copied)  # it is large, and pytest keeps folders


@pytest.fixture
def browser(play: Playwright, profile: Path) -> Iterator[BrowserContext]:
    """The app's browser, as large as a phone, on a phone used before."""
    with phone_sized(play, profile) as context:
        yield context


@pytest.fixture
def unused(play: Playwright, tmp_path: Path) -> Iterator[BrowserContext]:
    """The app's browser, as large as a phone, on a phone never used before."""
    with phone_sized(play, tmp_path / "unused") as context:
        yield context
