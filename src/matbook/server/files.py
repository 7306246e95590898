"""Attachments: photos and scans come up in pieces, and go on where a connection was cut.

Only what an entry of the job names is taken, only if the bytes are those it names, and only if
they are a photo or a scan. They go out as files to be saved, never as something to be run.
"""

import hashlib
import re
import threading
from pathlib import Path
from typing import Annotated, Final

from fastapi import APIRouter, Body, Header, Response
from pydantic import BaseModel

from matbook.server import images
from matbook.server.context import Context, Here, Job, Sha256
from matbook.server.entries import visible
from matbook.server.house import House
from matbook.server.problems import Problem, described
from matbook.server.who import OWNER, Asker, Who

routes = APIRouter(tags=["attachments"])

_RANGE: Final = re.compile(r"bytes (\d{1,12})-(\d{1,12})/(\d{1,12})", re.ASCII)
_turn = threading.Lock()
OLD_S: Final = 30 * 86_400
"""Parts of attachments are kept for so long [s]."""


class Progress(BaseModel):
    """How far an attachment has come up; the next piece begins at `offset`."""

    offset: int
    whole: bool


@routes.head(
    "/api/jobs/{job}/attachments/{sha256}", summary="How far it has come", responses=described()
)
def look(here: Here, who: Asker, job: Job, sha256: Sha256) -> Response:
    """How much of an attachment is here: Upload-Offset of Upload-Length; 404 if nothing is."""
    check_named(here, who, job, sha256)
    size = here.house.store.attachment_size(sha256)
    if size is not None:
        return Response(headers={"Upload-Offset": str(size), "Upload-Length": str(size)})
    part, total = _part(here, job, sha256)
    if part is None:
        raise Problem(404, "not-found", "Nothing of this attachment is here yet.")
    headers = {"Upload-Offset": str(part.stat().st_size), "Upload-Length": str(total)}
    return Response(headers=headers)


@routes.put(
    "/api/jobs/{job}/attachments/{sha256}",
    summary="Send a piece",
    responses=described(409),
)
def put(
    here: Here,
    who: Asker,
    job: Job,
    sha256: Sha256,
    piece: Annotated[bytes, Body(media_type="application/octet-stream")],
    content_range: Annotated[str, Header(max_length=60, examples=["bytes 0-99/100"])],
) -> Progress:
    """Take the next piece, and say where to go on; one that isn't the next changes nothing."""
    check_named(here, who, job, sha256)
    first, total = read_range(content_range, len(piece), here.serving.limits.attachment_bytes)
    with _turn:
        if here.house.store.attachment_size(sha256) is not None:
            return Progress(offset=total, whole=True)
        part = _opened(here, job, sha256, total, first)
        offset = part.stat().st_size
        if first != offset:
            return Progress(offset=offset, whole=False)
        with part.open("ab") as file:
            file.write(piece)
        offset += len(piece)
        if offset < total:
            return Progress(offset=offset, whole=False)
        raw = part.read_bytes()
        part.unlink()
    if hashlib.sha256(raw).hexdigest() != sha256:
        raise Problem(
            409, "other-bytes", "What came is not what the entry names; send it again from 0."
        )
    images.check(raw, here.serving.limits.pixels)
    here.house.store.attach(raw)
    return Progress(offset=total, whole=True)


@routes.get(
    "/api/jobs/{job}/attachments/{sha256}",
    summary="Fetch",
    response_class=Response,
    responses={
        **described(),
        200: {"content": {"application/octet-stream": {}}, "description": "The original bytes."},
    },
)
def fetch(here: Here, who: Asker, job: Job, sha256: Sha256) -> Response:
    """An attachment's original bytes, as a file to save."""
    check_named(here, who, job, sha256)
    raw = here.house.store.attachment(sha256)
    kind, ending = images.kind_of(raw)
    headers = {
        "Content-Disposition": f'attachment; filename="{sha256[:16]}.{ending}"',
        "Cache-Control": "private, max-age=31536000, immutable",
    }
    return Response(raw, media_type=kind, headers=headers)


def forget_old(house: House) -> None:
    """Drop parts that nobody went on with for a month; whoever has the whole sends it again."""
    before = house.clock().timestamp() - OLD_S
    for part in (house.home / "incoming").glob("*.*.*"):
        if part.stat().st_mtime < before:
            part.unlink(missing_ok=True)


def check_named(here: Context, who: Who, job: str, sha256: str) -> None:
    """Raise unless an entry of this job, which this role may read, names the attachment."""
    who.of(job)
    naming = here.shelf.job(job).naming(sha256)
    if who.role != OWNER and naming:
        store = here.house.store
        found = [store.entry(job, digest) for digest in naming]
        naming = sorted(visible(here, who, job, found))
    if not naming:
        raise Problem(409, "not-named", "No entry of this job names this attachment.")


def read_range(text: str, length: int, most: int) -> tuple[int, int]:
    """Where a piece begins and how long the whole is; raises unless they fit the piece."""
    found = _RANGE.fullmatch(text)
    first, last, total = (int(part) for part in found.groups()) if found else (0, -1, 0)
    if not found or not length or last - first + 1 != length or last >= total:
        raise Problem(422, "refused", "Content-Range must fit the piece, such as bytes 0-99/250.")
    if total > most:
        raise Problem(413, "too-large", f"An attachment may have at most {most} bytes.")
    return first, total


def _part(here: Context, job: str, sha256: str) -> tuple[Path | None, int]:
    """The part of an attachment that has come up, and how long the whole is to be."""
    for path in (here.house.home / "incoming").glob(f"{job}.{sha256}.*"):
        return path, int(path.suffix[1:])
    return None, 0


def _opened(here: Context, job: str, sha256: str, total: int, first: int) -> Path:
    """The file that the pieces go into; another length means to begin again."""
    part, expected = _part(here, job, sha256)
    if part is not None and expected != total:
        if first:
            raise Problem(409, "other-length", f"This was begun with a length of {expected}.")
        part.unlink()
        part = None
    if part is None:
        folder = here.house.home / "incoming"
        folder.mkdir(exist_ok=True)
        part = folder / f"{job}.{sha256}.{total}"
        part.touch()
    return part
