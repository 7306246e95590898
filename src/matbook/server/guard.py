"""Who and what is let in, before a byte of a body is read; and the headers that go out with it.

On loopback anybody at this machine may ask without an account, so what must be kept out is the
page of somebody else, open in the same browser: by the Host that was asked for (a name that was
made to point here), by Origin and Sec-Fetch-Site, and by taking JSON only, which another page
can't send without asking first. Off loopback a token is needed as well.
"""

import asyncio
import time
from collections.abc import Iterable
from ipaddress import ip_address
from math import ceil
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from matbook.errors import MatbookError
from matbook.server.house import House, Serving
from matbook.server.problems import Problem, answer_to
from matbook.server.rates import Rates
from matbook.server.turns import Turns
from matbook.server.who import NOBODY, Who, recognised

POLICY: Final = (
    "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; worker-src 'self'; "
    "style-src 'self'; img-src 'self' blob: data:; connect-src 'self'; manifest-src 'self'; "
    "font-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
HEADERS: Final = (
    ("Content-Security-Policy", POLICY),
    ("Permissions-Policy", "camera=(self), geolocation=(self)"),
    ("X-Content-Type-Options", "nosniff"),
    ("X-Frame-Options", "DENY"),
    ("Referrer-Policy", "no-referrer"),
    ("Cross-Origin-Opener-Policy", "same-origin"),
    ("Cross-Origin-Resource-Policy", "same-origin"),
)
"""Go out with every answer."""

OPEN: Final = frozenset({"/api/health", "/api/pair", "/api/openapi.json"})
"""What may be asked off loopback without a token."""
_PIECES: Final = "application/octet-stream"


class Guard:
    """Stands before the app."""

    def __init__(self, app: ASGIApp, house: House, serving: Serving) -> None:
        self._app = app
        self._store = house.store
        self._serving = serving
        limits = serving.limits
        self._by_address = Rates(limits.address_rate, time.monotonic)
        self._by_device = Rates(limits.device_rate, time.monotonic)
        self._pairing = Rates(limits.pairing_rate, time.monotonic)
        self._turns = Turns(limits.pushes)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":  # the server's own starting and stopping; no web sockets
            if scope["type"] == "lifespan":
                await self._app(scope, receive, send)
            return
        send = self._with_headers(scope, send)
        try:
            await self._at_the_door(scope, receive)
            receive = await self._body(scope, receive)
            self._check_crowd(scope)
        except MatbookError as error:
            await answer_to(error)(scope, receive, send)
            return
        if is_push(scope):
            async with self._turns.taken():
                await self._app(scope, receive, send)
        else:
            await self._app(scope, receive, send)

    async def _at_the_door(self, scope: Scope, receive: Receive) -> None:
        """Raise unless the request may come in; nothing of its body is kept yet."""
        headers = Headers(scope=scope)
        try:
            scope["who"] = await self._let_in(scope, headers)
            self._check_crowd(scope)
        except Problem as problem:
            if "Retry-After" in problem.headers:  # the end of a connection that we don't hear out
                await self._heard_out(scope, receive, headers)  # would swallow this answer
            raise

    def _check_crowd(self, scope: Scope) -> None:
        """Raise if so many push at once that this one would wait long: it is better told when.

        Asked before its body is read, and after: a slow connection holds up nobody else.
        """
        if is_push(scope) and self._turns.full:
            after = {"Retry-After": str(self._turns.come_again_s())}
            raise Problem(503, "busy", "Many devices are sending; try again in a moment.", after)

    async def _let_in(self, scope: Scope, headers: Headers) -> Who:
        path = scope["path"]
        if path == "/metrics":
            check_at_the_machine(scope, headers)
        else:
            check_host(headers, self._serving.hosts)
        check_origin(scope, headers, self._serving)
        address = self._address(scope, headers)
        slow_down(self._by_address.wait_s(address))
        if path == "/api/pair":
            slow_down(self._pairing.wait_s(address))
        if not self._serving.accounts:
            return Who()
        if not path.startswith("/api/") or path in OPEN:
            return Who(NOBODY)
        who = await run_in_threadpool(recognised, self._store, headers.get("authorization", ""))
        if who is None:
            raise Problem(
                401,
                "no-account",
                "This needs a device that was paired here: ask for a code, or pair again.",
                {"WWW-Authenticate": "Bearer"},
            )
        slow_down(self._by_device.wait_s(who.name))
        return who

    def _address(self, scope: Scope, headers: Headers) -> str:
        """Where a request comes from; a proxy of ours adds it at the end of its list."""
        if self._serving.proxied and "x-forwarded-for" in headers:
            return headers["x-forwarded-for"].rpartition(",")[2].strip()[:64]
        client = scope.get("client")
        return client[0] if client else ""

    async def _body(self, scope: Scope, receive: Receive) -> Receive:
        """Read the body, as far as it may go, and hand it on in one piece."""
        headers = Headers(scope=scope)
        body = await self._heard_out(scope, receive, headers, keep=True)
        if body:
            check_type(headers, _PIECES if _is_piece(scope) else "application/json")
        done = False

        async def replay() -> Message:
            nonlocal done
            if done:
                return await receive()
            done = True
            return {"type": "http.request", "body": body, "more_body": False}

        return replay

    async def _heard_out(
        self, scope: Scope, receive: Receive, headers: Headers, *, keep: bool = False
    ) -> bytes:
        """The body, as far as it may go and in time; empty where it isn't to be kept."""
        limits = self._serving.limits
        most = limits.piece_bytes if _is_piece(scope) else limits.json_bytes
        try:
            async with asyncio.timeout(limits.body_s):
                return await read_body(receive, headers, most, keep=keep)
        except TimeoutError:
            raise Problem(408, "too-slow", "The body did not arrive in time.") from None

    def _with_headers(self, scope: Scope, send: Send) -> Send:
        more = [("Cache-Control", "no-store")] if scope["path"].startswith("/api") else []
        if self._serving.accounts:
            more.append(("Strict-Transport-Security", "max-age=31536000"))

        async def sending(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in (*HEADERS, *more):
                    headers.setdefault(name, value)
            await send(message)

        return sending


def is_push(scope: Scope) -> bool:
    """Whether a request brings entries."""
    return scope["method"] == "POST" and str(scope["path"]).endswith("/entries")


def _is_piece(scope: Scope) -> bool:
    """Whether a request brings a piece of an attachment."""
    return scope["method"] == "PUT" and "/attachments/" in scope["path"]


def check_host(headers: Headers, hosts: Iterable[str]) -> None:
    """Raise unless the Host is one of ours: another name may have been made to point here."""
    host = headers.get("host", "").lower()
    if not any(named(host, ours) for ours in hosts):
        raise Problem(421, "host", "This server does not go by that name; see matbook serve.")


def named(host: str, ours: str) -> bool:
    """Whether a Host header is a name of ours; *. stands for one label.

    Example:
        >>> named("a.example.org:1", "*.example.org:1"), named("b.a.example.org", "*.example.org")
        (True, False)
    """
    if ours.startswith("*."):
        label, _, rest = host.partition(".")
        return bool(label) and rest == ours[2:]
    return host == ours


def check_origin(scope: Scope, headers: Headers, serving: Serving) -> None:
    """Raise if the request comes from the page of somebody else, or over a plain connection."""
    if serving.proxied and headers.get("x-forwarded-proto") != "https":
        raise Problem(403, "https-only", "The proxy must be reached over HTTPS, and say so.")
    site = headers.get("sec-fetch-site", "none")
    if site not in ("same-origin", "none") and not _visit(scope, headers):
        raise Problem(403, "origin", "A page from elsewhere may not ask here.")
    scheme = "https" if serving.proxied else scope["scheme"]
    origin = headers.get("origin")
    if origin is not None and origin.lower() != f"{scheme}://{headers.get('host', '').lower()}":
        raise Problem(403, "origin", "A page from elsewhere may not ask here.")


def _visit(scope: Scope, headers: Headers) -> bool:
    """Whether somebody follows a link from elsewhere to the app: that may be."""
    return (
        scope["method"] == "GET"
        and not scope["path"].startswith(("/api", "/metrics"))
        and headers.get("sec-fetch-mode") == "navigate"
        and headers.get("sec-fetch-dest") == "document"
    )


def check_at_the_machine(scope: Scope, headers: Headers) -> None:
    """Raise unless the request comes from this machine itself, past any proxy."""
    client = scope.get("client")
    host = headers.get("host", "").rpartition(":")[0]
    passed_on = any(name.startswith(("x-forwarded", "forwarded")) for name in headers)
    if not client or passed_on or not _loopback(client[0]):
        raise Problem(403, "machine-only", "Only this machine itself may look at this.")
    if host not in ("localhost", "127.0.0.1", "[::1]"):
        raise Problem(421, "host", "Ask for this as localhost.")


def _loopback(address: str) -> bool:
    try:
        return ip_address(address).is_loopback
    except ValueError:
        return False


def slow_down(wait_s: float) -> None:
    """Raise if there is a time to wait."""
    if wait_s:
        after = {"Retry-After": str(ceil(wait_s))}
        raise Problem(429, "too-often", f"Too many requests; wait {ceil(wait_s)} s.", after)


async def read_body(receive: Receive, headers: Headers, most: int, *, keep: bool = True) -> bytes:
    """The whole body, or nothing of it; raises when it is, or says so, longer than `most` bytes."""
    said = headers.get("content-length", "0")
    too_long = Problem(413, "too-large", f"The body is too long; at most {most} bytes are taken.")
    if not said.isdecimal() or int(said[:12]) > most:
        raise too_long
    body, length = bytearray(), 0
    while True:
        message = await receive()
        if message["type"] == "http.disconnect":
            raise Problem(400, "cut-off", "The connection ended within the body.")
        part = message.get("body", b"")
        length += len(part)
        if length > most:
            raise too_long
        if keep:
            body += part
        if not message.get("more_body", False):
            return bytes(body)


def check_type(headers: Headers, wanted: str) -> None:
    """Raise unless a body is of the one type that this route takes."""
    given = headers.get("content-type", "").partition(";")[0].strip().lower()
    if given != wanted:
        raise Problem(415, "type", f"The body must be {wanted}.")
