"""Kestrel: the US demo, put together."""

import csv
import io
from collections.abc import Sequence
from datetime import timedelta
from typing import Final

from matbook.book.entry import Entry
from tools.demo import kestrel_lists, kestrel_night, kestrel_readings, plans
from tools.demo.kestrel_loads import local, night
from tools.demo.kestrel_site import Night
from tools.demo.paving import Load

HEADINGS: Final = (
    "Ticket #,Date/Time,Customer Job,Product,Truck No,Gross Tons,Tare Tons,Net Tons,Status,Remarks"
)
PRODUCTS: Final = {"l4": "Leveling mix L-4", "s9": "Surface mix S-9"}


def made() -> tuple[list[Entry], str]:
    """The entries in the order in which they were written, and the plant's file."""
    site = Night()
    imported = night("14:05") - timedelta(days=3)
    toml = {"toml": plans.text("kestrel")}
    site.notes.write("hal", "plan", toml, imported, shift="")
    kestrel_night.write(site)
    kestrel_readings.write(site)
    kestrel_lists.write(site)
    return site.notes.entries(), tickets(site.loads)


def tickets(loads: Sequence[Load]) -> str:
    """The plant's file of the night: this job's tickets out of a series for all customers."""
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\r\n")
    out.write(f"{HEADINGS}\r\n")
    for load in loads:
        masses = (f"{mass / 100:.2f}" for mass in (load.gross, load.tare, load.net))
        at = local(load.loaded)
        moment = f"{at:%m/%d/%Y} {at.hour % 12 or 12}:{at:%M} {at:%p}"
        status = "VOID" if load.tag == "void" else "Posted"
        remark = {"handwritten": "by hand", "back-dated": "hour corrected"}.get(load.tag, "")
        product = PRODUCTS[load.mix]
        rows.writerow(
            (load.ticket, moment, "WC-614-26", product, load.truck, *masses, status, remark)
        )
    return out.getvalue()
