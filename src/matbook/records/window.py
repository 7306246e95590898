"""The hours ahead as one page to print: workable minutes, what works, what opening asks."""

import json
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from matbook.plan.model import Job
from matbook.records.daily.blocks import (
    Block,
    caution,
    cell,
    column,
    item,
    items,
    paragraph,
    section,
    table,
)
from matbook.records.pdf import compile_pdf
from matbook.words import say


def window_page(job: Job, found: Mapping[str, Any], now: datetime, language: str = "en") -> bytes:
    """The page as a PDF.

    Args:
        job: The job; its name heads the page, and its paper is used.
        found: What `matbook.desk.ahead.hours_ahead` found.
        now: The moment that the page is dated with.
        language: Of the words.
    """

    def words(code: str, **arguments: object) -> str:
        return say(code, language, **arguments)

    parts = [
        section("", [paragraph(found["line"]), _table(found, words("ahead.cool"), words)]),
        section(words("ahead.rollers"), [_list(found["needs"] + found["works"])]),
        section(words("ahead.opening"), [_list(found["closure"])]),
        section(words("mat.orders"), [_list(found["orders"])] if found["orders"] else []),
        section("", [caution(" ".join(found["notes"])), paragraph(job.note) if job.note else None]),
    ]
    data = {
        "paper": job.paper,
        "lang": language,
        "title": found["title"],
        "header": [job.name or found["title"], f"{found['title']} · {now:%Y-%m-%d %H:%M}"],
        "footer": words("record.footer", contract=job.contract or job.id) if job.id else "",
        "page": words("record.page", n="{n}", of="{of}"),
        "states": {key["state"]: key["words"] for key in found["keys"]},
        "legend": [key["state"] for key in found["keys"]],
        "sections": [one for one in parts if one is not None],
    }
    return compile_pdf("daily.typ", json.dumps(data, ensure_ascii=False).encode(), {}, [], now)


def _table(found: Mapping[str, Any], cool: str, words: Any) -> Block:
    columns = [column(words("ahead.hour"), None), column(words("ahead.weather"), 2)]
    columns += [column(one["words"], None, "right") for one in found["columns"]]
    columns.append(column(cool, None, "right"))
    rows = []
    for row in found["rows"]:
        beyond = "; ".join(one["words"] for one in row["limits"])
        cells = [cell(one["words"], state=one["state"]) for one in row["cells"]]
        weather = cell(row["weather"], small=beyond)
        rows.append([row["at"], weather, *cells, row["cool"] or "—"])
    return table(columns, rows)


def _list(sentences: list[str]) -> Block:
    return items([item("", one) for one in sentences])
