"""The daily record: from entries to a PDF, against the typesetter alone on the same pages.

Each figure is taken in a process of its own, since the typesetter remembers what it has set before
and a person's first record is the one that takes its time. Starting Python isn't counted.
"""

import json
import subprocess
import sys
from importlib import resources
from time import perf_counter

from bench.row import Row
from matbook.book.entry import Entry, read_entry
from matbook.desk.job import JobBook
from matbook.records.daily import daily_record
from matbook.records.lines import from_lines
from matbook.records.pdf import compile_pdf
from matbook.records.reporting import make_record
from matbook.seal.keys import InstallationKey

WAYS = ("alone", "unsigned", "signed")


def rows(quick: bool) -> list[Row]:
    """A short record and a long one, unsigned and signed."""
    found = []
    for shift in JobBook(_entries()).shifts:
        spent = {
            way: _median([_apart(way, shift) for _ in range(3 if quick else 9)]) for way in WAYS
        }
        alone = spent["alone"]
        for way in WAYS[1:]:
            note = (
                f"aim {'at most 2, ' if way == 'unsigned' else ''}under 1000 ms; typesetter alone"
            )
            name = f"daily record, {way}, {shift}, ms"
            found.append(Row(name, spent[way], alone, spent[way] / alone, note))
    return found


def _entries() -> list[Entry]:
    raw = (resources.files("matbook.demo") / "harrow" / "entries.jsonl").read_bytes()
    return [read_entry(text, digest) for digest, text in from_lines(raw, "harrow")[0]]


def _apart(way: str, shift: str) -> float:
    """Milliseconds of one record, made in a new process."""
    done = subprocess.run(
        [sys.executable, "-m", "bench.record", way, shift], check=True, capture_output=True
    )
    return float(done.stdout)


def _once(way: str, shift: str) -> float:
    entries = _entries()
    key = InstallationKey.create() if way == "signed" else None
    if way == "alone":
        book = JobBook(entries)
        now = book.last_moment(shift)
        document = daily_record(book.view(shift, now), None)
        data = json.dumps(document.data, ensure_ascii=False).encode()
        began = perf_counter()
        compile_pdf("daily.typ", data, document.files, [], now)
    else:
        began = perf_counter()
        book = JobBook(entries)
        make_record(book, shift, key, book.last_moment(shift))
    return (perf_counter() - began) * 1000


def _median(spent: list[float]) -> float:
    return sorted(spent)[len(spent) // 2]


if __name__ == "__main__":
    print(_once(sys.argv[1], sys.argv[2]))
