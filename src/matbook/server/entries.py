"""Push and pull: what a device wrote comes in, what others wrote goes out.

Both may be repeated, cut off and mixed up at will. A push is set union and has a receipt for
every entry; a pull goes on behind the cursor that the client has reached, and says when that is
no longer a place in this store.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Annotated, Final

from anyio import from_thread
from fastapi import APIRouter, Query
from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import Response

from matbook.book.entry import canonical, read_entry
from matbook.errors import EntryRefused, NotProven
from matbook.seal.keys import verify
from matbook.server.context import Context, Here, Job
from matbook.server.house import Limits
from matbook.server.problems import described
from matbook.server.roles import may_see, may_write
from matbook.server.who import OWNER, Asker, Who
from matbook.store.accounts import SignedHead
from matbook.store.contract import Remark, Stored

routes = APIRouter(tags=["sync"])

MOST: Final = Limits.entries
PAGE: Final = 1000
PAGE_BYTES: Final = 4 << 20
"""A page of entries ends once it holds so many characters."""

Hash = Annotated[str, Field(pattern="^[0-9a-f]{64}$", examples=["9f" * 32])]


class Written(BaseModel):
    """An entry on its way: its hash, and its text exactly as written."""

    model_config = ConfigDict(extra="forbid")
    hash: str = Field(max_length=64, examples=["9f" * 32])
    text: str = Field(examples=['{"at":"2026-05-12T07:00:00-04:00","by":"ana", …}'])


class Signed(BaseModel):
    """The end of the device's own chain, signed with its key.

    The signature (ECDSA P-256, SHA-256, r and s in unpadded base64url) is over the JSON text with
    sorted keys and no spaces of at, device, hash, job and seq.
    """

    model_config = ConfigDict(extra="forbid")
    device: str = Field(max_length=64)
    seq: int = Field(ge=1, lt=2**53)
    hash: Hash
    at: str = Field(max_length=40, examples=["2026-05-12T07:00:00-04:00"])
    signature: str = Field(max_length=100)


class Push(BaseModel):
    """A batch of entries, in any order."""

    model_config = ConfigDict(extra="forbid")
    entries: list[Written] = Field(max_length=MOST)
    signed: Signed | None = None


class Head(BaseModel):
    """An entry that nothing here follows."""

    seq: int
    hash: str


class Receipt(BaseModel):
    """What became of one entry; `refused` ones lie in quarantine, with the reason."""

    hash: str
    cursor: int
    state: str = Field(examples=["kept"], description="kept, had or refused")
    reason: str | None = None
    flag: str | None = None


class Pushed(BaseModel):
    """A receipt for every entry, in their order; and how far each device's chain reaches here."""

    epoch: str
    heads: dict[str, list[Head]]
    receipts: list[Receipt]
    signed: str | None = Field(None, description="kept; or why the signed head was not")


class Sent(BaseModel):
    """An entry; one that the role may not read comes as its hash, so that chains still check."""

    cursor: int
    hash: str
    text: str | None = None
    received: str | None = None
    flag: str | None = None
    withheld: bool | None = None


class Pulled(BaseModel):
    """A page of entries; `again` says that the client must begin from 0: nothing is sent then."""

    epoch: str
    heads: dict[str, list[Head]]
    cursor: int
    more: bool
    again: bool
    entries: list[Sent]


@routes.post(
    "/api/jobs/{job}/entries",
    summary="Push",
    response_model=Pushed,
    responses=described(),
)
def push(here: Here, who: Asker, job: Job, batch: Push) -> Response:
    """Keep these entries: those not here yet, each durably before its receipt goes out."""
    who.of(job)
    pairs = [(one.hash, one.text) for one in batch.entries]
    remarks = {digest: remark_on(who, job, digest, text) for digest, text in pairs}
    store = here.house.store
    receipts = store.append(pairs, here.house.moment(), remarks)
    states = Counter(receipt.state for receipt in receipts)
    for state, times in states.items():
        here.counts.entries.labels(state).inc(times)
    if states["kept"]:
        from_thread.run_sync(here.news.ring)
        if here.outbox:
            here.outbox.ring()
    pushed = Pushed(
        epoch=store.epoch(),
        heads=_heads(here, job),
        receipts=[
            Receipt(
                hash=one.hash,
                cursor=one.cursor,
                state=one.state,
                reason=one.reason or None,
                flag=(remarks[one.hash].flag if one.state == "kept" else "") or None,
            )
            for one in receipts
        ],
        signed=_signed(here, who, job, batch.signed),
    )
    return Response(pushed.model_dump_json(exclude_none=True), media_type="application/json")


@routes.get(
    "/api/jobs/{job}/entries",
    summary="Pull",
    response_model_exclude_none=True,
    responses=described(),
)
def pull(
    here: Here,
    who: Asker,
    job: Job,
    after: Annotated[int, Query(ge=0, lt=2**53)] = 0,
    limit: Annotated[int, Query(ge=1, le=PAGE)] = PAGE,
    behind: Annotated[str, Query(pattern="^([0-9a-f]{64})?$")] = "",
    received: Annotated[str, Query(max_length=40)] = "",
) -> Pulled:
    """The entries behind a cursor, in the order of their arrival here.

    `behind` is the hash of the entry that the client has at that cursor, and `received` when that
    one was received. If this store has another one there, or none, it is not the store that the
    client knows: it was put back from a copy. The time is needed because the same entry, sent
    again, may come to stand at the same cursor behind others.
    """
    who.of(job)
    store = here.house.store
    again = after > 0 and not _is_at(store.entries(job, after - 1, 1), behind, received)
    found = [] if again else _page(store.entries(job, after, limit))
    cursor = 0 if again else found[-1].cursor if found else after
    return Pulled(
        epoch=store.epoch(),
        heads=_heads(here, job),
        cursor=cursor,
        more=store.cursor(job) > cursor,
        again=again,
        entries=_sent(here, who, job, found),
    )


def remark_on(who: Who, job: str, digest: str, text: str) -> Remark:
    """What is to be said of an entry that this device hands in."""
    if who.role == OWNER and f'"job":"{job}"' in text:
        return Remark()  # nothing to say, and so nothing to read: this is the usual case
    try:
        entry = read_entry(text, digest)
    except EntryRefused:
        return Remark()  # the store says what is wrong with it
    if entry.job != job:
        return Remark(refused=f"The entry is of the job “{entry.job}”, and was sent to “{job}”.")
    if who.role == OWNER or who.device is None:
        return Remark()
    if not may_write(who.role, entry.kind):
        return Remark(refused=f"A {who.role} may not write “{entry.kind}”.")
    me = who.device
    if entry.device != me.device:
        return Remark(f"Handed on by {me.person} ({me.device}), not by the device that wrote it.")
    if entry.by != me.person:
        return Remark(f"Written as “{entry.by}”, on the device of {me.person}.")
    return Remark()


def _is_at(found: Iterator[Stored], behind: str, received: str) -> bool:
    """Whether there is an entry, and it is the one the client knows, if it says which."""
    here = next(found, None)
    return here is not None and behind in ("", here.hash) and received in ("", here.received)


def _page(found: Iterator[Stored]) -> list[Stored]:
    """As many as a page holds, going by their length; at least one if there is any."""
    page: list[Stored] = []
    left = PAGE_BYTES
    for stored in found:
        if page and left < len(stored.text):
            break
        page.append(stored)
        left -= len(stored.text)
    return page


def _sent(here: Context, who: Who, job: str, found: Sequence[Stored]) -> list[Sent]:
    if not found:
        return []
    flags = here.house.store.flags(job, found[0].cursor - 1, found[-1].cursor)
    seen = visible(here, who, job, found)
    return [
        Sent(
            cursor=one.cursor,
            hash=one.hash,
            text=one.text,
            received=one.received,
            flag=flags.get(one.cursor),
        )
        if one.hash in seen
        else Sent(cursor=one.cursor, hash=one.hash, received=one.received, withheld=True)
        for one in found
    ]


def visible(here: Context, who: Who, job: str, found: Sequence[Stored]) -> set[str]:
    """Hashes of the entries that this role may read."""
    if who.role == OWNER:
        return {one.hash for one in found}
    with here.shelf.job(job).read() as book:
        entries = [read_entry(one.text) for one in found]
        return {entry.hash for entry in entries if may_see(who.role, entry, book)}


def _heads(here: Context, job: str) -> dict[str, list[Head]]:
    return {
        device: [Head(seq=head.seq, hash=head.hash) for head in heads]
        for device, heads in here.house.store.heads(job).items()
    }


def head_text(job: str, signed: Signed) -> str:
    """What the signature of a head is over."""
    return canonical({"job": job, **signed.model_dump(exclude={"signature"})})


def _signed(here: Context, who: Who, job: str, signed: Signed | None) -> str | None:
    """Keep a signed head if it holds; the entries are kept in any case."""
    if signed is None:
        return None
    if who.device is None or not who.device.key:
        return "no key is known of this device"
    if signed.device != who.device.device:
        return "a device signs its own head alone"
    try:
        verify(who.device.key, head_text(job, signed), signed.signature)
    except NotProven as error:
        return str(error)
    head = SignedHead(
        job,
        signed.device,
        signed.seq,
        signed.hash,
        signed.at,
        who.device.key,
        signed.signature,
        here.house.moment(),
    )
    if job not in here.house.store.jobs():
        return "there is no entry of this job here"
    here.house.store.keep_head(head)
    return "kept"
