"""What every route has at hand: the installation, the open books, who waits for news."""

from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends, Path, Request

from matbook.server.changes import News
from matbook.server.house import House, Serving
from matbook.server.metrics import Counts
from matbook.server.outbox import Outbox
from matbook.server.shelf import Shelf


@dataclass(frozen=True)
class Context:
    """One running server."""

    house: House
    serving: Serving
    shelf: Shelf
    news: News
    counts: Counts
    outbox: Outbox | None = None
    """Sends written notices; None while nothing is set that could carry them."""


def _here(request: Request) -> Context:
    found: Context = request.app.state.here
    return found


Here = Annotated[Context, Depends(_here)]
Job = Annotated[str, Path(pattern="^[a-z0-9][a-z0-9-]{0,63}$", examples=["harrow"])]
Sha256 = Annotated[str, Path(pattern="^[0-9a-f]{64}$", examples=["9f" * 32])]
