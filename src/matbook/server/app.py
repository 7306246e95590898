"""The app, assembled: routes, what stands before them, and the one shape of refusals."""

import sys
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Final, TextIO

import structlog
from fastapi import APIRouter, Depends, FastAPI, Request
from fastapi.responses import StreamingResponse
from pydantic import BaseModel
from starlette.concurrency import run_in_threadpool
from starlette.responses import Response
from starlette.types import Receive, Scope, Send
from structlog.typing import FilteringBoundLogger

from matbook import __version__
from matbook.server import asking, entries, files, pages, pairing, problems, sealing, sendings
from matbook.server.changes import News
from matbook.server.context import Context, Here, Job
from matbook.server.guard import OPEN, Guard
from matbook.server.house import House, Serving
from matbook.server.metrics import Counts, Ledger
from matbook.server.outbox import Outbox
from matbook.server.people import people_of, title_of
from matbook.server.problems import described
from matbook.server.roles import check_route
from matbook.server.shelf import Shelf
from matbook.server.who import OWNER, Asker, still_welcome

routes = APIRouter(tags=["server"])

ABOUT: Final = (
    "Sync, views, attachments and records of a paving inspector's book. Entries are observations "
    "and decisions; every figure is worked out from them. A figure or a limit shown is advice."
)


class Health(BaseModel):
    """The server is up."""

    up: bool
    version: str
    epoch: str


class Me(BaseModel):
    """Who is asking. On loopback there are no accounts; the app asks who holds the device."""

    account: bool
    device: str | None
    person: str | None
    role: str
    job: str | None
    name: str | None


class JobSeen(BaseModel):
    """A job: its shifts, and how far its book reaches."""

    job: str
    name: str
    shifts: list[str]
    cursor: int


class Jobs(BaseModel):
    """The jobs that whoever asks may look at."""

    jobs: list[JobSeen]


@routes.get("/api/health", summary="Is it up", responses=described())
def health(here: Here) -> Health:
    """Whether the server is up and its store can be read, and which store it is."""
    return Health(up=True, version=__version__, epoch=here.house.store.epoch())


@routes.get("/api/me", summary="Who am I", responses=described())
def me(here: Here, who: Asker) -> Me:
    """Who the server takes this device for."""
    one = who.device
    if one is None:
        return Me(account=False, device=None, person=None, role=OWNER, job=None, name=None)
    name = people_of(here.house.store, one.job).get(one.person, one.person)
    return Me(
        account=True, device=one.device, person=one.person, role=one.role, job=one.job, name=name
    )


@routes.get("/api/jobs", summary="Jobs", responses=described())
def jobs(here: Here, who: Asker) -> Jobs:
    """The jobs with entries here; off loopback only the one that this device was paired for."""
    store = here.house.store
    return Jobs(
        jobs=[
            JobSeen(
                job=job,
                name=title_of(store, job),
                shifts=store.shifts(job),
                cursor=store.cursor(job),
            )
            for job in store.jobs()
            if who.device is None or who.device.job == job
        ]
    )


@routes.get(
    "/api/jobs/{job}/changes",
    summary="Is there something to pull",
    response_class=StreamingResponse,
    responses={
        **described(),
        200: {
            "description": "`event: more` with the cursor of the newest entry, at once and "
            "whenever there is another; a comment every 15 s.",
            "content": {"text/event-stream": {"example": 'event: more\ndata: {"cursor":12}\n\n'}},
        },
    },
)
async def changes(here: Here, who: Asker, job: Job) -> StreamingResponse:
    """A stream of events; it carries no entries, and what is lost of it does no harm."""
    who.of(job)

    async def counted() -> AsyncIterator[str]:
        with here.counts.listening.track_inprogress():
            async for event in here.news.listen(job):
                if not await run_in_threadpool(still_welcome, here.house.store, who):
                    return
                yield event

    return StreamingResponse(counted(), media_type="text/event-stream")


@routes.get("/metrics", include_in_schema=False)
def metrics(here: Here) -> Response:
    """What was counted, for this machine itself."""
    return Response(here.counts.text(), media_type="text/plain; version=0.0.4; charset=utf-8")


class Web:
    """The whole server as one ASGI app: the ledger, then the guard, then the routes."""

    def __init__(self, app: FastAPI, here: Context, out: TextIO) -> None:
        self.app = app
        self.here = here
        guarded = Guard(app, here.house, here.serving)
        self._served = Ledger(guarded, here.counts, log(out))

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        await self._served(scope, receive, send)


def web_app(
    house: House,
    serving: Serving,
    app_folder: Path = pages.APP,
    out: TextIO | None = None,
    outbox: Outbox | None = None,
) -> Web:
    """The whole server over one installation.

    Args:
        house: The installation.
        serving: How the server is reached.
        app_folder: Where the built app lies.
        out: Where requests are written down; standard error if left out.
        outbox: Sends written notices; None where nothing is set that could carry them.
    """
    files.forget_old(house)
    counts, news = Counts(), News(house.store)

    app = FastAPI(
        title="Matbook",
        version=__version__,
        description=ABOUT,
        openapi_url="/api/openapi.json",
        docs_url=None,
        redoc_url=None,
        redirect_slashes=False,
        dependencies=[Depends(_role_fits)],
    )
    here = app.state.here = Context(house, serving, Shelf(house.store), news, counts, outbox)
    app.state.pages = pages.pages_in(app_folder)
    problems.install(app)
    for part in (
        routes,
        entries.routes,
        asking.routes,
        files.routes,
        sealing.routes,
        sendings.routes,
    ):
        app.include_router(part)
    app.include_router(pairing.routes)
    app.include_router(pages.routes)
    return Web(app, here, out or sys.stderr)


def _role_fits(request: Request) -> None:
    """Hold every route of the API against the table of roles; one that isn't in it is nobody's."""
    path = request.scope["route"].path
    if path.startswith("/api/") and path not in OPEN:
        check_route(request.scope["who"], f"{request.method} {path}")


def log(out: TextIO) -> FilteringBoundLogger:
    """Where requests are written down, one line of JSON each."""
    made: FilteringBoundLogger = structlog.wrap_logger(
        structlog.PrintLogger(out),
        processors=[
            structlog.processors.TimeStamper(fmt="iso"),
            structlog.processors.JSONRenderer(),
        ],
    )
    return made
