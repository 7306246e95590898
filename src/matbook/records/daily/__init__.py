"""The daily record: one shift as a document, for the contractor, the supervisor, the auditor."""

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Final

from matbook.book.entry import Entry
from matbook.book.sending import Sending
from matbook.records.daily.blocks import Block, chart, item, items, paragraph, section
from matbook.records.daily.delivery import delivery
from matbook.records.daily.front import front
from matbook.records.daily.listed import listed
from matbook.records.daily.paving import paving
from matbook.records.daily.sheet import Sheet
from matbook.records.daily.standing import standing
from matbook.records.daily.tested import tested
from matbook.shift.charts.frame import Chart
from matbook.shift.view import View

AFTER_MAT: Final = ("record.rolling", "record.density", "record.joints", "record.tonight")

MARKS: Final = ("act", "watch", "note", "fine", "unknown")


@dataclass(frozen=True)
class Document:
    """A record as plain data, with the drawings it refers to."""

    data: Mapping[str, Any]
    files: Mapping[str, bytes]


def daily_record(
    view: View,
    seal: Entry | None,
    language: str = "en",
    sealed: Set[str] = frozenset(),
    broken: bool = False,
    sendings: Mapping[str, Sequence[Sending]] = MappingProxyType({}),
    with_what: Mapping[str, Any] = MappingProxyType({}),
    lots: Sequence[str] = (),
) -> Document:
    """The daily record of a shift as a document, ready to be set.

    Args:
        view: The shift as it stood at its close.
        seal: Its seal, if it has one that holds.
        language: Of the sentences.
        sealed: Hashes of the entries under the seal.
        broken: Whether it has a seal that does not hold.
        sendings: What became of notices on their way out, by id.
        with_what: What density was tested with: the answers to `strip` and `gauges`.
        lots: A line for each lot that the shift touched or that is still open.
    """
    sheet = Sheet(view, seal, language, sealed, broken, sendings)
    files: dict[str, bytes] = {}

    def draw(made: Chart | None) -> Block | None:
        if made is None:
            return None
        files[f"{made.name}.svg"] = made.svg.encode()
        return chart(f"{made.name}.svg", made.alt, made.caption)

    others = listed(sheet)
    of_density = {"record.density": (*tested(with_what, draw), _lots(sheet, lots))}
    found = [
        *front(sheet),
        *delivery(sheet, draw),
        *paving(sheet, draw),
        *(
            one
            for title in AFTER_MAT
            for one in (others.pop(title, None), *of_density.pop(title, ()))
        ),
        *others.values(),
        *standing(sheet),
    ]
    job, shift = sheet.plan.job, view.facts.shift
    title = sheet.say("record.title")
    part = sheet.say(f"part.{shift.part}")
    data = {
        "paper": job.paper,
        "lang": language,
        "title": title,
        "header": [job.name, f"{title} · {shift.date}, {part}"],
        "footer": sheet.say("record.footer", contract=job.contract or job.id),
        "page": sheet.say("record.page", n="{n}", of="{of}"),
        "states": {state: sheet.say(f"mark.{state}") for state in MARKS},
        "legend": ["act", "watch"],
        "sections": [section for section in found if section is not None],
    }
    return Document(data, files)


def _lots(sheet: Sheet, lots: Sequence[str]) -> Mapping[str, Any] | None:
    """Where the lots stood; None where there is none."""
    if not lots:
        return None
    said = [paragraph(sheet.say("record.lots.is")), items([item("", one) for one in lots])]
    return section(sheet.say("record.lots"), said)
