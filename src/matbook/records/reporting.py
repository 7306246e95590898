"""Making the files that leave the book: the daily record, signed, and the bundle."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal

from matbook.book.entry import Entry
from matbook.desk.asking import Asked
from matbook.desk.job import JobBook
from matbook.desk.lots import standing_lines
from matbook.desk.open_book import OpenBook
from matbook.errors import FileRefused, NotFound
from matbook.records.bundle import attachments_named, bundle, members
from matbook.records.daily import daily_record
from matbook.records.pdf import Attachment, compile_pdf, sign_pdf
from matbook.seal.keys import InstallationKey
from matbook.seal.sealing import holds, is_signed, under_seal
from matbook.shift.view import View
from matbook.store.contract import Store

INSIDE: Final[Mapping[str, tuple[str, str, Literal["source", "data", "supplement"]]]] = {
    "entries.jsonl": ("application/jsonl", "The entries, exactly as written", "source"),
    "sealed.txt": ("text/plain", "The list under the seal", "data"),
    "verifier.py": ("text/x-python", "Checks the entries without Matbook", "supplement"),
    "README.txt": ("text/plain", "What these files are", "supplement"),
}
"""What each file inside a record is, for the reader of the PDF."""


@dataclass(frozen=True)
class Made:
    """A record that was made, and what it says first."""

    pdf: bytes
    view: View
    seal: Entry | None


def make_record(
    book: JobBook, shift: str, key: InstallationKey | None, now: datetime, language: str = "en"
) -> Made:
    """The daily record of a shift as a PDF with its entries inside.

    Args:
        book: The job's book.
        shift: The shift.
        key: Signs the file so that any changed byte shows; None leaves it unsigned.
        now: The moment the record speaks of, and is dated with.
        language: Of the sentences.
    """
    view, seal = book.view(shift, now), holding_seal(book, shift)
    sealed = under_seal(seal, book.entries) if seal else frozenset()
    broken = seal is None and bool(book.seals_of(shift))
    given = {"shift": shift, "at": now.isoformat(), "language": language, "size": "print"}
    opened = OpenBook(book.job, book)
    with_what = {question: opened.ask(question, given) for question in ("strip", "gauges")}
    asked = Asked(book, given)
    lots = standing_lines(asked)
    document = daily_record(view, seal, language, sealed, broken, book.sendings, with_what, lots)
    inside = members(book.entries, shift, seal)
    pdf = compile_pdf(
        "daily.typ",
        json.dumps(document.data, ensure_ascii=False).encode(),
        document.files,
        [Attachment(name, raw, *INSIDE[name]) for name, raw in inside.items()],
        now,
    )
    if key is not None:
        pdf = sign_pdf(pdf, key, view.plan.job.name, now)
    return Made(pdf, view, seal)


def holding_seal(book: JobBook, shift: str) -> Entry | None:
    """The seal that protects a shift; None if there is none, or anything is wrong with its seals.

    Every seal of the shift must be signed, all by one key, and what the latest lists must be here.
    """
    seals, latest = book.seals_of(shift), book.seal_of(shift)
    sound = all(is_signed(seal) for seal in seals) and len({s.body["key"] for s in seals}) == 1
    return latest if latest and sound and holds(latest, book.entries) else None


def make_bundle(book: JobBook, shift: str, store: Store) -> bytes:
    """The bundle of a shift: entries, seal, attachments and verifier.

    Attachments that the store can't give are listed in `missing.txt`, and the rest still goes out.
    """
    inside = members(book.entries, shift, holding_seal(book, shift))
    found, missing = {}, []
    for name in attachments_named(e for e in book.entries if e.shift == shift):
        try:
            found[name] = store.attachment(name)
        except (NotFound, FileRefused):
            missing.append(f"{name}\n")
    return bundle(inside | ({"missing.txt": "".join(missing).encode()} if missing else {}), found)
