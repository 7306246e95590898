"""WebKitGTK for tests, driven by the W3C WebDriver protocol on a screen of its own."""

import os
import shutil
import signal
import socket
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import httpx
import pytest

BROWSER = Path(__file__).with_name("webkit_browser.py")
PACKAGES = "webkit2gtk-driver gir1.2-webkit2-4.1 python3-gi xvfb"
PYTHON = "/usr/bin/python3"
"""Debian's own, which the bindings in its packages are for."""
ELEMENT = "element-6066-11e4-a52e-4f735466cecf"
WAIT = 60


def needed() -> None:
    """Skip where WebKitGTK isn't installed, saying what to install; fail there in CI."""
    asks = "import gi; gi.require_version('WebKit2', '4.1')"
    bound = subprocess.run([PYTHON, "-c", asks], capture_output=True, check=False).returncode == 0
    if bound and shutil.which("WebKitWebDriver") and shutil.which("Xvfb"):
        return
    said = f"WebKitGTK is not here; apt-get install {PACKAGES}"
    if os.environ.get("CI"):
        pytest.fail(said)
    pytest.skip(said)


class WebKit:
    """One browser on one profile, and the one page that it shows."""

    def __init__(self, driver: str, profile: Path) -> None:
        self.profile = profile
        self._http = httpx.Client(base_url=driver, timeout=WAIT)
        self.start()

    def start(self) -> None:
        """Open the browser, as a phone that is switched on."""
        runs = {"binary": PYTHON, "args": [str(BROWSER), str(self.profile)]}
        wanted = {"capabilities": {"alwaysMatch": {"webkitgtk:browserOptions": runs}}}
        self._session = f"/session/{self._ask('POST', '/session', wanted)['sessionId']}"

    def kill(self) -> None:
        """Kill the browser with all that belongs to it, as when the battery is pulled."""
        found = [int(path.parent.name) for path in Path("/proc").glob("[0-9]*/cmdline")
                 if _mentions(path, self.profile)]  # fmt: skip
        assert found
        for process in [*found, *(child for one in found for child in _children(one))]:
            os.kill(process, signal.SIGKILL)
        self._http.delete(self._session)

    def close(self) -> None:
        self._http.delete(self._session)
        self._http.close()

    def _ask(self, method: str, path: str, body: object = None) -> Any:
        answer = self._http.request(method, path, json=body if body is not None else {})
        assert answer.is_success, answer.text
        return answer.json()["value"]

    def goto(self, address: str) -> None:
        self._ask("POST", f"{self._session}/url", {"url": address})

    def reload(self) -> None:
        self._ask("POST", f"{self._session}/refresh")

    def run(self, script: str) -> Any:
        """Run a function body in the page."""
        return self._ask("POST", f"{self._session}/execute/sync", {"script": script, "args": []})

    def wait(self, condition: str) -> None:
        """Wait until an expression is true in the page."""
        until = time.monotonic() + WAIT
        while not self.run(f"return Boolean({condition})"):
            assert time.monotonic() < until, f"{condition}: {self.text()}"
            time.sleep(0.1)

    def text(self) -> str:
        return str(self.run("return document.body.innerText"))

    def sees(self, text: str) -> None:
        """Wait until the page shows a text."""
        self.wait(f"document.body.innerText.includes({text!r})")

    def press(self, name: str, within: str = "body") -> None:
        """Click the button or link whose words begin so."""
        path = f"//{within}//*[self::button or self::a][starts-with(normalize-space(.), '{name}')]"
        node = f"document.evaluate({path!r}, document, null, 9).singleNodeValue"
        self.wait(node)
        self.run(f"{node}.scrollIntoView({{ block: 'center' }})")  # not under what sticks below
        given = {"using": "xpath", "value": path}
        found = self._ask("POST", f"{self._session}/element", given)[ELEMENT]
        self._ask("POST", f"{self._session}/element/{found}/click")


def _mentions(path: Path, profile: Path) -> bool:
    try:
        words = path.read_bytes().split(b"\0")
    except OSError:  # it ended meanwhile
        return False
    return str(BROWSER).encode() in words and str(profile).encode() in words


def _children(process: int) -> list[int]:
    found: list[int] = []
    for task in Path(f"/proc/{process}/task").glob("*/children"):
        for child in map(int, task.read_text().split()):
            found += [child, *_children(child)]
    return found


@contextmanager
def driver(folder: Path) -> Iterator[str]:
    """WebKitWebDriver on a screen of its own; gives its address."""
    needed()
    read, write = os.pipe()
    screen = subprocess.Popen(
        ["Xvfb", "-displayfd", str(write), "-screen", "0", "800x1000x24", "-nolisten", "tcp"],
        pass_fds=[write],
        stderr=subprocess.DEVNULL,
    )
    os.close(write)
    with os.fdopen(read) as said:
        display = said.readline().strip()
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        port = found.getsockname()[1]
    drives = subprocess.Popen(
        ["WebKitWebDriver", f"--port={port}"],
        env={**os.environ, "DISPLAY": f":{display}", "HOME": str(folder)},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        address = f"http://127.0.0.1:{port}"
        for _ in range(100):
            try:
                httpx.get(f"{address}/status")
                break
            except httpx.TransportError:
                time.sleep(0.1)
        yield address
    finally:
        for process in (drives, screen):
            process.terminate()
            process.wait()
