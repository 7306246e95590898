"""Written notices on their way out: found in the book, put in line, tried until it makes no sense.

The line is in the store, so a crash loses nothing, and the book is what fills it: a notice is in
line because it is in the book, whoever wrote it there and by whichever way it came. A notice
may go out twice where a crash fell between the other side's yes and our writing that down; it
carries the same id each time.
"""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Final

from structlog.typing import FilteringBoundLogger

from matbook.book.entry import read_entry
from matbook.book.forms import opened
from matbook.book.sending import Sending
from matbook.errors import FileRefused, StoreBusy
from matbook.server.carriers import NotTaken
from matbook.server.house import House
from matbook.server.letters import letter, notice_in
from matbook.server.posting import Ways
from matbook.server.shelf import Shelf
from matbook.store.contract import Stored

PAGE: Final = 1000


@dataclass(frozen=True)
class Pace:
    """How often and how long it is tried [s]."""

    first_s: int = 30
    """Before the second try; twice as long before each further one."""
    longest_s: int = 3600
    give_up_s: int = 86400
    """After so long it is given up; and a notice that came so late isn't tried at all."""
    hold_s: int = 300
    """So long one who took it from the line has it to itself: longer than any try can last."""
    look_s: float = 5.0
    """How often the books are looked at for what other programs wrote."""

    def wait_s(self, tries: int) -> int:
        """How long to wait after so many tries.

        Example:
            >>> [Pace().wait_s(tries) for tries in (1, 2, 3, 7, 8, 50)]
            [30, 60, 120, 1920, 3600, 3600]
        """
        return min(self.first_s << min(tries - 1, 20), self.longest_s)


class Outbox:
    """Sends what is in line, in a thread of its own; any number of servers share one line."""

    def __init__(
        self, house: House, ways: Ways, log: FilteringBoundLogger, pace: Pace | None = None
    ) -> None:
        self._house = house
        self._ways = ways
        self._log = log
        self._pace = pace or Pace()
        self._shelf = Shelf(house.store)
        self._bell = threading.Event()
        self._ending = False

    # Working

    @contextmanager
    def at_work(self) -> Iterator[None]:
        """Send until left; what is under way then goes on being in line."""
        worker = threading.Thread(target=self._work, name="outbox", daemon=True)
        worker.start()
        try:
            yield
        finally:
            self._ending = True
            self._bell.set()
            worker.join(timeout=2)

    def ring(self) -> None:
        """Something was written: look at once."""
        self._bell.set()

    def _work(self) -> None:
        while not self._ending:
            self._bell.clear()
            try:
                self.fill()
                while not self._ending and self.send_one():
                    pass
            except (StoreBusy, FileRefused) as trouble:  # the store's own; it may pass
                self._log.warning("outbox", trouble=trouble.code)
            self._bell.wait(0 if self._ending else self._pace.look_s)

    # Filling the line

    def fill(self) -> None:
        """Put in line every notice that came into the books since the last look."""
        store = self._house.store
        for job in store.jobs():
            read, reached = store.outbox_read(job), store.cursor(job)
            while read < reached:
                page = list(store.entries(job, read, PAGE))
                fresh = [one for stored in page for one in self._sendings(stored)]
                read = page[-1].cursor
                store.put_in_line(job, read, fresh, self._now())

    def _sendings(self, stored: Stored) -> Iterator[Sending]:
        if '"kind":"notice"' not in stored.text:  # cheap, and enough for nearly all
            return
        entry = read_entry(stored.text)
        body = opened(entry).body
        way = self._ways.way(str(body.get("how", ""))) if entry.kind == "notice" else ""
        if not way or opened(entry).trouble:
            return
        late = self._now() - entry.at.timestamp() > self._pace.give_up_s
        state, why = ("given-up", "late") if late else ("waiting", "")
        for person in dict.fromkeys(body["to"]):
            yield Sending(entry.id, person, way, state, self._house.moment(), why)

    # Sending

    def send_one(self) -> bool:
        """Try the one that is due first; False if none is."""
        now = self._now()
        taken = self._house.store.take_from_line(now, now + self._pace.hold_s)
        if taken is None:
            return False
        job, one, since = taken
        done = self._tried(job, one, since)._replace(at=self._house.moment())
        due = self._now() + self._pace.wait_s(done.tries)
        self._house.store.put_back(job, done, due)
        self._log.info(
            "sending",
            job=job,
            entry=done.entry,
            how=done.how,
            state=done.state,
            why=done.why,
            said=done.said,
            tries=done.tries,
        )
        return True

    def _tried(self, job: str, one: Sending, since: int) -> Sending:
        try:
            self._carry(job, one)
        except NotTaken as no:
            over = self._now() - since >= self._pace.give_up_s
            state = "refused" if no.for_good else "given-up" if over else "waiting"
            return one._replace(state=state, why=no.why, said=no.said)
        return one._replace(state="sent", why="", said="")

    def _carry(self, job: str, one: Sending) -> None:
        carrier = self._ways.carriers.get(one.how)
        if carrier is None:
            raise NotTaken("not-set")
        with self._shelf.job(job).read() as book:
            ready = letter(notice_in(book, one.entry), one.person, carrier.needs, self._ways)
        carrier.carry(ready)

    def _now(self) -> int:
        return int(self._house.clock().timestamp())
