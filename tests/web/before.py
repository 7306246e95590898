"""What the browser tests start from, made once: an office's home, and a phone used before."""

import shutil
from functools import cached_property
from pathlib import Path

from playwright.sync_api import Playwright

from tests.web.hand import IMAGE_HELD, begin, kept, phone
from tests.web.harness import device
from tests.web.office import Office, free_port, home_with_the_demo

FORGET = """
async () => {
  const asked = indexedDB.deleteDatabase('matbook');
  await new Promise((done, failed) => {
    asked.onsuccess = done;
    asked.onerror = asked.onblocked = () => failed(new Error('the book is still there'));
  });
}
"""


class Before:
    """Every test gets copies of its own; all of them at one address, which browsers go by."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._port = free_port()

    @cached_property
    def _home(self) -> Path:
        return home_with_the_demo(self._folder)

    def office(self, folder: Path) -> Office:
        """A server whose book holds the demo's metric job."""
        return self.serving(shutil.copytree(self._home, folder / "home"))

    def serving(self, home: Path) -> Office:
        """A server of a home made for the test."""
        return Office(home, self._port)

    def profile(self, play: Playwright, folder: Path, office: Office) -> Path:
        """A browser's profile in which Ines Tarrow has begun that job, and written nothing yet."""
        used = self._folder / "profile"
        if not used.exists():
            with phone(play, used) as browser:
                page = browser.new_page()
                begin(page, office)
                kept(page)
        return shutil.copytree(used, folder / "profile", symlinks=True)

    def new(self, play: Playwright, profile: Path, built: Path, office: Office) -> Path:
        """A browser's profile with no book in it, where Python wakes from its image."""
        used = self._folder / "new"
        if not used.exists():
            with device(play, used, built, office.address) as found:
                found.run("await m.startCore({ base: document.baseURI }).ready")
                found.wait(IMAGE_HELD, 60)
                found.page.goto(f"{office.address}/api/health")
                found.page.evaluate(FORGET)
        return shutil.copytree(used, profile, symlinks=True)
