"""What the server needs of the installation it serves."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Final, Protocol

from matbook.book.entry import Entry
from matbook.desk.job import JobBook
from matbook.seal.keys import InstallationKey
from matbook.store.contract import Store

PORT: Final = 8417


class House(Protocol):
    """An installation: its store of books, its key, its clock."""

    @property
    def home(self) -> Path: ...
    @property
    def store(self) -> Store: ...
    @property
    def key(self) -> InstallationKey: ...
    @property
    def clock(self) -> Callable[[], datetime]: ...

    def moment(self) -> str:
        """The present moment, as entries carry it."""
        ...

    def book(self, job: str) -> JobBook:
        """The whole book of one job."""
        ...

    def seal(self, job: str, shift: str) -> Entry:
        """Seal a shift."""
        ...


@dataclass(frozen=True)
class Limits:
    """How much, and how often. Rates are (at once, then per second)."""

    json_bytes: int = 4 << 20
    piece_bytes: int = 1 << 20
    attachment_bytes: int = 64 << 20
    pixels: int = 40_000_000
    entries: int = 500
    body_s: float = 30.0
    pushes: int = 24
    """Taken in at once. After an outage every phone comes: the rest is asked to come again."""
    device_rate: tuple[float, float] = (240, 20)
    address_rate: tuple[float, float] = (4000, 400)
    pairing_rate: tuple[float, float] = (5, 1 / 60)


@dataclass(frozen=True)
class Serving:
    """How this server is reached."""

    address: str = f"http://localhost:{PORT}"
    """What people type, or scan."""
    hosts: frozenset[str] = frozenset(f"{n}:{PORT}" for n in ("localhost", "127.0.0.1", "[::1]"))
    """The Host headers it answers to; one that begins with *. stands for one label."""
    accounts: bool = False
    """Whether everybody needs a device that was paired: off loopback, always."""
    proxied: bool = False
    """Whether a proxy of ours stands in front, and takes care of HTTPS."""
    limits: Limits = field(default_factory=Limits)
