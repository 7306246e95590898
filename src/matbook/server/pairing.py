"""Pairing: a one-time code makes a phone the device of one person, in one role, on one job."""

import time
from datetime import datetime
from typing import Annotated, Final, Literal

from fastapi import APIRouter, Path, Query
from pydantic import BaseModel, ConfigDict, Field

from matbook.errors import NotFound, Refused
from matbook.server import codes
from matbook.server.context import Here
from matbook.server.house import House
from matbook.server.people import people_of
from matbook.server.problems import Problem, described
from matbook.server.who import Asker, Role, token_digest
from matbook.store.accounts import Device, Pairing

routes = APIRouter(tags=["devices"])

DeviceName = Annotated[str, Field(pattern="^[a-z0-9][a-z0-9-]{0,63}$", examples=["phone-7f3a"])]
_NOT_THIS: Final = (
    "That code does not pair this device: it may be mistyped, used, or older than ten minutes, "
    "or the device is somebody else's. Ask for a new code."
)
"""One sentence for every reason: who guesses learns nothing."""


class Invitation(BaseModel):
    """For whom a code is wanted."""

    model_config = ConfigDict(extra="forbid")
    job: str = Field(pattern="^[a-z0-9][a-z0-9-]{0,63}$", examples=["harrow"])
    person: str = Field(min_length=1, max_length=100, examples=["ana"])
    role: Role


class Code(BaseModel):
    """A one-time code; the QR code holds the address and the code."""

    code: str = Field(examples=["7K-3MWX-9QT2"])
    address: str
    qr: str = Field(description="SVG")
    expires: str


class PublicKey(BaseModel):
    """A public key on P-256 as the browser exports it; the private one can't be exported."""

    kty: Literal["EC"]
    crv: Literal["P-256"]
    x: str = Field(pattern="^[A-Za-z0-9_-]{43}$")
    y: str = Field(pattern="^[A-Za-z0-9_-]{43}$")


class Claim(BaseModel):
    """A device shows a code."""

    model_config = ConfigDict(extra="forbid")
    code: str = Field(max_length=40, examples=["7K-3MWX-9QT2"])
    device: DeviceName
    key: PublicKey | None = None


class Paired(BaseModel):
    """The device's token: shown this once, kept here only as its hash."""

    token: str
    device: str
    person: str
    role: str
    job: str
    name: str


class Listed(BaseModel):
    """A device that was paired."""

    job: str
    device: str
    person: str
    role: str
    paired: str
    revoked: str
    signs: bool


class Devices(BaseModel):
    """Every device that was paired for a job."""

    devices: list[Listed]


@routes.post("/api/pairing", summary="Make a code", responses=described())
def invite(here: Here, who: Asker, wanted: Invitation) -> Code:
    """A code that pairs one device within ten minutes; a supervisor asks for it."""
    who.of(wanted.job)
    code, expires = new_pairing(here.house, wanted.job, wanted.person, wanted.role)
    address = here.serving.address
    picture = codes.qr_svg(link(address, code))
    return Code(code=codes.shown(code), address=address, qr=picture, expires=expires)


@routes.post("/api/pair", summary="Pair this device", responses=described())
def pair(here: Here, claim: Claim) -> Paired:
    """Show a code, get a token. Five wrong tries spend a pairing."""
    found = codes.read_code(claim.code)
    try:
        key = codes.public_key(claim.key.model_dump() if claim.key else None)
    except ValueError:
        raise Problem(422, "refused", "key is no public key on P-256.") from None
    if found is None:
        raise Problem(403, "code", _NOT_THIS)
    token, house = codes.new_token(), here.house
    asked = Device("", claim.device, "", "", key, token_digest(token), house.moment())
    proof = codes.proof_of(house.key, *found)
    made = house.store.redeem(found[0], proof, int(time.time()), asked)
    if made is None:
        raise Problem(403, "code", _NOT_THIS)
    return Paired(
        token=token,
        device=made.device,
        person=made.person,
        role=made.role,
        job=made.job,
        name=people_of(house.store, made.job).get(made.person, made.person),
    )


@routes.get("/api/devices", summary="Devices that were paired", responses=described())
def devices(here: Here, who: Asker) -> Devices:
    """Who has paired what, of the supervisor's job; at the machine itself, of all jobs."""
    found = here.house.store.devices(who.device.job if who.device else None)
    return Devices(
        devices=[
            Listed(
                job=one.job,
                device=one.device,
                person=one.person,
                role=one.role,
                paired=one.paired,
                revoked=one.revoked,
                signs=bool(one.key),
            )
            for one in found
        ]
    )


@routes.delete("/api/devices/{device}", summary="Turn a device away", responses=described())
def revoke(
    here: Here,
    who: Asker,
    device: Annotated[str, Path(pattern="^[a-z0-9][a-z0-9-]{0,63}$", examples=["phone-7f3a"])],
    job: Annotated[str, Query(pattern="^([a-z0-9][a-z0-9-]{0,63})?$")] = "",
) -> Devices:
    """From now on its token opens nothing; what it wrote stays. Without `job`: of every job."""
    store = here.house.store
    jobs = {who.device.job} if who.device else {one.job for one in store.devices()}
    turned = [
        store.revoke(name, device, here.house.moment())
        for name in sorted(jobs)
        if job in ("", name)
    ]
    if not any(turned):
        raise NotFound(f"There is no device “{device}” that could be turned away.")
    return devices(here, who)


def new_pairing(house: House, job: str, person: str, role: str) -> tuple[str, str]:
    """Keep a new pairing; returns its code, and until when it can be used.

    Raises:
        NotFound: There is no such job.
        Refused: The plan of the job does not name that person.
    """
    store, now = house.store, int(time.time())
    if not store.cursor(job):
        raise NotFound(f"There is no job “{job[:64]}” here; import its plan first.")
    people = people_of(store, job)
    if person not in people:
        named = ", ".join(sorted(people)) or "nobody"
        raise Refused("person", person, f"it must be one of the people in the plan: {named}")
    ends = now + 60 * codes.MINUTES
    while True:  # until a name is free; there are a thousand
        code = codes.new_code()
        name, secret = code[: codes.NAME], code[codes.NAME :]
        proof = codes.proof_of(house.key, name, secret)
        if store.invite(Pairing(job, name, proof, person, role, ends), now):
            break
    until = datetime.fromtimestamp(ends, house.clock().tzinfo)
    return code, until.replace(microsecond=0).isoformat()


def link(address: str, code: str) -> str:
    """What the QR code says. Behind the #, the code never reaches a server or its log."""
    return f"{address}/#pair={codes.shown(code)}"
