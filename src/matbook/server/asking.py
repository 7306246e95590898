"""The desk's view: any question that the open book answers, asked over HTTP."""

from typing import Annotated, Any, Final

from fastapi import APIRouter, Body, Path, Request

from matbook.server.context import Here, Job
from matbook.server.problems import Problem, described
from matbook.server.roles import OWNER_SEES_AS, may_ask
from matbook.server.who import OWNER, Asker

routes = APIRouter(tags=["views"])

Question = Annotated[str, Path(pattern="^[a-z_]{1,40}$", examples=["now"])]
_ANSWER: Final = {
    "calls": [],
    "more": 0,
    "answers": [{"name": "load", "number": "—", "lines": ["No load yet."], "state": "unknown"}],
}
_EXAMPLE: Final[dict[int | str, dict[str, Any]]] = {
    200: {
        "description": "What the book answers: plain data, in words of the language asked for.",
        "content": {"application/json": {"schema": {}, "example": _ANSWER}},
    }
}
LONGEST: Final = 2000
"""Characters of one argument in an address."""


@routes.get("/api/jobs/{job}/ask/{question}", summary="Ask", responses={**described(), **_EXAMPLE})
def ask(here: Here, who: Asker, job: Job, question: Question, request: Request) -> Any:
    """One question to a job's book; its arguments stand in the query, each once."""
    given = request.query_params.multi_items()
    arguments: dict[str, Any] = dict(given)
    if len(arguments) < len(given) or any(len(text) > LONGEST for text in arguments.values()):
        raise Problem(422, "refused", f"Each argument may stand once, up to {LONGEST} characters.")
    return _asked(here, who, job, question, arguments)


@routes.post(
    "/api/jobs/{job}/ask/{question}",
    summary="Ask, with arguments as JSON",
    responses={**described(), **_EXAMPLE},
)
def ask_with(
    here: Here,
    who: Asker,
    job: Job,
    question: Question,
    arguments: Annotated[dict[str, Any], Body(examples=[{"language": "en"}])],
) -> Any:
    """The same for arguments that are no plain text, such as a body that is being typed."""
    return _asked(here, who, job, question, arguments)


def _asked(here: Here, who: Asker, job: str, question: str, arguments: dict[str, Any]) -> Any:
    who.of(job)
    if not may_ask(who.role, question):
        raise Problem(403, "role", f"A {who.role} may not ask for “{question}”.")
    role = OWNER_SEES_AS if who.role == OWNER else who.role
    asked = {"at": here.house.moment()} | arguments | {"role": role}
    return here.shelf.ask(job, question, asked)
