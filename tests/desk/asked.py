"""Books for tests of the desk: the small invented job of the shift's tests, opened."""

from collections.abc import Iterable
from functools import cache
from importlib import resources
from typing import Any

from matbook.book.entry import Entry
from matbook.desk.open_book import OpenBook
from matbook.records.lines import from_lines
from tests.shift.site import Site, at, clock, on


def pairs(entries: Iterable[Entry]) -> list[tuple[str, str]]:
    return [(entry.hash, entry.text) for entry in entries]


def opened(site: Site) -> OpenBook:
    """The book of a site."""
    book = OpenBook("ridge")
    book.add(pairs(site.entries))
    return book


def ask(site: Site, question: str, minute: float | None = 240, **arguments: Any) -> Any:
    """One answer about a site, four hours into its shift."""
    if minute is not None:
        arguments = {"at": clock(minute).isoformat(), **arguments}
    return opened(site).ask(question, arguments)


def busy(plan: str | None = None) -> Site:
    """A shift in which one thing of every sort happened."""
    site = Site(plan) if plan else Site()
    site.write("shift-open", {}, -30)
    site.lay(["21.00 t", "21.60 t", "20.90 t", "23.40 t", "21.10 t"])
    site.load("106", 50, temp="109 degC", place=on("E", "binder", end=300))
    wrong = site.load("107", 60, temp="150 degC", net="12.00 t", place=on("E", "binder", end=350))
    site.load("107", 60, temp="150 degC", place=on("E", "binder", end=350), strikes=wrong.id,
              why="read the ticket wrong", late=40)  # fmt: skip
    site.write("paver", {"event": "start"}, 0, place=at(0))
    site.write("paver", {"event": "at"}, 40, place=at(200))
    site.write("paver", {"event": "stop", "reason": "waiting for mix"}, 70, place=at(350))
    site.write("loose-depth", {"depth": "75 mm", "adjusted": "no"}, 45, place=at(210))
    site.write("loose-depth", {"depth": "62 mm"}, 30, place=at(120))
    site.write("temperature", {"stage": "laydown", "temp": "105 degC"}, 47, place=at(220))
    needs = {"basis": "maximum", "method": "gauge", "purpose": "process"}
    site.write("density", {"percent": "92.1 %", **needs}, 80, by="tess", place=at(180))
    site.write(
        "defect",
        {"sign": "streaks behind the screed"},
        82,
        place={"lane": "E", "from": "0+100.0", "to": "0+130.0"},
    )
    told = site.write("notice", {"to": ["cole"], "how": "spoken", "text": "Load 106 is cold."}, 55)
    site.write("reply", {"notice": told.id, "text": "Seen.", "settles": "no"}, 58, by="cole")
    return site


@cache
def demo(name: str) -> tuple[tuple[str, str], ...]:
    """The entries of an invented job that comes with the program."""
    raw = (resources.files("matbook.demo") / name / "entries.jsonl").read_bytes()
    return tuple(from_lines(raw, name)[0])


@cache
def demo_book(name: str) -> OpenBook:
    """The book of an invented job, opened once and asked by many tests, as an app asks it."""
    book = OpenBook(name)
    book.add(demo(name))
    return book
