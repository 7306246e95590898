"""The one place where things are wired: settings, the store, this installation's key and pen."""

import os
import secrets
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from filelock import FileLock

from matbook.book.entry import Entry, read_entry
from matbook.book.forms import place_faults
from matbook.book.kinds import Fault, faults, kind_named
from matbook.book.pen import Pen, new_id
from matbook.desk.job import JobBook
from matbook.errors import FileRefused, Refused
from matbook.records.drafts import Draft
from matbook.seal.keys import InstallationKey
from matbook.seal.sealing import seal_body, signed_text
from matbook.store.contract import Store
from matbook.store.sqlite import open_store

SETTINGS: Final[Mapping[str, str]] = {
    "MATBOOK_HOME": "Folder that holds the books, attachments and this installation's key.",
}
"""Every setting, by the name of its environment variable."""

INSTALLATION: Final = "installation"
"""`by` of what the installation itself writes: seals."""


def home_folder(given: str | None = None) -> Path:
    """The folder everything lives in: as given, or as set, or `matbook` in the home folder."""
    return Path(given or os.environ.get("MATBOOK_HOME") or Path.home() / "matbook")


@dataclass(frozen=True)
class Installation:
    """A store of books with the key that seals them."""

    home: Path
    store: Store
    key: InstallationKey
    device: str
    """Name of this installation as a device: every entry written here is on its chain."""
    clock: Callable[[], datetime]

    def book(self, job: str) -> JobBook:
        """The whole book of one job."""
        return JobBook(read_entry(s.text, s.hash) for s in self.store.entries(job))

    def write(
        self,
        job: str,
        kind: str,
        body: Mapping[str, Any],
        by: str,
        at: datetime | None = None,
        id: str | None = None,  # noqa: A002
        **envelope: Any,
    ) -> Entry:
        """Check a body by its form, write it on this installation's chain, and keep it durably.

        Raises:
            Refused: The first thing wrong with the body; nothing is written.
        """
        form = kind_named(kind)
        found = faults(form, body) + place_faults(form, envelope.get("place", {}))
        if found:
            raise refusal(found)
        with self.holding_the_pen():
            now = self.clock()
            entry, _ = self.pen(job, by).write(
                id or new_id(int(now.timestamp() * 1000), secrets.token_bytes(10)),
                job,
                kind,
                body,
                at=moment_text(at or now),
                written=moment_text(now),
                v=form.v,
                **envelope,
            )
            self.store.append([(entry.hash, entry.text)], moment_text(now))
        return entry

    def write_all(
        self, job: str, kind: str, drafts: Sequence[Draft], by: str, shift: str
    ) -> tuple[int, int]:
        """Write the drafts that aren't here yet, all in one transaction.

        Returns:
            How many were kept, and how many were here already.
        """
        form = kind_named(kind)
        with self.holding_the_pen():
            here = {entry.id for entry in self.book(job).entries}
            written, pen, now = [], self.pen(job, by), moment_text(self.clock())
            for draft in (draft for draft in drafts if draft.id not in here):
                entry, pen = pen.write(
                    draft.id,
                    job,
                    kind,
                    draft.body,
                    at=draft.at,
                    written=now,
                    v=form.v,
                    shift=shift,
                )
                written.append((entry.hash, entry.text))
            self.store.append(written, now)
        return len(written), len(drafts) - len(written)

    def holding_the_pen(self) -> FileLock:
        """Held while writing: two commands at once must not both follow the same entry."""
        return FileLock(self.home / "pen.lock", timeout=30)

    def pen(self, job: str, by: str) -> Pen:
        """This installation's pen in one job, where its chain has reached."""
        heads = self.store.heads(job).get(self.device, ())
        last = max(heads, key=lambda head: head.seq, default=None)
        return Pen(self.device, by) if last is None else Pen(self.device, by, last.seq, last.hash)

    def seal(self, job: str, shift: str) -> Entry:
        """Seal a shift: all heads and counts as they stand here, signed."""
        book = self.book(job)
        seals = [entry for entry in book.entries if entry.kind == "seal"]
        before = max(seals, key=lambda seal: seal.written, default=None)
        body = seal_body(
            book.entries,
            shift,
            before.hash if before else "",
            self.key.public_text,
            moment_text(self.clock()),
        )
        body["signature"] = self.key.sign(signed_text(job, shift, body))
        return self.write(job, "seal", body, INSTALLATION, shift=shift)


def refusal(found: list[Fault]) -> Refused:
    """All faults of a body in one sentence for the person who can mend them."""
    first, *others = found
    more = "".join(f"; {fault.field} is “{fault.given[:60]}”: {fault.allowed}" for fault in others)
    return Refused(first.field, first.given, first.allowed + more)


def moment_text(at: datetime) -> str:
    """A moment as entries carry it: to the second, with its offset."""
    return at.replace(microsecond=0).isoformat()


def local_now() -> datetime:
    """Now, with the offset of the place this runs in."""
    return datetime.now().astimezone()


def open_installation(home: Path, clock: Callable[[], datetime] = local_now) -> Installation:
    """Open the folder of an installation, making what isn't there yet: store, key, device name."""
    try:
        home.mkdir(parents=True, exist_ok=True)
        key = _key(home / "installation.pem")
    except OSError as error:
        raise FileRefused(f"The folder {home} can't be used: {error.strerror}.") from None
    device = f"installation-{key.fingerprint.replace(' ', '').lower()[:12]}"
    return Installation(home, open_store(home / "books.sqlite"), key, device, clock)


def _key(path: Path) -> InstallationKey:
    if path.exists():
        return InstallationKey.from_pem(path.read_bytes())
    key = InstallationKey.create()
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(descriptor, "wb") as file:
        file.write(key.pem())
    return key
