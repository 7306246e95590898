"""Those who are sent to in tests, on sockets of this machine: a mail server, and a web server."""

import json
import socket
import ssl
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from email import message_from_bytes
from email.message import EmailMessage
from email.policy import default
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, AuthResult, Envelope, LoginPassword, Session


def free_port() -> int:
    """A port that nobody listens on, for now."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        port: int = one.getsockname()[1]
        return port


@dataclass
class Mailbox:
    """What a mail server took, and how it answers."""

    port: int
    mails: list[EmailMessage] = field(default_factory=list)
    to: list[str] = field(default_factory=list)
    answers: dict[str, list[str]] = field(default_factory=dict)
    """For an address: what it is answered before it is taken, one answer a try."""
    slow_s: float = 0.0
    """How long it holds a mail before it says that it has it."""
    came: int = 0
    """Mails that came whole, taken or not yet."""
    user: tuple[bytes, bytes] = (b"", b"")

    async def handle_RCPT(  # noqa: N802  (the library's name)
        self, _: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        if self.answers.get(address):
            return self.answers[address].pop(0)
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(  # noqa: N802
        self, _: SMTP, session: Session, envelope: Envelope
    ) -> str:
        import asyncio

        self.came += 1
        await asyncio.sleep(self.slow_s)
        assert isinstance(envelope.content, bytes)
        mail = message_from_bytes(envelope.content, policy=default)
        assert isinstance(mail, EmailMessage)
        self.mails.append(mail)
        self.to += envelope.rcpt_tos
        return "250 taken"

    def authenticate(self, *given: Any) -> AuthResult:
        """Whether a user and password are those that were set."""
        data = given[-1]
        assert isinstance(data, LoginPassword)
        right = (data.login, data.password) == self.user
        return AuthResult(success=right, handled=right)


@contextmanager
def mail_server(
    port: int = 0, tls: ssl.SSLContext | None = None, user: tuple[bytes, bytes] | None = None
) -> Iterator[Mailbox]:
    """A mail server; with TLS it takes nothing before STARTTLS."""
    box = Mailbox(port or free_port(), user=user or (b"", b""))
    more: dict[str, Any] = {}
    if tls:
        more |= {"tls_context": tls, "require_starttls": True}
    if user:
        more |= {"authenticator": box.authenticate, "auth_required": True}
    controller = Controller(box, "127.0.0.1", box.port, ready_timeout=20, **more)
    controller.start()
    try:
        yield box
    finally:
        controller.stop()


@dataclass
class Hooked:
    """What a web server was given, and how it answers."""

    url: str = ""
    posts: list[dict[str, Any]] = field(default_factory=list)
    headers: list[dict[str, str]] = field(default_factory=list)
    answers: list[int] = field(default_factory=list)
    """What it answers, one each; then 204."""
    points_to: str = ""


@contextmanager
def web_server() -> Iterator[Hooked]:
    """A web server that takes posts of JSON."""
    hooked = Hooked()

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            raw = self.rfile.read(int(self.headers["Content-Length"]))
            hooked.posts.append(json.loads(raw))
            hooked.headers.append({name.lower(): value for name, value in self.headers.items()})
            status = hooked.answers.pop(0) if hooked.answers else 204
            self.send_response(status)
            if hooked.points_to:
                self.send_header("Location", hooked.points_to)
            self.send_header("Content-Length", "0")
            self.end_headers()

        def log_message(self, *_: Any) -> None:
            return  # silent

    with ThreadingHTTPServer(("127.0.0.1", 0), Handler) as server:
        hooked.url = f"http://127.0.0.1:{server.server_port}/hook"
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        try:
            yield hooked
        finally:
            server.shutdown()
            thread.join()


def wait_until(so: Callable[[], object], seconds: float = 20) -> None:
    """Wait until something is so."""
    until = time.monotonic() + seconds
    while not so():
        assert time.monotonic() < until, "it never came to be"
        time.sleep(0.02)
