"""Whatever table of loads is written in any of the dialects we read, it reads back the same."""

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import time
from typing import Literal

import xlsxwriter
from hypothesis import given
from hypothesis import strategies as st

from tests.records.making import DAY, bodies, take

DATES = {"iso": "2026-05-12", "day first": "12/05/2026", "month first": "05/12/2026",
         "points": "12.05.2026", "named": "12 May 2026"}  # fmt: skip
HEADINGS = {
    "english": ("Ticket No", "Truck", "Gross", "Tare", "Net", "Mix", "Temp C", "Date", "Time", "X"),
    "spanish": ("Boleta", "Camión", "Bruto", "Tara", "Neto", "Mezcla", "Temperatura", "Fecha",
                "Hora", "X"),
    "french": ("N° de bon", "Camion", "Brut", "Tare", "Net", "Enrobé", "Température °C", "Date",
               "Heure", "X"),
    "german": ("Lieferschein", "LKW", "Brutto", "Tara", "Netto", "Sorte", "Temperatur", "Datum",
               "Uhrzeit", "X"),
}  # fmt: skip


@dataclass(frozen=True)
class Dialect:
    """How a table is written."""

    headings: Sequence[str]
    delimiter: str
    encoding: str
    line_end: str
    quoting: Literal[0, 1]
    mark: str
    thousands: str
    kilograms: bool
    date: str
    one_moment: bool
    newest_first: bool
    title: bool


Load = Mapping[str, str]


def masses(low: int, high: int) -> st.SearchStrategy[str]:
    """Tonnes with up to three decimals, within the range that is usual for a load."""
    return st.builds(
        lambda kg, places: f"{kg / 1000:.{places}f}",
        st.integers(low * 1000 + 500, high * 1000 - 500),
        st.integers(0, 3),
    )


clocks = st.times(time(4), time(23, 59, 59)).map(lambda at: at.replace(microsecond=0))
tables = st.lists(
    st.fixed_dictionaries(
        {
            "ticket": st.from_regex(r"[A-Z]{0,2}-?[0-9]{1,8}", fullmatch=True),
            "truck": st.sampled_from(["", "7", "T 12", "X;Y", "a,b", 'the "red" one', "Ä|Ö"]),
            "gross": masses(10, 65),
            "tare": masses(5, 25),
            "net": masses(2, 45),
            "mix": st.sampled_from(["ac11", "ac16", "SMA 8 S"]),
            "temp": st.sampled_from(["", "140", "152.5", "98.25"]),
            "time": clocks.map(time.isoformat),
            "note": st.text('ab ",;|\t=+-@', max_size=8),
        }
    ),
    min_size=1,
    max_size=12,
    unique_by=lambda load: load["ticket"],
)
dialects = st.builds(
    Dialect,
    headings=st.sampled_from(list(HEADINGS.values())),
    delimiter=st.sampled_from(",;\t|"),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252"]),
    line_end=st.sampled_from(["\n", "\r\n"]),
    quoting=st.sampled_from((csv.QUOTE_MINIMAL, csv.QUOTE_ALL)),
    mark=st.sampled_from(".,"),
    thousands=st.sampled_from(["", "other mark", " ", "'"]),
    kilograms=st.booleans(),
    date=st.sampled_from(list(DATES.values())),
    one_moment=st.booleans(),
    newest_first=st.booleans(),
    title=st.booleans(),
)


def digits(tonnes: str, kilograms: bool) -> str:
    """The digits of a mass as they are to be read."""
    return f"{float(tonnes) * 1000:.0f}" if kilograms else tonnes


def number(text: str, how: Dialect) -> str:
    """Digits as the dialect writes them."""
    whole, point, part = text.partition(".")
    between = {"other mark": ".,".replace(how.mark, "")}.get(how.thousands, how.thousands)
    if len(whole) > 3:
        whole = f"{whole[:-3]}{between}{whole[-3:]}"
    return whole + point.replace(".", how.mark) + part


def cells(load: Load, how: Dialect) -> list[str]:
    amounts = [number(digits(load[name], how.kilograms), how) for name in ("gross", "tare", "net")]
    row = [load["ticket"], load["truck"], *amounts, load["mix"], number(load["temp"], how)]
    moment = [f"{how.date} {load['time']}", ""] if how.one_moment else [how.date, load["time"]]
    return [*row, *moment, load["note"]]


def written(loads: Sequence[Load], how: Dialect) -> bytes:
    unit = "kg" if how.kilograms else "t"
    names = [
        f"{name} ({unit})" if at in (2, 3, 4) else name for at, name in enumerate(how.headings)
    ]
    text = io.StringIO(newline="")
    writer = csv.writer(
        text,
        delimiter=how.delimiter,
        quoting=how.quoting,
        lineterminator=how.line_end,
    )
    writer.writerows([["Tickets of the day"], []] if how.title else [])
    writer.writerow(names)
    writer.writerows(cells(load, how) for load in loads)
    return text.getvalue().encode(how.encoding)


def expected(load: Load, kilograms: bool) -> dict[str, str]:
    unit = "kg" if kilograms else "t"
    body = {name: f"{digits(load[name], kilograms)} {unit}" for name in ("gross", "tare", "net")}
    body |= {name: load[name] for name in ("ticket", "truck", "mix") if load[name]}
    if load["temp"]:
        body["temp"] = f"{load['temp']} degC"
    return body | {"loaded": f"2026-05-12T{load['time']}-03:00"}


def in_order(loads: Sequence[Load], how: Dialect) -> list[Load]:
    return sorted(loads, key=lambda load: load["time"], reverse=how.newest_first)


@given(tables, dialects)
def test_delimited_text_reads_back_the_same(loads: Sequence[Load], how: Dialect) -> None:
    ordered = in_order(loads, how)
    found = take(written(ordered, how), DAY)
    assert found.refused == []
    assert bodies(found) == [expected(load, how.kilograms) for load in ordered]


@given(tables, dialects)
def test_a_workbook_reads_back_the_same(loads: Sequence[Load], how: Dialect) -> None:
    ordered = in_order(loads, how)
    packed = io.BytesIO()
    with xlsxwriter.Workbook(packed, {"in_memory": True}) as book:
        sheet = book.add_worksheet()
        sheet.write_row(0, 0, how.headings)
        for line, load in enumerate(ordered, start=1):
            for at, cell in enumerate(cells(load, how)):
                sheet.write_string(line, at, cell)
            for at, name in enumerate(("gross", "tare", "net"), start=2):
                _, _, part = load[name].partition(".")
                shown = book.add_format({"num_format": "0" + f".{'0' * len(part)}" * bool(part)})
                sheet.write_number(line, at, float(load[name]), shown)
    found = take(packed.getvalue(), DAY)
    assert found.refused == []
    assert bodies(found) == [expected(load, kilograms=False) for load in ordered]


@given(tables, dialects)
def test_a_file_read_twice_gives_the_same_ids_one_for_each_row(
    loads: Sequence[Load], how: Dialect
) -> None:
    data = written(in_order(loads, how), how)
    ids = [draft.id for draft in take(data).drafts]
    assert ids == [draft.id for draft in take(data).drafts]
    assert len(set(ids)) == len(loads)
