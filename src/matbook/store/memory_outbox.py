"""Notices on their way out in plain dictionaries: the twin of `sql_outbox`."""

import threading
from collections.abc import Sequence

from matbook.book.sending import Sending
from matbook.store.outbox import Outbox


class MemoryOutbox(Outbox):
    """What `outbox` promises, forgotten at the end."""

    def __init__(self) -> None:
        self._line: dict[tuple[str, str, str], tuple[Sending, int, int]] = {}
        self._read: dict[str, int] = {}
        self._one = threading.Lock()

    def outbox_read(self, job: str) -> int:
        return self._read.get(job, 0)

    def put_in_line(self, job: str, read: int, fresh: Sequence[Sending], now: int) -> None:
        with self._one:
            for one in fresh:
                self._line.setdefault((job, one.entry, one.person), (one, now, now))
            self._read[job] = max(read, self._read.get(job, 0))

    def take_from_line(self, now: int, until: int) -> tuple[str, Sending, int] | None:
        with self._one:
            waiting = [
                (due, key)
                for key, (one, _, due) in self._line.items()
                if one.state == "waiting" and due <= now
            ]
            if not waiting:
                return None
            _, key = min(waiting)
            one, taken, _ = self._line[key]
            mine = one._replace(tries=one.tries + 1)
            self._line[key] = (mine, taken, until)
        return key[0], mine, taken

    def put_back(self, job: str, done: Sending, due: int) -> None:
        key = job, done.entry, done.person
        self._line[key] = (done, self._line[key][1], due)

    def sendings(self, job: str) -> list[Sending]:
        return [one for key, (one, *_) in sorted(self._line.items()) if key[0] == job]
