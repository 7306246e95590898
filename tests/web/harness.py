"""The data layer in Debian's Chromium, without a screen, against the real server."""

import os
import signal
import subprocess
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from functools import lru_cache, partial
from pathlib import Path
from typing import Any

import httpx
from playwright.sync_api import BrowserContext, Page, Playwright, Route
from playwright.sync_api import Error as PlaywrightError

from tests.web.office import Office

ROOT = Path(__file__).parents[2]
JOB = "harrow"
SHIFT = "harrow/2026-06-17/a/day"
ARGUMENTS = [
    *("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync"),
    *("--disable-background-networking", "--disable-component-update"),
]
TYPES = {".html": "text/html", ".js": "text/javascript", ".mjs": "text/javascript"}
TYPES |= {".wasm": "application/wasm", ".json": "application/json", ".zip": "application/zip"}


def build(folder: Path) -> Path:
    """Build the harness page into a folder."""
    command = ["npx", "--no-install", "vite", "build", "--config", "tests/harness.config.ts"]
    made = subprocess.run(
        [*command, "--outDir", str(folder), "--emptyOutDir", "--logLevel", "warn"],
        cwd=ROOT / "web",
        capture_output=True,
        text=True,
        check=False,
    )
    assert made.returncode == 0, made.stderr
    return folder


def wait_for(page: Page, condition: str, seconds: float = 15) -> None:
    """Wait until an expression is true; asked from outside, as the page's policy demands."""
    until = time.monotonic() + seconds
    while not page.evaluate(condition):
        assert time.monotonic() < until, f"still not so after {seconds} s: {condition}"
        time.sleep(0.05)


@dataclass
class Device:
    """One phone: a browser profile with the harness open, on the server's own address."""

    context: BrowserContext
    page: Page
    address: str

    def run(self, script: str, argument: object = None) -> Any:
        """Run a function body over `m`, the data layer, and `a`, the argument."""
        return self.page.evaluate(
            f"async (a) => {{ const m = window.matbook; {script} }}", argument
        )

    def write(self, *texts: str) -> list[str]:
        """Keep notes, one after the other; returns their hashes."""
        found: list[str] = self.run(
            """
            const kept = [];
            for (const text of a.texts) {
              const { job, shift } = a;
              kept.push((await m.keep({ job, shift, kind: 'note', body: { text } })).hash);
            }
            return kept;
            """,
            {"texts": texts, "job": JOB, "shift": SHIFT},
        )
        return found

    def sync(self) -> Any:
        """One round of sync; returns the state afterwards."""
        return self.run(
            """
            window.sync ??= new m.Sync(a);
            await window.sync.now();
            const { unsent, refused, unsentFiles, reached, trouble } = window.sync.state;
            const counted = await m.counts(a);
            return { ...counted, reached, trouble: trouble && trouble.sentence };
            """,
            JOB,
        )

    def hashes(self) -> list[str]:
        """What this device holds, in reading order."""
        return [pair["hash"] for pair in self.run("return m.pairs(a)", JOB)]

    def wait(self, condition: str, seconds: float = 15) -> None:
        wait_for(self.page, condition, seconds)

    def unsent(self) -> int:
        return int(self.run("return (await m.counts(a)).unsent", JOB))

    def told(self) -> list[str]:
        return [one["code"] for one in self.run("return m.told(a)", JOB)]

    def name(self) -> str:
        return str(self.run("return (await m.me()).device"))


@contextmanager
def device(
    play: Playwright, profile: Path, built: Path, address: str, person: str = "ines", room: int = 0
) -> Iterator[Device]:
    """A browser with this profile, opened at the harness; with so many bytes of room, if any."""
    context = play.chromium.launch_persistent_context(
        profile,
        executable_path="/usr/bin/chromium",
        args=ARGUMENTS,
        ignore_https_errors=True,  # a certificate made for the test
        service_workers="block",  # the app beside the harness mustn't answer for it
        timezone_id="America/Halifax",  # where the demo's road is
    )
    try:
        yield opened(context, built, address, person, room)
    finally:
        context.close()


class Carried:
    """A phone whose browser may be killed; it is then opened again on the same profile."""

    def __init__(
        self, play: Playwright, profile: Path, built: Path, address: str, person: str = "ines"
    ) -> None:
        self._profile = profile
        self._open = partial(device, play, profile, built, address, person)
        self._hold = ExitStack()
        self.phone = self._hold.enter_context(self._open())

    def kill(self) -> Device:
        """Kill the browser, as when the battery is pulled; returns the phone, switched on again."""
        kill(self._profile)
        with suppress(PlaywrightError):  # it may be gone by the time it is asked to close
            self._hold.close()
        self.phone = self._hold.enter_context(self._open())
        return self.phone

    def close(self) -> None:
        self._hold.close()


@lru_cache
def policy_of(address: str) -> str:
    """The server's content policy; remembered, for phones that are opened while it is dead."""
    return str(httpx.get(address, verify=False).headers["content-security-policy"])


def opened(context: BrowserContext, built: Path, address: str, person: str, room: int) -> Device:
    """Open the harness on the server's address, under the server's own content policy."""
    policy = policy_of(address)

    def serve(route: Route) -> None:
        path = built / httpx.URL(route.request.url).path.removeprefix("/harness/")
        if not path.is_file():
            route.fulfill(status=404)
            return
        headers = {"content-type": TYPES[path.suffix], "content-security-policy": policy}
        route.fulfill(body=path.read_bytes(), headers=headers)

    context.route("**/harness/**", serve)
    page = context.new_page()
    found = Device(context, page, address)
    if room:  # the browser looks only when a book is opened, and now and then
        page.goto(f"{address}/api/health")
        set_room(found, room)
    reopen(found)
    found.run("await m.setMe({ person: a })", person)
    return found


def kill(profile: Path) -> None:
    """Kill the browser that was started on this profile."""
    for process in _processes_of(profile):
        os.kill(process, signal.SIGKILL)
    for lock in profile.glob("Singleton*"):
        lock.unlink()


def _processes_of(profile: Path) -> list[int]:
    """The browser's first process; the others end with it."""
    found = []
    for path in Path("/proc").glob("[0-9]*/cmdline"):
        with suppress(FileNotFoundError, ProcessLookupError):  # it ended meanwhile
            words = path.read_bytes().split(b"\0")
            if f"--user-data-dir={profile}".encode() in words and b"--headless" in b" ".join(words):
                found.append(int(path.parent.name))
    assert found
    return found


def set_room(found: Device, room: int | None) -> None:
    """Let the browser keep no more than so many bytes; None for as many as there are."""
    session = found.context.new_cdp_session(found.page)
    size = {} if room is None else {"quotaSize": room}
    session.send("Storage.overrideQuotaForOrigin", {"origin": found.address, **size})


def reopen(found: Device) -> None:
    """Load the page again, as after a crash."""
    found.page.goto(f"{found.address}/harness/harness.html")
    found.wait("window.matbook !== undefined")


def hashes(office: Office) -> list[str]:
    """What the server holds of the job."""
    return [one["hash"] for one in office.entries(JOB)]


def assert_once_each(office: Office, *devices: Device) -> None:
    """The server and every device hold the same entries, once each."""
    there = hashes(office)
    assert len(there) == len(set(there))
    for one in devices:
        here = one.hashes()
        assert len(here) == len(set(here))
        assert set(here) == set(there)
