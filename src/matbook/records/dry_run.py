"""What taking a ticket file would do, before it is done, and the file of what can't be taken."""

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any, Final

from matbook.engine.units import parse
from matbook.records.drafts import FLAGS, Draft, RefusedRow, TicketFile
from matbook.records.headings import HOW, Column
from matbook.records.tables import safe

SHOWN: Final = ("ticket", "truck", "mix", "gross", "tare", "net", "temp", "decision")
AT_EACH_END: Final = 3


def preview(file: TicketFile) -> dict[str, Any]:
    """Everything a person looks at before a file is taken, as plain data."""
    read = {column.index for column in file.mapping.values()}
    taken = [draft for draft in file.drafts if draft.body["decision"] == "taken"]
    middle = range(AT_EACH_END, len(file.drafts) - AT_EACH_END)
    return {
        "file": file.sheet.name,
        "how": file.sheet.how,
        "plant": file.plant,
        "shift": str(file.shift),
        "mapping": {field: _said(column) for field, column in file.mapping.items()},
        "not_read": [h for at, h in enumerate(file.sheet.headings) if h and at not in read],
        "dates": file.date_order,
        "decimal_mark": file.decimal_mark,
        "counts": {
            "rows": len(file.sheet.rows),
            "taken": len(taken),
            "not_counted": len(file.drafts) - len(taken),
            "refused": len(file.refused),
        },
        "sums": net_sums(taken),
        "rows": [_row(draft) for at, draft in enumerate(file.drafts) if at not in middle],
        "flags": _flags(file.drafts),
        "refused": [
            {"line": r.line, "field": r.field, "given": r.given, "reason": r.reason}
            for r in file.refused
        ],
    }


def _said(column: Column) -> str:
    unit = f" in {column.unit}" if column.unit else ""
    return f"“{column.heading}”{unit} ({HOW[column.how]})"


def _row(draft: Draft) -> dict[str, Any]:
    shown = {field: draft.body.get(field, "") for field in SHOWN}
    return {"line": draft.line, "at": draft.at, **shown}


def net_sums(drafts: Iterable[Draft]) -> dict[str, str]:
    """The net masses of drafts added up by unit, as printed: none is converted."""
    sums: dict[str, Decimal] = {}
    for draft in drafts:
        amounts = {f: parse(draft.body[f]) for f in ("net", "gross", "tare") if f in draft.body}
        if "net" in amounts:
            unit, number = amounts["net"].unit, amounts["net"].number
        else:
            unit = amounts["gross"].unit
            number = amounts["gross"].number - amounts["tare"].to(unit)
        sums[unit] = sums.get(unit, Decimal(0)) + number
    return {unit: format(total, "f") for unit, total in sorted(sums.items())}


def quarantine_csv(refused: Sequence[RefusedRow]) -> bytes:
    """The rows that can't be taken, as CSV: line, field, given, reason, then the row as it stood.

    Once mended it can be read again as a ticket file: the first four columns are passed over.
    """
    headings = list(dict.fromkeys(heading for row in refused for heading in row.row))
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(map(safe, ["line", "field", "given", "reason", *headings]))
    for row in refused:
        cells = [row.row.get(heading, "") for heading in headings]
        writer.writerow(map(safe, [str(row.line), row.field, row.given, row.reason, *cells]))
    return text.getvalue().encode("utf-8-sig")


def _flags(drafts: Iterable[Draft]) -> list[Mapping[str, Any]]:
    lines: dict[str, list[int]] = {}
    for draft in drafts:
        for flag in draft.flags:
            lines.setdefault(flag, []).append(draft.line)
    return [{"flag": flag, "says": FLAGS[flag], "lines": at} for flag, at in lines.items()]
