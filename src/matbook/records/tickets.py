"""Ticket files: from a table with whatever headings it has to bodies of load entries.

Nothing is written here. A file gives drafts, each with a body that passes the form of a load, and
the rows that can't be taken, each with its line, field and reason. The same file gives the same
drafts with the same ids, so that taking it twice adds nothing.
"""

from collections.abc import Mapping
from datetime import datetime
from hashlib import sha256
from itertools import chain

from matbook.book.pen import ShiftName, new_id
from matbook.errors import FileRefused, Refused
from matbook.plan.model import Plan
from matbook.records.drafts import Draft, RefusedRow, TicketFile
from matbook.records.dry_run import preview, quarantine_csv
from matbook.records.headings import columns
from matbook.records.placing import OffsetAt, Placed, placed
from matbook.records.reading import Reader
from matbook.records.sheets import Sheet

__all__ = ["Draft", "RefusedRow", "TicketFile", "preview", "quarantine_csv", "tickets"]


def tickets(
    sheet: Sheet,
    plan: Plan,
    plant_id: str,
    shift: ShiftName,
    offset_at: OffsetAt,
    now: datetime,
) -> TicketFile:
    """Every row of a ticket file as a draft of a load, or with the reason why it is none.

    Args:
        sheet: The table, from `read_sheet`.
        plan: Names the plant's headings and unit, and the ids of mixes and trucks.
        plant_id: The plant that the file comes from.
        shift: The shift that the loads belong to.
        offset_at: The offset of local time at the job, such as -04:00, by time and fold.
        now: The present moment; a later ticket is flagged.

    Raises:
        Refused: The plan has no such plant.
        FileRefused: The columns, dates or times can't be told.
    """
    plant = plan.plants.get(plant_id)
    if plant is None:
        known = ", ".join(plan.plants) or "none so far"
        raise Refused("The plant", plant_id, f"it must be a plant of the plan ({known})")
    try:
        mapping = columns(sheet.headings, plan, plant)
        reader = Reader(sheet, plan, plant, mapping)
        placing = placed([reader.moment(row) for row in sheet.rows], shift, offset_at)
    except FileRefused as refusal:
        raise FileRefused(f"{sheet.name}: {refusal}") from None
    drafts: list[Draft] = []
    refused: list[RefusedRow] = []
    lines: dict[str, int] = {}
    latest_ms = now.timestamp() * 1000
    for row, place in zip(sheet.rows, placing.rows, strict=True):
        try:
            if isinstance(place, Refused):
                raise place
            body, marks = reader.body(row)
            if place.loaded:
                body["loaded"] = place.at
            draft = _draft(row.line, str(shift), place, body, marks, latest_ms)
            first = lines.setdefault(draft.id, row.line)
            if first != row.line:
                raise Refused("row", body.get("ticket", ""), f"it says the same as line {first}")
            drafts.append(draft)
        except Refused as refusal:
            given = str(refusal.given)
            cells = sheet.cells_of(row)
            refused.append(RefusedRow(row.line, refusal.field, given, refusal.allowed, cells))
    return TicketFile(sheet, plant_id, shift, mapping, placing.order, reader.mark, drafts, refused)


def _draft(
    line: int,
    shift: str,
    place: Placed,
    body: Mapping[str, str],
    marks: tuple[str, ...],
    latest_ms: float,
) -> Draft:
    # No cell that is read holds a line end, so the joined text stands for one body only.
    text = "\n".join([shift, *chain.from_iterable(sorted(body.items()))])
    name = new_id(place.ms, sha256(text.encode()).digest()[:10])
    flags = place.flags + marks + (("future",) if place.ms > latest_ms else ())
    return Draft(line, name, place.at, body, flags)
