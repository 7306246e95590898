"""Sealing a shift, and what leaves the book: its record, its bundle, its entries as lines."""

from typing import Annotated, Final

from fastapi import APIRouter, Path, Query, Response
from pydantic import BaseModel

from matbook.desk.job import JobBook
from matbook.errors import NotFound
from matbook.records.bundle import lines
from matbook.seal.sealing import under_seal
from matbook.server.context import Context, Here, Job
from matbook.server.problems import Problem, described
from matbook.server.who import Asker, Who
from matbook.words import ENGLISH, languages

routes = APIRouter(tags=["records"])

Date = Annotated[str, Path(pattern=r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$", examples=["2026-06-16"])]
Crew = Annotated[str, Path(pattern="^[a-z0-9-]{1,20}$", examples=["a"])]
Part = Annotated[str, Path(pattern="^(day|night)$", examples=["day"])]
Language = Annotated[str, Query(pattern=f"^({'|'.join(languages())})$", examples=["en"])]
_SHIFT: Final = "/api/jobs/{job}/shifts/{date}/{crew}/{part}"


class Seal(BaseModel):
    """The seal of a shift; its hash is what is printed and sent around."""

    id: str
    hash: str
    shift: str
    at: str
    key: str


class Sealed(BaseModel):
    """A shift was sealed."""

    seal: Seal


@routes.post(f"{_SHIFT}/seal", summary="Seal a closed shift", responses=described(409))
def seal(here: Here, who: Asker, job: Job, date: Date, crew: Crew, part: Part) -> Sealed:
    """Seal a shift that was closed. One whose seal covers all that is here keeps its seal."""
    from matbook.records.reporting import holding_seal  # slow to load, so only when used

    book, shift = _shift(here, who, job, f"{job}/{date}/{crew}/{part}")
    closes = [fact.entry for fact in book.facts(shift).of("shift-close")]
    if not closes:
        raise Problem(409, "not-closed", "The shift is not closed: that is an entry of its own.")
    found = holding_seal(book, shift)
    if found is None or closes[-1].hash not in under_seal(found, book.entries):
        found = here.house.seal(job, shift)
    key = str(found.body["key"])
    made = Seal(id=found.id, hash=found.hash, shift=shift, at=found.body["at"], key=key)
    return Sealed(seal=made)


@routes.get(
    f"{_SHIFT}/record",
    summary="The daily record",
    response_class=Response,
    responses={**described(), 200: {"content": {"application/pdf": {}}, "description": "PDF"}},
)
def record(
    here: Here,
    who: Asker,
    job: Job,
    date: Date,
    crew: Crew,
    part: Part,
    language: Language = ENGLISH,
) -> Response:
    """The daily record: signed if the shift is sealed, else marked as a draft."""
    from matbook.records.reporting import holding_seal, make_record

    book, shift = _shift(here, who, job, f"{job}/{date}/{crew}/{part}")
    key = here.house.key if holding_seal(book, shift) else None
    made = make_record(book, shift, key, book.last_moment(shift), language)
    return _file(made.pdf, "application/pdf", f"{shift}.pdf")


@routes.get(
    f"{_SHIFT}/bundle",
    summary="The bundle",
    response_class=Response,
    responses={**described(), 200: {"content": {"application/zip": {}}, "description": "Zip"}},
)
def bundle(here: Here, who: Asker, job: Job, date: Date, crew: Crew, part: Part) -> Response:
    """Entries, seal, attachments, and a program that checks them without Matbook."""
    from matbook.records.reporting import make_bundle

    book, shift = _shift(here, who, job, f"{job}/{date}/{crew}/{part}")
    raw = make_bundle(book, shift, here.house.store)
    return _file(raw, "application/zip", f"{shift}.zip")


@routes.get(
    f"{_SHIFT}/lines",
    summary="The entries as JSON lines",
    response_class=Response,
    responses={**described(), 200: {"content": {"application/jsonl": {}}, "description": "Lines"}},
)
def as_lines(here: Here, who: Asker, job: Job, date: Date, crew: Crew, part: Part) -> Response:
    """The shift's entries and those of the whole job, each with its hash, exactly as written."""
    book, shift = _shift(here, who, job, f"{job}/{date}/{crew}/{part}")
    raw = lines(entry for entry in book.entries if entry.shift in ("", shift))
    return _file(raw, "application/jsonl", f"{shift}.jsonl")


def _shift(here: Context, who: Who, job: str, shift: str) -> tuple[JobBook, str]:
    """The book of a job that has this shift; raises NotFound."""
    who.of(job)
    if not here.house.store.cursor(job):
        raise NotFound(f"There is no job “{job}” here.")
    book = here.house.book(job)
    book.facts(shift)
    return book, shift


def _file(raw: bytes, kind: str, name: str) -> Response:
    shown = name.replace("/", "_")
    headers = {"Content-Disposition": f'attachment; filename="{shown}"'}
    return Response(raw, media_type=kind, headers=headers)
