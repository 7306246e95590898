"""A house to be served in tests: an installation with one job, and clients that ask it."""

import asyncio
from collections.abc import Mapping
from datetime import datetime
from io import StringIO
from pathlib import Path
from typing import Any

from anyio.from_thread import start_blocking_portal
from httpx import ASGITransport, AsyncClient, Response

from matbook.bootstrap import Installation, open_installation
from matbook.server.app import Web, web_app
from matbook.server.house import Limits, Serving
from matbook.server.outbox import Outbox
from matbook.store.contract import Written
from tests.scribe import Scribe
from tests.store.books import pair

PLAN = (Path(__file__).parents[1] / "cli" / "ridge.toml").read_text(encoding="utf-8")
PLAN += """
[[people]]
id = "sam"
name = "Sam Orrin"
role = "supervisor"

[[people]]
id = "tom"
name = "Tom Belfrey"
role = "technician"
"""
NOW = datetime.fromisoformat("2026-05-12T12:00:00-03:00")
AWAY = Serving("https://book.example.org:8417", frozenset({"book.example.org:8417"}), accounts=True)
"""As phones see it: over HTTPS, with accounts."""
MANY = (1e6, 1e6)
PATIENT = Limits(device_rate=MANY, address_rate=MANY, pairing_rate=MANY)
"""For tests that ask more often than people do."""


class Client:
    """Asks an app without a network, from the tests' own thread."""

    def __init__(self, app: Web, base: str, address: str) -> None:
        transport = ASGITransport(app, raise_app_exceptions=False, client=(address, 50000))
        self._http = AsyncClient(transport=transport, base_url=base)
        self._opened = start_blocking_portal()
        self._portal = self._opened.__enter__()

    def request(self, method: str, path: str, **more: Any) -> Response:
        return self._portal.call(lambda: self._http.request(method, path, **more))

    def all_at_once(self, method: str, path: str, bodies: list[Any]) -> list[Response]:
        """Several requests that don't wait for each other."""

        async def ask() -> list[Response]:
            asked = [self._http.request(method, path, json=body) for body in bodies]
            return list(await asyncio.gather(*asked))

        return self._portal.call(ask)

    def raw(self, path: str, headers: Mapping[str, str]) -> Response:
        """The head of an answer whose body is not to be unpacked."""

        async def ask() -> Response:
            async with self._http.stream("GET", path, headers=dict(headers)) as answer:
                return answer

        return self._portal.call(ask)

    def close(self) -> None:
        self._portal.call(self._http.aclose)
        self._opened.__exit__(None, None, None)


class Asking:
    """Asks a server as one client does."""

    def __init__(self, client: Client, token: str = "") -> None:
        self.client = client
        self.headers = {"Authorization": f"Bearer {token}"} if token else {}

    def get(self, path: str, **more: Any) -> Response:
        return self.client.request(
            "GET", path, headers=self.headers | more.pop("headers", {}), **more
        )

    def post(self, path: str, data: Any, **more: Any) -> Response:
        """Ask with a body of JSON."""
        return self.client.request("POST", path, json=data, headers=self.headers, **more)

    def put(self, path: str, content: bytes, headers: Mapping[str, str]) -> Response:
        return self.client.request(
            "PUT", path, content=content, headers=self.headers | dict(headers)
        )

    def send(self, method: str, path: str, **more: Any) -> Response:
        headers = self.headers | more.pop("headers", {})
        return self.client.request(method, path, headers=headers, **more)

    def push(self, pairs: list[Written], job: str = "ridge", **more: Any) -> Any:
        entries = [{"hash": digest, "text": text} for digest, text in pairs]
        answer = self.post(f"/api/jobs/{job}/entries", {"entries": entries, **more})
        assert answer.status_code == 200, answer.text
        return answer.json()

    def pull(self, after: int = 0, **more: Any) -> Any:
        answer = self.get("/api/jobs/ridge/entries", params={"after": after, **more})
        assert answer.status_code == 200, answer.text
        return answer.json()


class Served:
    """One installation being served; may be opened again from its files."""

    def __init__(
        self, home: Path, serving: Serving | None = None, outbox: Outbox | None = None
    ) -> None:
        self.home = home
        self.outbox = outbox
        self.serving = serving or Serving(limits=PATIENT)
        self.house: Installation
        self.client: Client
        self.open()

    def open(self) -> None:
        self.house = open_installation(self.home, lambda: NOW)
        self.log = StringIO()
        self.app = web_app(self.house, self.serving, out=self.log, outbox=self.outbox)
        accounts = self.serving.accounts
        base = self.serving.address
        address = "203.0.113.9" if accounts else "127.0.0.1"
        self.client = Client(self.app, base, address)
        self.me = Asking(self.client)

    def close(self) -> None:
        self.client.close()
        self.house.store.close()

    def with_plan(self) -> "Served":
        """Give it the plan of the job, as its supervisor wrote it."""
        plan = Scribe("tablet", "sam").write("plan", {"toml": PLAN}, -60)
        self.house.store.append([pair(plan)], "2026-05-12T06:00:00-03:00")
        return self


def code_of(answer: Response) -> tuple[int, str]:
    """Status and code of a refusal; it must have the one shape."""
    error = answer.json()["error"]
    assert set(error) <= {"code", "sentence", "field", "given", "allowed"}
    assert " " in error["sentence"]
    return answer.status_code, error["code"]
