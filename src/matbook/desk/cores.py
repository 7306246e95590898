"""Cores and samples in words: gravities, voids and thickness; and their chains of custody."""

from collections.abc import Iterable, Iterator
from typing import Any, Final

from matbook.desk.asking import Asked
from matbook.desk.custody import SHAPES, custody_line, custody_state
from matbook.desk.testing import Row, cell, line, opens, part, table, tested
from matbook.lots.cores import Core

FIGURES: Final = ("bulk", "absorption", "percent", "voids", "thickness")


def cores(asked: Asked) -> dict[str, Any]:
    """Every core and sample of the job."""
    found = tested(asked)
    cut = {core.name for core in found.cores}
    samples = [chain for name, chain in found.custody.items() if name not in cut]
    parts = []
    if found.cores:
        said = {core.name: core for core in found.cores}
        rows = [_row(asked, core) for core in said.values()]
        columns = ("core", "station", *FIGURES, "custody")
        parts.append(
            part(
                asked.say("core.title"),
                lines=[*_doubts(asked, said.values()), *_provisional(asked, said.values())],
                tables=[table(asked, "core.table", columns, rows)],
            )
        )
    for title, chains in (
        ("custody.cores", [core.custody for core in found.cores]),
        ("custody.samples", samples),
    ):
        if chains:
            lines = [line(custody_line(asked, one), state=SHAPES[one.state]) for one in chains]
            parts.append(part(asked.say(title), lines=lines))
    return {
        "title": asked.say("core.title"),
        "none": "" if parts else asked.say("core.none-yet"),
        "parts": parts,
        "notes": [asked.say(f"core.note.{name}") for name in ("maximum", "method", "custody")],
        "cautions": [],
    }


def _row(asked: Asked, core: Core) -> list[Row]:
    names = [f"core/{core.name}/{name}" for name in FIGURES]
    named = dict(zip(names, (core.figures.get(name) for name in FIGURES), strict=True))
    figures = {name: figure for name, figure in named.items() if figure is not None}
    return [
        cell(core.name, entry=core.fact.id),
        cell(core.fact.place("station") or "—"),
        *(opens(asked, name, figures) for name in names),
        cell(custody_state(asked, core.custody)),
    ]


def _doubts(asked: Asked, cores: Iterable[Core]) -> Iterator[Row]:
    """What is to be known of a core before its numbers are believed."""
    for core in cores:
        if core.why:
            yield line(asked.say("core.why", core=core.name, why=core.why), state="watch")
        if core.holds is False:
            code = "core.open" if core.fact.text("voids") == "open" else "core.absorbs"
            yield line(asked.say(code, core=core.name), state="watch")


def _provisional(asked: Asked, cores: Iterable[Core]) -> Iterator[Row]:
    """The cores whose percentages stand on the mix design."""
    found = [
        core.name
        for core in cores
        if core.maximum is not None and core.maximum.provisional and "percent" in core.figures
    ]
    if found:
        yield line(asked.say("core.provisional", cores=", ".join(found)), state="unknown")
