"""The report of a lot: every result, and every step from them to the pay factor and the money."""

import json
from collections.abc import Mapping
from datetime import datetime
from typing import Any, Final

from matbook.desk.job import JobBook
from matbook.desk.open_book import OpenBook
from matbook.plan.model import Job
from matbook.records.daily.blocks import (
    Block,
    caution,
    cell,
    column,
    item,
    items,
    number,
    numbers,
    paragraph,
    section,
    table,
)
from matbook.records.lines import to_lines
from matbook.records.pdf import Attachment, compile_pdf, sign_pdf
from matbook.seal.keys import InstallationKey
from matbook.words import say

COLUMNS: Final = ("sublot", "at", "station", "sample", "value", "state")
WIDE: Final[Mapping[str, float | None]] = {"state": 2}


def make_lot_report(
    book: JobBook,
    shift: str,
    name: str,
    key: InstallationKey | None,
    now: datetime,
    language: str = "en",
) -> bytes:
    """The report of a lot as a PDF, with its entries and figures inside.

    Args:
        book: The job's book.
        shift: The shift as of which it speaks.
        name: Of the lot.
        key: Signs the file so that any changed byte shows; None leaves it unsigned.
        now: The moment the report speaks of, and is dated with.
        language: Of the sentences.

    Raises:
        NotFound: There is no such lot, or no such shift.
    """
    asked = {"shift": shift, "name": name, "at": now.isoformat(), "language": language}
    found = OpenBook(book.job, book).ask("lot", asked)
    job = book.plans.at(now).job
    tested = {row["id"] for row in found["rows"]}
    entries = [
        (entry.hash, entry.text)
        for entry in book.entries
        if entry.id in tested or entry.kind == "plan"
    ]
    inside = [
        Attachment("lot.json", _json(found), "application/json", "The figures of the lot", "data"),
        Attachment(
            "lot-entries.jsonl",
            "".join(to_lines(entries)).encode(),
            "application/jsonl",
            "The plan and the results, exactly as written",
        ),
    ]
    pdf = compile_pdf("daily.typ", _json(_page(job, found, now, language)), {}, inside, now)
    return pdf if key is None else sign_pdf(pdf, key, job.name, now)


def _json(data: object) -> bytes:
    return json.dumps(data, ensure_ascii=False).encode()


def _page(job: Job, found: Mapping[str, Any], now: datetime, language: str) -> dict[str, Any]:
    def words(code: str, **arguments: object) -> str:
        return say(code, language, **arguments)

    steps = [one["text"] for one in found["steps"]]
    why = [found["why"]] if found["why"] else []
    parts = [
        section("", [_leading(found, words), paragraph(found["line"])]),
        section(words("lot.page.rule"), [_list(found["rule"])]),
        section(words("lot.page.laid"), [_list(found["laid"])] if found["laid"] else []),
        section(words("lot.page.results"), [_table(found, words)] if found["rows"] else []),
        section(words("lot.page.steps"), [_list([*steps, *why])]),
        section(words("lot.page.doubts"), [_list(found["doubts"])] if found["doubts"] else []),
        section(words("lot.page.ahead"), [_list(found["ahead"])] if found["ahead"] else []),
        section(words("lot.page.sides"), [_list(found["sides"])] if found["sides"] else []),
        section(words("lot.page.draw"), [_list(found["draw"])] if found["draw"] else []),
        section("", [caution(" ".join(found["notes"])), paragraph(job.note) if job.note else None]),
    ]
    return {
        "paper": job.paper,
        "lang": language,
        "title": found["title"],
        "header": [job.name, f"{found['title']} · {now:%Y-%m-%d %H:%M}"],
        "footer": words("record.footer", contract=job.contract or job.id),
        "page": words("record.page", n="{n}", of="{of}"),
        "states": {},
        "legend": [],
        "sections": [one for one in parts if one is not None],
    }


def _leading(found: Mapping[str, Any], words: Any) -> Block:
    """The factor, the mean and the count, with the range beside the percentage."""
    return numbers(
        [
            number(words("lot.page.factor"), found["factor"], "", found["within"]),
            number(words("lot.page.mean"), found["mean"], "", found["state"]),
            number(words("lot.page.results"), found["results"], "", found["money"]),
        ]
    )


def _table(found: Mapping[str, Any], words: Any) -> Block:
    heads = [column(words(f"lot.column.{name}"), WIDE.get(name)) for name in COLUMNS]
    rows = [[cell(row[name]) for name in COLUMNS] for row in found["rows"]]
    return table(heads, rows)


def _list(sentences: list[str]) -> Block:
    return items([item("", one) for one in sentences])
