"""Running the server until somebody stops it."""

import asyncio
import socket
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import uvicorn

from matbook.errors import FileRefused
from matbook.server.app import Web

GRACE_S: Final = 3
"""How long requests that are under way may take to end when the server stops [s]."""
AT_ONCE: Final = 600
"""Connections served at once; further ones are told to come again."""


@dataclass(frozen=True)
class Tls:
    """The certificate that phones are shown, and its key."""

    certificate: Path
    key: Path


class Server(uvicorn.Server):
    """Sends the listeners of streams home before it waits for open connections to end."""

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        web: Web = self.config.app  # type: ignore[assignment]
        web.here.news.stop()
        await super().shutdown(sockets)


def bound(host: str, port: int) -> socket.socket:
    """A socket that listens there; raises FileRefused, in words, if it can't."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    listening = socket.socket(family, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((host, port))
        listening.listen(AT_ONCE)  # whoever comes before the server is up waits
    except (OSError, OverflowError) as error:
        listening.close()
        reason = getattr(error, "strerror", None) or error
        raise FileRefused(f"The server can't listen on {host}, port {port}: {reason}.") from None
    return listening


def server_for(app: Web, tls: Tls | None = None) -> Server:
    """A server that is ready to run.

    Raises:
        FileRefused: Certificate and key can't be used.
    """
    config = uvicorn.Config(
        app,
        log_config=None,
        access_log=False,
        server_header=False,
        date_header=True,
        proxy_headers=False,
        ws="none",
        h11_max_incomplete_event_size=32 * 1024,
        limit_concurrency=AT_ONCE,
        timeout_graceful_shutdown=GRACE_S,
        timeout_keep_alive=20,
        ssl_certfile=str(tls.certificate) if tls else None,
        ssl_keyfile=str(tls.key) if tls else None,
    )
    try:
        config.load()
    except (OSError, ValueError) as error:  # ssl's own error is an OSError
        reason = getattr(error, "strerror", None) or getattr(error, "reason", None) or error
        raise FileRefused(f"The certificate and its key can't be used: {reason}.") from None
    return Server(config)


def run(server: Server, listening: socket.socket) -> None:
    """Serve until stopped by Ctrl-C or a signal; requests under way are answered first."""
    try:
        asyncio.run(server.serve(sockets=[listening]))
    except KeyboardInterrupt:
        return  # the way to stop it
