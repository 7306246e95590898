"""The one place where things are wired: settings, the store, this installation's key and pen."""

import os
import secrets
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from filelock import FileLock, Timeout

from matbook.book.entry import Entry, read_entry
from matbook.book.forms import place_faults
from matbook.book.kinds import Fault, faults, kind_named
from matbook.book.pen import Pen, new_id
from matbook.desk.job import JobBook
from matbook.errors import EntryRefused, FileRefused, Refused, StoreBusy
from matbook.records.drafts import Draft
from matbook.seal.keys import InstallationKey
from matbook.seal.sealing import seal_body, signed_text
from matbook.store.contract import Store
from matbook.store.sqlite import open_store

SETTINGS: Final[Mapping[str, str]] = {
    "MATBOOK_HOME": "Folder that holds the books, attachments and this installation's key.",
    "MATBOOK_SEND_TO": "Whom the server may send notices to, apart by commas: whole addresses and "
    "numbers, `@example.org` for everybody there, `+1555*` for numbers that begin so. While it is "
    "empty, no mail and no SMS go out.",
    "MATBOOK_MAIL_URL": "The mail server: `smtps://host:465`, `smtp+starttls://host:587`, or "
    "`smtp://localhost:25` for one on this machine.",
    "MATBOOK_MAIL_FROM": "The address that mail comes from.",
    "MATBOOK_MAIL_USER": "Who signs in to the mail server, where it wants that.",
    "MATBOOK_MAIL_PASSWORD": "The password for that.",
    "MATBOOK_SMS_URL": "The SMS gateway: gets `id`, `to` and `text` as JSON by POST over HTTPS.",
    "MATBOOK_SMS_TOKEN": "Shown to the gateway as a bearer token.",
    "MATBOOK_WEBHOOK_URL": "Gets messages that no SMS gateway takes, as JSON by POST over HTTPS.",
    "MATBOOK_WEBHOOK_TOKEN": "Shown to the webhook as a bearer token.",
    "MATBOOK_SEND_LANGUAGE": "Language of what is put around a notice: en, es or fr.",
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
    lock: FileLock
    """Reentrant: whoever holds it may write without letting go in between."""
    warn: Callable[[str], None] = lambda sentence: None
    """Told what a person should know, and no command can stop for."""

    def moment(self) -> str:
        """The present moment, as entries carry it."""
        return moment_text(self.clock())

    def book(self, job: str) -> JobBook:
        """The whole book of one job; entries changed in the store are named, and left out."""
        entries = []
        for stored in self.store.entries(job):
            try:
                entries.append(read_entry(stored.text, stored.hash))
            except EntryRefused as refused:
                self.warn(f"Entry number {stored.cursor} of this book is left out. {refused}")
        book = JobBook(entries)
        book.know_sendings(self.store.sendings(job))
        return book

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
                at=at.isoformat() if at else moment_text(now),
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

    @contextmanager
    def holding_the_pen(self) -> Iterator[None]:
        """Held while writing: two commands at once must not both follow the same entry."""
        with _held(self.lock):
            yield

    def pen(self, job: str, by: str) -> Pen:
        """This installation's pen in one job, where its chain has reached."""
        heads = self.store.heads(job).get(self.device, ())
        last = max(heads, key=lambda head: head.seq, default=None)
        return Pen(self.device, by) if last is None else Pen(self.device, by, last.seq, last.hash)

    def seal(self, job: str, shift: str) -> Entry:
        """Seal a shift: all heads and counts as they stand here, signed.

        Nothing can be written here between reading the book and writing the seal.
        """
        with self.holding_the_pen():
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


def open_installation(
    home: Path, clock: Callable[[], datetime] = local_now, wait_s: float = 30.0
) -> Installation:
    """Open the folder of an installation, making what isn't there yet: store, key, device name.

    Args:
        home: The folder.
        clock: Gives the present moment.
        wait_s: How long to wait for another command that is writing [s], from 0.

    Raises:
        FileRefused: The folder, the key or the store can't be used.
        StoreBusy: Another command was writing for longer than that.
    """
    lock = FileLock(home / "pen.lock", timeout=wait_s)
    try:
        home.mkdir(parents=True, exist_ok=True)
        key = _key(home / "installation.pem", lock)
    except OSError as error:
        raise _unusable(home, error) from None
    device = f"installation-{key.fingerprint.replace(' ', '').lower()[:12]}"
    return Installation(home, open_store(home / "books.sqlite"), key, device, clock, lock)


def _key(path: Path, lock: FileLock) -> InstallationKey:
    """The key in this file, made first if there is none."""
    if not path.exists():
        with _held(lock):
            if not path.exists():  # another command may have been quicker
                _write_key(path, InstallationKey.create().pem())
    try:
        return InstallationKey.from_pem(path.read_bytes())
    except FileRefused as error:
        raise FileRefused(
            f"{path} can't be used as this installation's key. {error} Put a copy of it back. If "
            "there is none, move the file away: the next command makes a new key, and everybody "
            "who checks this installation's records has to be given its words anew."
        ) from None


def _write_key(path: Path, pem: bytes) -> None:
    """Write a key so that it appears whole and on the disk, or not at all; the lock is held."""
    part = path.with_name(path.name + ".part")
    part.unlink(missing_ok=True)  # of a command that was cut off
    try:
        with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
            file.write(pem)
            file.flush()
            os.fsync(file.fileno())
        part.rename(path)
    finally:
        part.unlink(missing_ok=True)


@contextmanager
def _held(lock: FileLock) -> Iterator[None]:
    try:
        lock.acquire()
    except Timeout:
        raise StoreBusy("Another command is writing into this book; try again.") from None
    except OSError as error:
        raise _unusable(Path(lock.lock_file).parent, error) from None
    try:
        yield
    finally:
        lock.release()


def _unusable(folder: Path, error: OSError) -> FileRefused:
    return FileRefused(f"The folder {folder} can't be used: {error.strerror}.")
