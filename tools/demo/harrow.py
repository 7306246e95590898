"""Harrow: the metric demo, put together."""

import csv
import io
from collections.abc import Sequence
from datetime import timedelta

from matbook.book.entry import Entry
from tools.demo import harrow_day_one, harrow_day_two, harrow_lists, harrow_lots, harrow_rest, plans
from tools.demo.harrow_loads import day_one
from tools.demo.harrow_site import notebook
from tools.demo.paving import Load

HEADINGS = "Day,Docket,Order,Recipe,Fleet,Gross t,Tare t,Net t,Out,Silo,Mix temp C,State"
DESIGNS = {"ac16": "MD-16-03", "ac11": "MD-11-07"}


def made() -> tuple[list[Entry], list[Entry], str]:
    """The entries in the order of writing, those of the rest of the second day, the plant's file.

    The demo that is replayed as if it were today goes on with the rest; nothing else needs it.
    """
    notes = notebook()
    imported = day_one("09:10") - timedelta(days=4)
    notes.write("greta", "plan", {"toml": plans.text("harrow")}, imported)
    loads, end_m = harrow_day_one.write(notes)
    morning = harrow_day_two.write(notes, loads, end_m)
    harrow_lots.write(notes, loads)
    harrow_lists.write(notes, end_m)
    until = len(notes.drafts)
    notes.shift = morning.shift
    harrow_rest.write(morning)
    harrow_lists.rest(notes)
    entries = notes.entries()  # whatever is of the rest was written after all before it
    return entries[:until], entries[until:], tickets(loads)


def tickets(loads: Sequence[Load]) -> str:
    """The plant's file of the first day: its own headings, and a mind of its own once."""
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\r\n")
    out.write(f"{HEADINGS}\r\n")
    for load in loads:
        net = harrow_day_one.PLANT_SAYS if load.tag == "differs" else load.net
        gross, tare, net_t = (f"{mass / 100:.2f}" for mass in (net + load.tare, load.tare, net))
        mixed = 153 + int(load.ticket) * 7 % 13
        silo = 2 if load.mix == "ac11" else 1
        day, hour = f"{load.loaded:%Y-%m-%d}", f"{load.loaded:%H:%M}"
        order, recipe = "MC-2026-014", DESIGNS[load.mix]
        row = (day, load.ticket, order, recipe, load.truck, gross, tare, net_t, hour, silo, mixed)
        rows.writerow((*row, load.state))
    return out.getvalue()
