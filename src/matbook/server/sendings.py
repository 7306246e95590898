"""What became of the notices that this server sends: beside the entries, like their receipt."""

from fastapi import APIRouter
from pydantic import BaseModel, Field

from matbook.book.sending import Sending
from matbook.server.context import Here, Job
from matbook.server.problems import described
from matbook.server.who import Asker

routes = APIRouter(tags=["sync"])


class Sent(BaseModel):
    """One notice on its way to one person; no address, and nothing that the other side wrote."""

    entry: str = Field(examples=["0197b2c0-0000-7000-8000-000000000001"])
    person: str = Field(examples=["pia"])
    how: str = Field(examples=["mail"], description="mail, sms or webhook")
    state: str = Field(examples=["sent"], description="waiting, sent, refused or given-up")
    why: str = Field("", description="The end of the code of a sentence, sending.why.…")
    said: str = Field("", description="The number that the other side answered with")
    at: str
    tries: int = 0


class Sendings(BaseModel):
    """Every notice of a job that was put in line; `on` says whether this server sends at all."""

    on: bool
    sendings: list[Sent]


@routes.get("/api/jobs/{job}/sendings", summary="What became of notices", responses=described())
def sendings(here: Here, who: Asker, job: Job) -> Sendings:
    """What this server knows of every written notice of a job: whether it went out, and when."""
    who.of(job)
    found = here.house.store.sendings(job)
    return Sendings(on=here.outbox is not None, sendings=[_sent(one) for one in found])


def _sent(one: Sending) -> Sent:
    return Sent(**one._asdict())
