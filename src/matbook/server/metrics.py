"""What is counted: requests by route and status, entries by what became of them, streams open."""

import time
from typing import Final

from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram, generate_latest
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from structlog.typing import FilteringBoundLogger

_BOUNDS: Final = (0.005, 0.02, 0.05, 0.1, 0.25, 0.5, 1, 2, 5, 10)


class Counts:
    """The numbers of one server, in a registry of its own."""

    def __init__(self) -> None:
        self._registry = CollectorRegistry()
        self.requests = Histogram(
            "matbook_request_seconds",
            "Requests, by route, method and status.",
            ("route", "method", "status"),
            buckets=_BOUNDS,
            registry=self._registry,
        )
        self.entries = Counter(
            "matbook_entries",
            "Entries that were pushed, by what became of them.",
            ("state",),
            registry=self._registry,
        )
        self.listening = Gauge(
            "matbook_listening", "Streams that are open.", registry=self._registry
        )

    def text(self) -> bytes:
        """All of it, as Prometheus reads it."""
        return generate_latest(self._registry)


class Ledger:
    """Counts and logs each request by its route: never its path, query, headers or body."""

    def __init__(self, app: ASGIApp, counts: Counts, log: FilteringBoundLogger) -> None:
        self._app = app
        self._counts = counts
        self._log = log

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        began, status = time.perf_counter(), 0

        async def sending(message: Message) -> None:
            nonlocal status
            status = message.get("status", status)
            await send(message)

        try:
            await self._app(scope, receive, sending)
        finally:
            took = time.perf_counter() - began
            route = getattr(scope.get("route"), "path", "") or "refused"
            method = scope["method"] if scope["method"] in _METHODS else "other"
            self._counts.requests.labels(route, method, str(status)).observe(took)
            device = getattr(scope.get("who"), "name", "")
            self._log.info(
                "request",
                route=route,
                method=method,
                status=status,
                ms=round(took * 1000, 1),
                device=device,
            )


_METHODS: Final = frozenset({"GET", "HEAD", "POST", "PUT", "DELETE"})
