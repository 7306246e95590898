"""Who is asking: the device whose token was shown, or whoever sits at this machine."""

import hashlib
from dataclasses import dataclass
from typing import Annotated, Final, Literal

from fastapi import Depends, Request

from matbook.server.problems import Problem
from matbook.store.accounts import Device
from matbook.store.contract import Store

Role = Literal["inspector", "technician", "supervisor", "contractor"]
OWNER: Final = "owner"
"""Whoever is at the machine itself: no account is needed on loopback, and nothing is withheld."""

NOBODY: Final = "nobody"
"""Whoever showed no token where one is needed: the few open routes don't ask who it is."""


@dataclass(frozen=True)
class Who:
    """The one who asks. On loopback there is no device and no person: the role is OWNER."""

    role: str = OWNER
    device: Device | None = None

    @property
    def name(self) -> str:
        """What logs and limits call it."""
        return self.device.device if self.device else ""

    def of(self, job: str) -> "Who":
        """The same, once it is clear that it may look at this job at all."""
        if self.device is not None and self.device.job != job:
            raise Problem(403, "other-job", "This device was paired for another job.")
        return self


def token_digest(token: str) -> bytes:
    """What is kept of a token. It has 256 random bits, so that a plain hash gives nothing away."""
    return hashlib.sha256(token.encode()).digest()


def recognised(store: Store, header: str) -> Who | None:
    """Who shows this Authorization header; None if it is nobody's."""
    scheme, _, token = header.partition(" ")
    if scheme.lower() != "bearer" or not 20 <= len(token) <= 200:
        return None
    device = store.device_of(token_digest(token))
    return None if device is None else Who(device.role, device)


def still_welcome(store: Store, who: Who) -> bool:
    """Whether a device that was let in has not been turned away since."""
    return who.device is None or store.device_of(who.device.token) is not None


def _who(request: Request) -> Who:
    found: Who = request.scope["who"]
    return found


Asker = Annotated[Who, Depends(_who)]
"""Who is asking, as `guard` found it."""
