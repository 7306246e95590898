"""What a pay schedule pays and what each side risks with it, as a page to print."""

import json
from collections.abc import Mapping
from datetime import datetime
from typing import Any, Final

from matbook.plan.model import Job
from matbook.records.daily.blocks import (
    caution,
    chart,
    column,
    item,
    items,
    paragraph,
    section,
    table,
)
from matbook.records.pdf import compile_pdf
from matbook.words import say

COLUMNS: Final = ("mean", "within", "expected", "range", "full", "rejected")


def risk_page(job: Job, found: Mapping[str, Any], now: datetime, language: str = "en") -> bytes:
    """The page as a PDF.

    Args:
        job: The job, where there is one; its paper is used.
        found: What `matbook.desk.risk.risk_of` found.
        now: The moment that the page is dated with.
        language: Of the words.
    """
    names = [f"risk-{number}.svg" for number, _ in enumerate(found["charts"])]
    drawn = [
        chart(name, one["words"], one["caption"])
        for name, one in zip(names, found["charts"], strict=True)
    ]
    heads = [column(say(f"risk.column.{name}", language), 1, "right") for name in COLUMNS]
    rows = [[row[name] for name in COLUMNS] for row in found["rows"]]
    risks = items([item("", one) for one in found["risks"]])
    about = [paragraph(found["line"]), paragraph(found["standing"])]
    parts = [
        section("", [*about, risks, *drawn, table(heads, rows)]),
        section("", [caution(" ".join(found["notes"])), paragraph(job.note) if job.note else None]),
    ]
    data = {
        "paper": job.paper,
        "lang": language,
        "title": found["title"],
        "header": [job.name if job.id else found["title"], f"{now:%Y-%m-%d %H:%M}"],
        "footer": say("record.footer", language, contract=job.contract or job.id) if job.id else "",
        "page": say("record.page", language, n="{n}", of="{of}"),
        "states": {},
        "legend": [],
        "sections": [one for one in parts if one is not None],
    }
    files = {name: one["svg"].encode() for name, one in zip(names, found["charts"], strict=True)}
    return compile_pdf("daily.typ", json.dumps(data, ensure_ascii=False).encode(), files, [], now)
