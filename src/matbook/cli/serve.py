"""matbook serve: the app and the API, for one person on this machine or for a crew over HTTPS."""

import os
import sys
import webbrowser
from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING

import click

from matbook.bootstrap import open_installation
from matbook.cli.shared import say_line

if TYPE_CHECKING:
    from matbook.server.running import Tls


@click.command()
@click.option("--host", default="127.0.0.1", help="Address to listen on; 0.0.0.0 for all.")
@click.option("--port", type=click.IntRange(0, 65535), default=8417, help="Port; 0 for any free.")
@click.option(
    "--certificate", type=click.Path(path_type=Path), help="Certificate (PEM), with its chain."
)
@click.option("--key", type=click.Path(path_type=Path), help="The certificate's private key (PEM).")
@click.option(
    "--proxy-name", help="Name that phones know: a proxy on this machine does HTTPS for it."
)
@click.option("--open", "open_it", is_flag=True, help="Open the app in the browser.")
@click.pass_context
def serve(
    ctx: click.Context,
    host: str,
    port: int,
    certificate: Path | None,
    key: Path | None,
    proxy_name: str | None,
    open_it: bool,
) -> None:
    """Serve the app and its API until Ctrl-C.

    On this machine alone no account is needed. For phones it takes HTTPS: a certificate, or a
    proxy; and each phone is paired once, with `matbook pair`. See docs/server.md.
    """
    from matbook.server import app, posting, reach, running  # slow to load, so only when used
    from matbook.server.outbox import Outbox

    tls = _tls(certificate, key)
    reach.check(host, tls is not None, proxy_name)
    ways = posting.ways_from(os.environ)
    here = open_installation(Path(ctx.obj))
    ctx.call_on_close(here.store.close)
    outbox = Outbox(here, ways, app.log(sys.stderr)) if ways.carriers else None
    with running.bound(host, port) as listening:
        serving = reach.serving(host, listening.getsockname()[1], certificate, proxy_name)
        server = running.server_for(app.web_app(here, serving, outbox=outbox), tls)
        reach.note(here.home, serving)
        say_line(f"Matbook is at {serving.address} (Ctrl-C stops it).")
        if serving.accounts:
            say_line("Pair a phone with: matbook pair PERSON")
        if ways.carriers:
            say_line(f"Written notices go out by: {', '.join(ways.carriers)}.")
        if open_it:
            webbrowser.open(serving.address)
        with outbox.at_work() if outbox else nullcontext():
            running.run(server, listening)


def _tls(certificate: Path | None, key: Path | None) -> "Tls | None":
    from matbook.errors import Refused
    from matbook.server.running import Tls

    if certificate and key:
        return Tls(certificate, key)
    if certificate or key:
        given, missing = ("--certificate", "--key") if certificate else ("--key", "--certificate")
        raise Refused(missing, "", f"it must be given with {given}")
    return None
