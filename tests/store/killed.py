"""What `test_kills` starts and kills: keeps entries and says so, one by one or very many at once.

python -m tests.store.killed FILE one | all
"""

import sys
from itertools import islice
from pathlib import Path

from matbook.book.pen import Pen
from matbook.store.sqlite import SqliteStore, open_store
from tests.scribe import Scribe
from tests.store.books import NOW, notes, pair

MANY = 12_000
"""Entries of one import: enough for other processes to be called in to check them."""

DEVICE = "phone-1"


def one_by_one(store: SqliteStore) -> None:
    """Write on where the chain has reached, and say each hash once it is kept."""
    scribe = Scribe(DEVICE)
    for seq, hash_ in store.heads("ridge").get(DEVICE, ()):
        scribe.pen = Pen(DEVICE, "ana", seq, hash_)
    while True:
        entry = scribe.write("note", {"text": "kept"}, scribe.pen.seq / 60)
        [receipt] = store.append([pair(entry)], NOW)
        print(receipt.hash, flush=True)


def many_at_once(store: SqliteStore) -> None:
    """Take in one job after another, and say its name once it is kept."""
    for number in range(1000):
        job = f"job-{number}"
        store.append_all(islice(notes(job), MANY), NOW)
        print(job, flush=True)


if __name__ == "__main__":
    print("begun", flush=True)
    with open_store(Path(sys.argv[1])) as opened:
        {"one": one_by_one, "all": many_at_once}[sys.argv[2]](opened)
