"""The report of a lot: every result, and every step from them to the pay factor and the money."""

import json
from collections.abc import Mapping, Sequence
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
    asked = {"shift": shift, "at": now.isoformat(), "language": language}
    answers = OpenBook(book.job, book)
    found = answers.ask("lot", {**asked, "name": name})
    parts = [answers.ask("lot", {**asked, "name": part}) for part in found["parts"]]
    job = book.plans.at(now).job
    tested = {row["id"] for one in (found, *parts) for row in one["rows"]}
    entries = [
        (entry.hash, entry.text)
        for entry in book.entries
        if entry.id in tested or entry.kind == "plan"
    ]
    inside = [
        Attachment(
            "lot.json",
            _json({**found, "parts": parts} if parts else found),
            "application/json",
            "The figures of the lot",
            "data",
        ),
        Attachment(
            "lot-entries.jsonl",
            "".join(to_lines(entries)).encode(),
            "application/jsonl",
            "The plan and the results, exactly as written",
        ),
    ]
    pdf = compile_pdf("daily.typ", _json(_page(job, found, parts, now, language)), {}, inside, now)
    return pdf if key is None else sign_pdf(pdf, key, job.name, now)


def _json(data: object) -> bytes:
    return json.dumps(data, ensure_ascii=False).encode()


Answer = Mapping[str, Any]
Sections = list[dict[str, Any] | None]


def _page(
    job: Job, found: Answer, parts: Sequence[Answer], now: datetime, language: str
) -> dict[str, Any]:
    def words(code: str, **arguments: object) -> str:
        return say(code, language, **arguments)

    made: Sections = [
        section("", [_leading(found, words), paragraph(found["line"])]),
        *_body(found, words),
    ]
    for one in parts:
        made += [section(one["title"], [paragraph(one["line"])]), *_body(one, words)]
    note = paragraph(job.note) if job.note else None
    made.append(section("", [caution(" ".join(found["notes"])), note]))
    return {
        "paper": job.paper,
        "lang": language,
        "title": found["title"],
        "header": [job.name, f"{found['title']} · {now:%Y-%m-%d %H:%M}"],
        "footer": words("record.footer", contract=job.contract or job.id),
        "page": words("record.page", n="{n}", of="{of}"),
        "states": {},
        "legend": [],
        "sections": [one for one in made if one is not None],
    }


def _body(found: Answer, words: Any) -> Sections:
    """What a lot is judged by, its results, and every step from them."""

    def listed(what: str) -> dict[str, Any] | None:
        return section(words(f"lot.page.{what}"), [_list(found[what])] if found[what] else [])

    steps = [one["text"] for one in found["steps"]]
    why = [found["why"]] if found["why"] else []
    return [
        listed("rule"),
        listed("laid"),
        section(words("lot.page.results"), [_table(found, words)] if found["rows"] else []),
        section(words("lot.page.steps"), [_list([*steps, *why])]),
        *map(listed, ("doubts", "ahead", "sides", "custody", "draw")),
    ]


def _leading(found: Answer, words: Any) -> Block:
    """The factor, the mean and the count, with the range beside the percentage."""
    factor = number(words("lot.page.factor"), found["factor"], "", found["within"])
    if found["parts"]:
        lots = number(words("app.lots"), found["results"], "", found["state"])
        return numbers(
            [factor, lots, number(words("lot.page.money"), found["money"] or "—", "", "")]
        )
    return numbers(
        [
            factor,
            number(words("lot.page.mean"), found["mean"], "", found["state"]),
            number(words("lot.page.results"), found["results"], "", found["money"]),
        ]
    )


def _table(found: Answer, words: Any) -> Block:
    heads = [column(words(f"lot.column.{name}"), WIDE.get(name)) for name in COLUMNS]
    rows = [[cell(row[name]) for name in COLUMNS] for row in found["rows"]]
    return table(heads, rows)


def _list(sentences: list[str]) -> Block:
    return items([item("", one) for one in sentences])
