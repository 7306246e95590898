"""A server of its own process for browser tests, with the demo's metric job in its book."""

import atexit
import json
import os
import signal
import socket
import subprocess
import sys
import time
from contextlib import suppress
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

import httpx

from matbook.bootstrap import open_installation


@cache
def starter() -> "subprocess.Popen[str]":
    """The process from which servers are started; see its module."""
    started = subprocess.Popen(
        [sys.executable, Path(__file__).with_name("starter.py")],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1"},
    )
    assert started.stdin is not None
    atexit.register(started.stdin.close)
    return started


class Office:
    """A server which can be killed and started again."""

    scheme = "http"

    def __init__(self, home: Path, port: int = 0) -> None:
        self.home = home
        self.port = port or free_port()
        self.address = f"{self.scheme}://localhost:{self.port}"
        self.settings: dict[str, str] = {}
        """Of its environment, from the next start on."""
        self.start()

    def options(self) -> list[str]:
        """What `matbook serve` is told besides its port."""
        return []

    def start(self) -> None:
        said = ["--home", str(self.home), "serve", "--port", str(self.port), *self.options()]
        ready = starter()
        assert ready.stdin is not None
        assert ready.stdout is not None
        print(json.dumps([said, self.settings]), file=ready.stdin, flush=True)
        self.pid = int(ready.stdout.readline())
        for _ in range(1000):
            try:
                httpx.get(f"{self.address}/api/health", verify=False).raise_for_status()
            except httpx.TransportError:
                time.sleep(0.02)
            else:
                return
        raise AssertionError("the server did not start")

    def kill(self) -> None:
        """Kill it, unless that was done before."""
        if not self.pid:
            return
        os.kill(self.pid, signal.SIGKILL)
        with suppress(ProcessLookupError):
            while True:
                os.kill(self.pid, 0)  # it is there until it isn't
                time.sleep(0.01)
        self.pid = 0

    def entries(self, job: str) -> list[dict[str, Any]]:
        """What it holds; asked again and again, so without reading the list of authorities."""
        got = httpx.get(
            f"{self.address}/api/jobs/{job}/entries", params={"limit": 1000}, verify=False
        )
        found: list[dict[str, Any]] = got.json()["entries"]
        return found

    def fresh(self, job: str, before: int, many: int) -> list[dict[str, Any]]:
        """The entries after the first so many, opened, once as many as are wanted have arrived."""
        for _ in range(300):
            found = self.entries(job)[before:]
            if len(found) >= many:
                break
            time.sleep(0.1)
        assert len(found) == many
        return [json.loads(one["text"]) for one in found]


def free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        port: int = found.getsockname()[1]
        return port


def demo_pairs() -> list[tuple[str, str]]:
    text = (resources.files("matbook.demo") / "harrow" / "entries.jsonl").read_text("utf-8")
    return [(one["hash"], one["text"]) for one in map(json.loads, text.splitlines())]


def home_with_the_demo(folder: Path) -> Path:
    """A home whose book holds the demo's metric job as people wrote it."""
    return home_with(folder, demo_pairs())


def home_with(folder: Path, pairs: list[tuple[str, str]]) -> Path:
    """A home whose book holds these entries."""
    here = open_installation(folder / "home")
    here.store.append_all(pairs, "2026-06-17T08:00:00-03:00")
    here.store.close()
    return folder / "home"
