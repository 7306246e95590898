"""The one shape of every refusal: a stable code, and a sentence for the person who can mend it."""

from collections.abc import Mapping
from typing import Any, Final

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from pydantic import BaseModel, Field
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, Response

from matbook.errors import MatbookError, Refused

STATUS: Final[Mapping[str, int]] = {
    "not-found": 404,
    "store-busy": 503,
    "file-refused": 507,
    "not-proven": 409,
}
"""Of the errors that the core raises; those that aren't named are 422."""

PLAIN: Final[Mapping[int, tuple[str, str]]] = {
    400: ("bad-request", "The request can't be read."),
    404: ("not-found", "There is nothing at this address."),
    405: ("method", "This address doesn't take that method."),
}
"""Of what the framework refuses by itself."""


class Problem(MatbookError):
    """A refusal that is the server's own: status, code and sentence."""

    def __init__(
        self, status: int, code: str, sentence: str, headers: Mapping[str, str] | None = None
    ) -> None:
        self.status = status
        self.code = code
        self.headers = headers or {}
        super().__init__(sentence)


class Fault(BaseModel):
    """What was refused, and why."""

    code: str = Field(description="Stable: what programs look at.")
    sentence: str = Field(description="For a person: what is wrong, and what is allowed.")
    field: str | None = None
    given: str | None = None
    allowed: str | None = None


class Refusal(BaseModel):
    """The one shape of every error."""

    error: Fault


EXAMPLE: Final = {
    "error": {"code": "not-found", "sentence": "There is no job “harrow” here."},
}


def described(*statuses: int) -> dict[int | str, dict[str, Any]]:
    """The refusals of a route, for the schema; those that any route can give are always there."""
    said = {"model": Refusal, "description": "Refused; `sentence` says why."}
    content = {"application/json": {"example": EXAMPLE}}
    every = (400, 401, 403, 404, 405, 408, 413, 415, 421, 422, 429, 500, 503, 507)
    return {status: {**said, "content": content} for status in sorted({*every, *statuses})}


def told(
    status: int,
    code: str,
    sentence: str,
    headers: Mapping[str, str] | None = None,
    more: Mapping[str, str] | None = None,
) -> JSONResponse:
    """The answer that carries a refusal."""
    return JSONResponse(
        {"error": {"code": code, "sentence": sentence, **(more or {})}}, status, dict(headers or {})
    )


def install(app: FastAPI) -> None:
    """Have every error of an app come out in the one shape."""
    app.add_exception_handler(MatbookError, _explained)
    app.add_exception_handler(HTTPException, _plain)
    app.add_exception_handler(RequestValidationError, _unfit)
    app.add_exception_handler(Exception, _unforeseen)


async def _explained(_: Request, error: Exception) -> Response:
    assert isinstance(error, MatbookError)
    return answer_to(error)


def answer_to(error: MatbookError) -> Response:
    """The answer that tells of an error of ours."""
    if isinstance(error, Problem):
        return told(error.status, error.code, str(error), error.headers)
    status = STATUS.get(error.code, 422)
    if isinstance(error, Refused):
        more = {"field": error.field, "given": str(error.given)[:200], "allowed": error.allowed}
        return told(status, error.code, str(error), more=more)
    headers = {"Retry-After": "2"} if status == 503 else {}
    return told(status, error.code, str(error), headers)


async def _plain(_: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    code, sentence = PLAIN.get(error.status_code, ("refused", "The request can't be taken."))
    return told(error.status_code, code, sentence, error.headers)


async def _unfit(_: Request, error: Exception) -> Response:
    """The first thing wrong with a request, in words; what was given is cut short."""
    assert isinstance(error, RequestValidationError)
    first = error.errors()[0]
    field = ".".join(str(part) for part in first["loc"]) or "body"
    given = _shown(first.get("input"))
    allowed = str(first["msg"])[:200]
    sentence = f"{field} is {given}; {allowed[:1].lower()}{allowed[1:]}."
    more = {"field": field, "given": given, "allowed": allowed}
    return told(422, "refused", sentence, more=more)


def _shown(given: object) -> str:
    """A short form of what was given that can always be sent."""
    text = f"“{given}”" if isinstance(given, str) else str(given)
    text = text if len(text) <= 80 else f"{text[:77]}…"
    return text.encode("utf-8", "replace").decode("utf-8")


async def _unforeseen(_: Request, error: Exception) -> Response:
    return told(500, "error", "Something went wrong here; what you wrote is still on your device.")
