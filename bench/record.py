"""The daily record: from entries to a PDF, against the typesetter alone on the same pages."""

import json
from collections.abc import Callable
from datetime import datetime
from importlib import resources
from time import perf_counter

import pypdfium2

from bench.row import Row
from matbook.book.entry import read_entry
from matbook.book.pen import ShiftName
from matbook.desk.job import JobBook
from matbook.records.daily import Document, daily_record
from matbook.records.lines import from_lines
from matbook.records.pdf import compile_pdf
from matbook.records.reporting import make_record
from matbook.seal.keys import InstallationKey
from matbook.shift.facts import Facts
from matbook.shift.view import view


def rows(quick: bool) -> list[Row]:
    """A short record and a long one, unsigned and signed."""
    times = 3 if quick else 9
    raw = (resources.files("matbook.demo") / "harrow" / "entries.jsonl").read_bytes()
    entries = [read_entry(text, digest) for digest, text in from_lines(raw, "harrow")[0]]
    key, found = InstallationKey.create(), []
    for shift in JobBook(entries).shifts:
        now = JobBook(entries).last_moment(shift)

        def ours(shift: str = shift, now: datetime = now) -> bytes:
            return make_record(JobBook(entries), shift, None, now).pdf

        def signed(shift: str = shift, now: datetime = now) -> bytes:
            return make_record(JobBook(entries), shift, key, now).pdf

        facts = Facts(ShiftName.read(shift), entries)
        document = daily_record(view(facts, now), None)

        def alone(document: Document = document, now: datetime = now) -> bytes:
            data = json.dumps(document.data, ensure_ascii=False).encode()
            return compile_pdf("daily.typ", data, document.files, [], now)

        pages = len(pypdfium2.PdfDocument(ours()))
        spent = _interleaved([alone, ours, signed], times)
        note = "aim at most 2 unsigned, under 1000 ms; the typesetter alone, without attachments"
        for name, ms in (("record", spent[1]), ("record, signed", spent[2])):
            found.append(Row(f"{name} of {pages} pages, ms", ms, spent[0], ms / spent[0], note))
    return found


def _interleaved(works: list[Callable[[], bytes]], times: int) -> list[float]:
    """The median time of each [ms], taken turn by turn so that a slow moment hits all alike."""
    spent: list[list[float]] = [[] for _ in works]
    for _ in range(times):
        for place, work in enumerate(works):
            began = perf_counter()
            work()
            spent[place].append((perf_counter() - began) * 1000)
    return [sorted(one)[len(one) // 2] for one in spent]
